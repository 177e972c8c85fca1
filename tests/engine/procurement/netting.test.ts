import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bestDiscountQuantity,
  economicOrderQuantity,
  lotSizeOverWays,
  type NettingInput,
  netRequirements,
  serveFirstExpiring,
  wagnerWhitin,
} from '../../../shared/index.ts';

const net = (more: Partial<NettingInput> = {}) =>
  netRequirements({
    onHand: 0,
    grossRequirements: [10, 0, 25],
    leadPeriods: 0,
    lotRule: { kind: 'lot-for-lot' },
    ...more,
  });

// worked by hand
describe('netting', () => {
  it.each([
    [{ kind: 'lot-for-lot' }, [10, 0, 25]],
    [{ kind: 'fixed-lot', lotQuantity: 18 }, [18, 0, 18]],
    [{ kind: 'fixed-lot', lotQuantity: 8 }, [16, 0, 24]],
    [{ kind: 'pack-multiple', packQuantity: 4 }, [12, 0, 24]],
    [{ kind: 'pack-multiple', packQuantity: 4, minimumQuantity: 15 }, [16, 0, 20]],
    [{ kind: 'minimum-order', minimumQuantity: 12 }, [12, 0, 23]],
  ] as const)('follows the lot rule %j', (lotRule, receipts) => {
    expect(net({ lotRule }).plannedReceipts).toEqual(receipts);
  });

  it('takes 3 packs of 0.1 for 0.3, whatever binary fractions make of it', () => {
    const { plannedReceipts } = net({
      grossRequirements: [0.1 + 0.2],
      lotRule: { kind: 'pack-multiple', packQuantity: 0.1 },
    });
    expect(plannedReceipts[0]).toBeCloseTo(0.3, 12);
  });

  it('lists what had to be ordered before period 1 as late', () => {
    const found = net({ leadPeriods: 2 });
    expect(found.plannedReleases).toEqual([25, 0, 0]);
    expect(found.lateReleases).toEqual([{ receiptPeriod: 1, quantity: 10, periodsLate: 2 }]);
  });

  it('serves from lots that expire first, and takes off what is past its life', () => {
    const found = net({
      onHand: 5,
      expiringLots: [
        { quantity: 30, lastPeriod: 2 },
        { quantity: 4, lastPeriod: 1 },
        { quantity: 7, lastPeriod: 0 },
      ],
    });
    // period 1 takes 4 and 6 of 30; 24 are lost before period 3; 5 on hand against 25
    expect(found.expired).toEqual([7, 0, 24]);
    expect(found.projectedOnHand).toEqual([29, 29, 0]);
    expect(found.netRequirements).toEqual([0, 0, 20]);
  });

  it('counts returns as scheduled receipts', () => {
    expect(net({ expectedReturns: [4, 0, 1] }).netRequirements).toEqual([6, 0, 24]);
  });

  it('refuses what it cannot net', () => {
    expect(() => net({ onHand: -1 })).toThrow(/^onHand = -1/);
    expect(() => net({ grossRequirements: [] })).toThrow(/^grossRequirements/);
    expect(() => net({ grossRequirements: [1, Number.NaN] })).toThrow(
      /grossRequirements\[1\] = NaN/,
    );
    expect(() => net({ scheduledReceipts: [1] })).toThrow(/scheduledReceipts = 1: must have 3/);
    expect(() => net({ leadPeriods: 0.5 })).toThrow(/^leadPeriods = 0\.5/);
    expect(() => net({ lotRule: { kind: 'fixed-lot', lotQuantity: 0 } })).toThrow(
      /lotQuantity = 0/,
    );
  });
});

const amounts = fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 1, maxLength: 12 });

describe('netted stock', () => {
  it('balances, and never falls below the safety stock by planning', () => {
    fc.assert(
      fc.property(amounts, fc.nat(40), fc.nat(20), fc.nat(30), (gross, onHand, safety, lot) => {
        const found = netRequirements({
          onHand,
          safetyStock: safety,
          grossRequirements: gross,
          expiringLots: [{ quantity: lot, lastPeriod: 3 }],
          leadPeriods: 1,
          lotRule: { kind: 'pack-multiple', packQuantity: 7 },
        });
        let before = onHand + lot;
        for (const [index, need] of gross.entries()) {
          const now = found.projectedOnHand[index] ?? Number.NaN;
          before += (found.plannedReceipts[index] ?? 0) - (found.expired[index] ?? 0) - need;
          expect(now).toBe(before);
          expect(now).toBeGreaterThanOrEqual(safety);
        }
      }),
      { numRuns: 500 },
    );
  });

  it('of what expires is served so that no other order covers more', () => {
    const supplies = fc.array(
      fc.record({
        arrives: fc.integer({ min: 1, max: 4 }),
        lastPeriod: fc.integer({ min: 1, max: 5 }),
        quantity: fc.integer({ min: 0, max: 2 }),
      }),
      { maxLength: 3 },
    );
    const demand = fc.array(fc.integer({ min: 0, max: 2 }), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(demand, supplies, (needs, lots) => {
        const { uncovered, taken } = serveFirstExpiring(needs, lots);
        const covered = needs.reduce((sum, need, index) => sum + need - (uncovered[index] ?? 0), 0);
        expect(taken.reduce((sum, part) => sum + part, 0)).toBe(covered);
        // unit by unit, every way of assigning tried
        const units = needs.flatMap((need, index) => Array.from({ length: need }, () => index + 1));
        const most = (at: number, left: readonly number[]): number => {
          const period = units[at];
          if (period === undefined) return 0;
          let best = most(at + 1, left);
          for (const [lot, { arrives, lastPeriod }] of lots.entries()) {
            if (arrives > period || lastPeriod < period || (left[lot] ?? 0) === 0) continue;
            best = Math.max(best, 1 + most(at + 1, left.with(lot, (left[lot] ?? 0) - 1)));
          }
          return best;
        };
        expect(covered).toBe(
          most(
            0,
            lots.map(({ quantity }) => quantity),
          ),
        );
      }),
      { numRuns: 300 },
    );
  });
});

