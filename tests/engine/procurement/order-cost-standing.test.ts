import { describe, expect, it } from 'vitest';
import { orderCostStanding, valueOfPart } from '../../../shared/procurement/order-cost-standing.ts';

const euros = (amount: string) => ({ amount, currency: 'EUR' });

const line = (receivedQuantity: string, paidQuantity: string) => ({
  orderedQuantity: '1000',
  amount: euros('7450.00'),
  receivedQuantity,
  paidQuantity,
});

const standing = (...args: Parameters<typeof orderCostStanding>) => {
  const { committed, accrued, paidAtOrderPrices } = orderCostStanding(...args);
  return [committed.amount, accrued.amount, paidAtOrderPrices.amount];
};

describe('valueOfPart', () => {
  // by hand: thirds of 10.00 are 3.33 and 6.67
  it.each([
    ['0', '0.00'],
    ['1', '3.33'],
    ['2', '6.67'],
    ['3', '10.00'],
    ['4', '10.00'],
  ])('of 10.00 for three, %s are worth %s', (quantity, worth) => {
    expect(valueOfPart(euros('10.00'), '3', quantity)).toEqual(euros(worth));
  });

  it('of nothing ordered is nothing, and refuses less than nothing', () => {
    expect(valueOfPart(euros('0.00'), '0', '5')).toEqual(euros('0.00'));
    expect(() => valueOfPart(euros('1.00'), '1', '-1')).toThrow(/quantity/);
  });
});

describe('orderCostStanding', () => {
  // The first waybill of the CARE food manual, quoted: 968 of 1,000 bags are good. At 7.45 a bag
  // 7,211.60 are owed and 238.40 stay committed (by hand).
  it.each([
    ['nothing came', '0', '0', ['7450.00', '0.00', '0.00']],
    ['968 came', '968', '0', ['238.40', '7211.60', '0.00']],
    ['968 came and 900 are paid', '968', '900', ['238.40', '506.60', '6705.00']],
    ['500 came and 600 are paid', '500', '600', ['2980.00', '0.00', '4470.00']],
    ['1,002 came', '1002', '0', ['0.00', '7450.00', '0.00']],
  ])('when %s', (_, received, paid, expected) => {
    expect(standing([line(received, paid)], 'EUR', true)).toEqual(expected);
  });

  it('commits nothing when the order has ended', () => {
    expect(standing([line('968', '900')], 'EUR', false)).toEqual(['0.00', '506.60', '6705.00']);
  });

  it('refuses lines of another currency', () => {
    expect(() => orderCostStanding([line('1', '0')], 'USD', true)).toThrow(/currency/);
  });
});
