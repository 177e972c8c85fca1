import { describe, expect, it } from 'vitest';
import {
  type BreakRule,
  breakFaults,
  cheapestPacks,
  cheapestValidOffer,
  type Offer,
  offerAmount,
  orderAmount,
  orderCostOf,
} from '../../../shared/index.ts';

/**
 * The "trash bags" of Nahmias, Production and Operations Analysis, quantity discounts [memory]:
 * 600 bags a year, 8 for an order, 20 % a year of the value held; 0.30 below 500, 0.29 from 500,
 * 0.28 from 1000.
 */
const BAGS_A_YEAR = 600;
const HOLDING_RATIO = 0.2;
const bags = (breakRule: BreakRule): Offer => ({
  offerId: 'bags',
  supplierId: 's',
  materialCode: 'bag',
  unitCode: 'H87',
  packContent: '1',
  packPrice: { amount: '0.30', currency: 'USD' },
  orderCost: '8',
  priceBreaks: [
    { fromPacks: 500, pricePerPack: '0.29' },
    { fromPacks: 1000, pricePerPack: '0.28' },
  ],
  breakRule,
  validFrom: '2026-01-01',
});

/** Ordering, buying and holding of a year when every order is of that size. */
function annualCost(offer: Offer, packCount: number): number {
  const packs = Number(offerAmount(offer, packCount).amount);
  const order = Number(orderAmount(offer, packCount).amount);
  return (BAGS_A_YEAR * order) / packCount + (HOLDING_RATIO * packs) / 2;
}

describe('the textbook of quantity discounts', () => {
  it.each([
    [400, 204.0],
    [500, 198.1],
    [1000, 200.8],
  ])('all-units: a year of orders of %i costs %f', (packCount, expected) => {
    expect(annualCost(bags('all-units'), packCount)).toBeCloseTo(expected, 2);
  });

  // the book's sizes 518.62 and 702.04 in whole bags; the curve is flat there
  it.each([
    [400, 204.0],
    [519, 204.58],
    [702, 205.97],
  ])('incremental: a year of orders of %i costs %f', (packCount, expected) => {
    expect(annualCost(bags('incremental'), packCount)).toBeCloseTo(expected, 2);
  });

  it('finds the book’s best sizes among all: 500, and 400', () => {
    const best = (offer: Offer) => {
      const sizes = Array.from({ length: 2000 }, (_, index) => index + 1);
      return sizes.reduce((a, b) => (annualCost(offer, b) < annualCost(offer, a) ? b : a));
    };
    expect(best(bags('all-units'))).toBe(500);
    expect(best(bags('incremental'))).toBe(400);
  });
});

describe('what packs of an offer cost', () => {
  it.each<[BreakRule, number, string]>([
    ['all-units', 0, '0.00'],
    ['all-units', 499, '149.70'],
    // 500 · 0.29, less than 499 · 0.30
    ['all-units', 500, '145.00'],
    ['all-units', 1000, '280.00'],
    ['incremental', 499, '149.70'],
    ['incremental', 500, '150.00'],
    ['incremental', 501, '150.29'],
    // 500 · 0.30 + 500 · 0.29
    ['incremental', 1000, '295.00'],
    ['incremental', 1001, '295.28'],
  ])('%s, %i packs: %s', (rule, packCount, expected) => {
    expect(offerAmount(bags(rule), packCount)).toEqual({ amount: expected, currency: 'USD' });
  });

  it('counts the cost of ordering once, and never for nothing', () => {
    expect(orderAmount(bags('all-units'), 500).amount).toBe('153.00');
    expect(orderAmount(bags('all-units'), 0).amount).toBe('0.00');
    expect(orderCostOf(bags('all-units')).amount).toBe('8.00');
    const { orderCost: _, priceBreaks: _b, breakRule: _r, ...plain } = bags('all-units');
    expect(orderAmount(plain, 10).amount).toBe('3.00');
  });

  it.each([1.5, -1, Number.NaN])('refuses %f packs', (packCount) => {
    expect(() => offerAmount(bags('all-units'), packCount)).toThrow(/packCount/);
  });

  it('refuses breaks without a rule, prices that rise and costs finer than the currency', () => {
    const offer = bags('all-units');
    expect(() => offerAmount({ ...offer, breakRule: null }, 1)).toThrow(/breakRule/);
    const rising = [{ fromPacks: 5, pricePerPack: '0.31' }];
    expect(() => offerAmount({ ...offer, priceBreaks: rising }, 1)).toThrow(/below 0.30/);
    expect(() => orderAmount({ ...offer, orderCost: '0.001' }, 1)).toThrow(/decimals/);
  });

  it('names every fault of a list of breaks', () => {
    const faults = breakFaults({
      pricePerPack: '5',
      minimumPacks: 10,
      maximumPacks: 60,
      breakRule: null,
      priceBreaks: [
        { fromPacks: 10, pricePerPack: '5.00' },
        { fromPacks: 70, pricePerPack: '4' },
      ],
    });
    expect(faults.map(({ path }) => path.join('/'))).toEqual([
      'breakRule',
      'priceBreaks/0/fromPacks',
      'priceBreaks/0/pricePerPack',
      'priceBreaks/1/fromPacks',
    ]);
    expect(
      breakFaults({ pricePerPack: '5', priceBreaks: [], breakRule: 'all-units' }),
    ).toHaveLength(1);
  });
});