describe('lot sizes', () => {
  it('equal the cheapest of all ways to choose the periods of orders', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(30), fc.nat(60), fc.nat(4)), { minLength: 1, maxLength: 7 }),
        (rows) => {
          const [demand, orderCost, holding] = [0, 1, 2].map((at) =>
            rows.map((row) => row[at] ?? 0),
          );
          if (!demand || !orderCost || !holding) return;
          let best = Number.POSITIVE_INFINITY;
          for (let set = 0; set < 2 ** demand.length; set += 1) {
            let cost = 0;
            let from = -1;
            for (const [t, need] of demand.entries()) {
              if ((set >> t) & 1) {
                from = t;
                cost += orderCost[t] ?? 0;
              }
              if (need === 0) continue;
              if (from < 0) cost = Number.POSITIVE_INFINITY;
              for (let m = from; m < t; m += 1) cost += need * (holding[m] ?? 0);
            }
            best = Math.min(best, cost);
          }
          const found = wagnerWhitin({ demand, orderCost, holdingCostPerUnit: holding });
          expect(found.leastCosts.at(-1)).toBe(best);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('over one way a period are those of the recurrence', () => {
    fc.assert(
      fc.property(amounts, fc.nat(100), fc.nat(5), (demand, orderCost, holdingCostPerUnit) => {
        const ways = demand.map((_, index) => ({
          arrivesInPeriod: index + 1,
          lastPeriod: demand.length,
          orderCost,
          unitCost: 0,
        }));
        const found = lotSizeOverWays(demand, ways, holdingCostPerUnit);
        const { leastCosts } = wagnerWhitin({ demand, orderCost, holdingCostPerUnit });
        expect(found?.cost).toBeCloseTo(leastCosts.at(-1) ?? Number.NaN, 6);
      }),
      { numRuns: 300 },
    );
  });

  it('are refused for no or negative demand, and null where nothing can arrive', () => {
    const terms = { orderCost: 1, holdingCostPerUnit: 1 };
    expect(() => wagnerWhitin({ ...terms, demand: [] })).toThrow(/^demand/);
    expect(() => wagnerWhitin({ ...terms, demand: [1, -1] })).toThrow(/^demand\[1\] = -1/);
    expect(() => wagnerWhitin({ ...terms, demand: [1, 1], orderCost: [1] })).toThrow(/must have 2/);
    expect(lotSizeOverWays([1], [], 1)).toBeNull();
    expect(lotSizeOverWays([0], [], 1)).toEqual({ cost: 0, stretches: [] });
  });
});

describe('quantities under price breaks', () => {
  const terms = {
    demandPerYear: 600,
    orderCost: 8,
    holdingRatePerYear: 0.2,
    unitCost: 0.3,
    breakRule: 'all-units' as const,
  };

  it('cost no more than any quantity of a fine grid', () => {
    const breaks = [
      { fromQuantity: 500, unitCost: 0.29 },
      { fromQuantity: 1_000, unitCost: 0.28 },
    ];
    const priceOf = (rule: string, q: number): number => {
      if (rule === 'all-units') return q * (q >= 1_000 ? 0.28 : q >= 500 ? 0.29 : 0.3);
      return (
        0.3 * Math.min(q, 500) +
        0.29 * Math.max(0, Math.min(q, 1_000) - 500) +
        0.28 * Math.max(0, q - 1_000)
      );
    };
    for (const breakRule of ['all-units', 'incremental'] as const) {
      const found = bestDiscountQuantity({ ...terms, priceBreaks: breaks, breakRule });
      for (let q = 50; q < 3_000; q += 1) {
        const goods = priceOf(breakRule, q);
        const cost = (600 * goods) / q + (8 * 600) / q + (0.2 * goods) / 2;
        expect(found.yearlyCost).toBeLessThanOrEqual(cost + 1e-9);
      }
    }
  });

  it('are refused for breaks that do not rise or prices that do not fall', () => {
    const withBreaks = (...breaks: [number, number][]) =>
      bestDiscountQuantity({
        ...terms,
        priceBreaks: breaks.map(([fromQuantity, unitCost]) => ({ fromQuantity, unitCost })),
      });
    expect(() => withBreaks([500, 0.29], [500, 0.28])).toThrow(
      /\[1\]\.fromQuantity = 500: must be above/,
    );
    expect(() => withBreaks([500, 0.3])).toThrow(/\[0\]\.unitCost = 0\.3: must be below/);
    expect(() => bestDiscountQuantity({ ...terms, demandPerYear: 0 })).toThrow(/^demandPerYear/);
    expect(() => economicOrderQuantity(1, 1, 0)).toThrow(/^holdingCostPerUnitYear/);
  });
});
