import { describe, expect, it } from 'vitest';
import {
  aggregateOrders,
  type MaterialNeed,
  money,
  type Offer,
  reconcileReceipt,
} from '../../../shared/index.ts';

const need = (
  buildId: string,
  quantity: string,
  rest: Partial<MaterialNeed> = {},
): MaterialNeed => ({
  buildId,
  materialCode: 'cement',
  unitCode: 'KGM',
  quantity,
  deliveryVillageId: 'north',
  ...rest,
});
const offer = (offerId: string, rest: Partial<Offer> = {}): Offer => ({
  offerId,
  supplierId: 'mill',
  materialCode: 'cement',
  unitCode: 'KGM',
  packContent: '50',
  packPrice: money('8', 'EUR'),
  validFrom: '2026-01-01',
  ...rest,
});

describe('an order proposal', () => {
  it('adds up the needs of a village and rounds once', () => {
    const order = aggregateOrders(
      [
        need('b1', '60'),
        need('b2', '70'),
        need('b1', '10'),
        need('b3', '5', {
          deliveryVillageId: 'south',
        }),
      ],
      [offer('o')],
      '2026-02-01',
      'EUR',
    );
    expect(order.lines).toEqual([
      {
        materialCode: 'cement',
        unitCode: 'KGM',
        supplierId: 'mill',
        offerId: 'o',
        deliveryVillageId: 'north',
        need: '140',
        packContent: '50',
        packCount: 3,
        packPrice: money('8', 'EUR'),
        ordered: '150',
        rounding: '10',
        amount: money('24', 'EUR'),
        buildCount: 2,
        perBuildPackCount: 4,
        perBuildAmount: money('32', 'EUR'),
      },
      expect.objectContaining({ deliveryVillageId: 'south', packCount: 1, rounding: '45' }),
    ]);
    expect(order).toMatchObject({
      totalPackCount: 4,
      totalAmount: money('32', 'EUR'),
      perBuildTotalPackCount: 5,
      perBuildTotalAmount: money('40', 'EUR'),
    });
  });

  it('buys at least the minimum and counts what that leaves over', () => {
    const order = aggregateOrders(
      [need('b1', '60')],
      [offer('o', { minimumPacks: 10 })],
      '2026-02-01',
      'EUR',
    );
    expect(order.lines[0]).toMatchObject({
      packCount: 10,
      ordered: '500',
      rounding: '440',
      amount: money('80', 'EUR'),
      perBuildPackCount: 10,
    });
  });

  it('leaves a dear minimum for a smaller offer that costs less', () => {
    const order = aggregateOrders(
      [need('b1', '60')],
      [offer('bulk', { packPrice: money('6', 'EUR'), minimumPacks: 10 }), offer('shop')],
      '2026-02-01',
      'EUR',
    );
    expect(order.lines[0]?.offerId).toBe('shop');
    const season = aggregateOrders(
      [need('b1', '600')],
      [offer('bulk', { packPrice: money('6', 'EUR'), minimumPacks: 10 }), offer('shop')],
      '2026-02-01',
      'EUR',
    );
    expect(season.lines[0]?.offerId).toBe('bulk');
  });

  it('keeps to the supplier that a need names', () => {
    const order = aggregateOrders(
      [need('b1', '60', { supplierId: 'shop' }), need('b2', '60')],
      [offer('cheap'), offer('dear', { supplierId: 'shop', packPrice: money('9', 'EUR') })],
      '2026-02-01',
      'EUR',
    );
    expect(order.lines.map((line) => line.offerId).sort()).toEqual(['cheap', 'dear']);
  });

  it('lists what no offer serves, with the reason', () => {
    const order = aggregateOrders(
      [
        need('b1', '60', { supplierId: 'nobody' }),
        need('b1', '2', { materialCode: 'tap', unitCode: 'H87' }),
        need('b1', '3', { materialCode: 'wire' }),
        need('b1', '0', { materialCode: 'sand' }),
      ],
      [offer('o'), offer('old', { materialCode: 'wire', validUntil: '2026-01-15' })],
      '2026-02-01',
      'EUR',
    );
    expect(order.lines).toEqual([]);
    expect(order.totalAmount).toEqual(money('0', 'EUR'));
    expect(order.unserved.map(({ materialCode, reason }) => [materialCode, reason])).toEqual([
      ['cement', 'other-supplier'],
      ['tap', 'no-offer'],
      ['wire', 'not-valid-on-date'],
    ]);
    expect(order.unserved[2]?.offers).toEqual([{ offerId: 'old', reason: 'not-valid-on-date' }]);
  });

  it('refuses a negative need and a bad date', () => {
    expect(() => aggregateOrders([need('b1', '-1')], [], '2026-02-01', 'EUR')).toThrow(
      /^b1\.cement\.quantity /,
    );
    expect(() => aggregateOrders([need('b1', '1')], [offer('o')], 'soon', 'EUR')).toThrow(
      /^onDate /,
    );
  });
});

describe('a receipt', () => {
  it('refuses more damage than came and counts below zero', () => {
    const count = { dispatched: '10', unloaded: '9', damaged: '10' };
    expect(() => reconcileReceipt(count)).toThrow(/^damaged /);
    expect(() => reconcileReceipt({ ...count, unloaded: '-1' })).toThrow(/^unloaded /);
  });
});