describe('the packs that cover a need', () => {
  it('are more than needed where the break makes that cheaper', () => {
    // 484 · 0.30 = 145.20 is above 500 · 0.29 = 145.00; 483 · 0.30 = 144.90 is below
    expect(cheapestPacks(bags('all-units'), '484')).toBe(500);
    expect(cheapestPacks(bags('all-units'), '483')).toBe(483);
    expect(cheapestPacks({ ...bags('all-units'), maximumPacks: 499 }, '484')).toBe(484);
    expect(cheapestPacks(bags('incremental'), '499')).toBe(499);
    expect(cheapestPacks(bags('all-units'), '0')).toBe(0);
  });
});

describe('the cheapest of several offers', () => {
  const need = { materialCode: 'bag', unitCode: 'H87', quantity: '100', currency: 'USD' };
  const plain: Offer = {
    offerId: 'plain',
    supplierId: 't',
    materialCode: 'bag',
    unitCode: 'H87',
    packContent: '1',
    packPrice: { amount: '0.33', currency: 'USD' },
    validFrom: '2026-01-01',
  };
  const bestFor = (quantity: string, ...offers: Offer[]) =>
    cheapestValidOffer(offers, '2026-02-01', { ...need, quantity }).best;

  it('counts the cost of ordering: 100 · 0.33 is below 100 · 0.30 + 8', () => {
    expect(bestFor('100', bags('all-units'), plain)?.offer.offerId).toBe('plain');
    // 300 · 0.33 = 99.00 is above 300 · 0.30 + 8 = 98.00
    expect(bestFor('300', bags('all-units'), plain)?.offer.offerId).toBe('bags');
  });

  it('says the price paid, the amount and the cost of ordering apart', () => {
    expect(bestFor('600', bags('all-units'))).toMatchObject({
      packCount: 600,
      unitRate: '0.29',
      packPrice: { amount: '0.29' },
      amount: { amount: '174.00' },
      orderCost: { amount: '8.00' },
    });
    // (500 · 0.30 + 100 · 0.29) / 600 = 0.298333
    expect(bestFor('600', bags('incremental'))).toMatchObject({
      packPrice: { amount: '0.298333' },
      amount: { amount: '179.00' },
    });
  });

  it('leaves out an offer whose most packs do not cover the need', () => {
    const choice = cheapestValidOffer(
      [{ ...bags('all-units'), maximumPacks: 99, priceBreaks: [], breakRule: null }, plain],
      '2026-02-01',
      need,
    );
    expect(choice.best?.offer.offerId).toBe('plain');
    expect(choice.refused).toEqual([{ offerId: 'bags', reason: 'above-maximum-packs' }]);
  });
});
