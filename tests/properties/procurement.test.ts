import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  aggregateOrders,
  compareQuantities,
  type MaterialNeed,
  type Offer,
  reconcileReceipt,
  scaleQuantity,
  sumMoney,
  sumQuantities,
  toQuantity,
} from '../../shared/index.ts';

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const needs: fc.Arbitrary<MaterialNeed[]> = fc.array(
  fc.record({
    buildId: fc.integer({ min: 1, max: 9 }).map((n) => `build-${n}`),
    materialCode: fc.constantFrom('cement', 'sand', 'wire', 'tap'),
    unitCode: fc.constant('KGM'),
    quantity: fc.integer({ min: 0, max: 400_000_000 }).map((micro) => toQuantity(micro / 1e6)),
    deliveryVillageId: fc.constantFrom('north', 'south'),
  }),
  { maxLength: 30 },
);

const offers: fc.Arbitrary<Offer[]> = fc
  .array(
    fc.record({
      supplierId: fc.constantFrom('first', 'second'),
      materialCode: fc.constantFrom('cement', 'sand', 'wire'),
      unitCode: fc.constant('KGM'),
      packContent: fc.integer({ min: 500_000, max: 60_000_000 }).map((m) => toQuantity(m / 1e6)),
      packPrice: fc
        .integer({ min: 1, max: 9_999 })
        .map((cents) => ({ amount: (cents / 100).toFixed(2), currency: 'EUR' })),
      minimumPacks: fc.integer({ min: 0, max: 8 }),
      validFrom: fc.constant('2026-01-01'),
      deliveryVillageIds: fc.constantFrom(null, ['north']),
    }),
    { maxLength: 8 },
  )
  .map((list) => list.map((offer, index) => ({ ...offer, offerId: `offer-${index}` })));

describe('order proposals', () => {
  it('order need plus rounding in every line and lose no need', () => {
    fc.assert(
      fc.property(needs, offers, (list, market) => {
        const order = aggregateOrders(list, market, '2026-02-01', 'EUR');
        for (const line of order.lines) {
          expect(line.ordered).toBe(sumQuantities([line.need, line.rounding]));
          expect(line.ordered).toBe(scaleQuantity(line.packContent, line.packCount));
          expect(compareQuantities(line.rounding, '0')).toBeGreaterThanOrEqual(0);
          expect(line.perBuildPackCount).toBeGreaterThanOrEqual(line.packCount);
        }
        expect(order.totalAmount).toEqual(
          sumMoney(
            order.lines.map((line) => line.amount),
            'EUR',
          ),
        );
        for (const material of ['cement', 'sand', 'wire', 'tap']) {
          const asked = list.filter((n) => n.materialCode === material).map((n) => n.quantity);
          const answered = [...order.lines, ...order.unserved]
            .filter((line) => line.materialCode === material)
            .map((line) => line.need);
          expect(sumQuantities(answered)).toBe(sumQuantities(asked));
        }
      }),
      { numRuns: 150 },
    );
  });

  it('do not depend on the order of the needs or the offers', () => {
    fc.assert(
      fc.property(needs, offers, (list, market) => {
        const there = aggregateOrders(list, market, '2026-02-01', 'EUR');
        const back = aggregateOrders(
          [...list].reverse(),
          [...market].reverse(),
          '2026-02-01',
          'EUR',
        );
        expect(back.lines).toEqual(there.lines);
        expect(back.totalAmount).toEqual(there.totalAmount);
        expect(back.unserved.map((need) => need.need)).toEqual(
          there.unserved.map((need) => need.need),
        );
      }),
      { numRuns: 100 },
    );
  });
});

describe('receipts', () => {
  it('balance: dispatched + excess = good + damaged + missing', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 5000 }),
        fc.integer({ min: 0, max: 5000 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (dispatched, unloaded, share) => {
          const damaged = Math.floor(unloaded * share);
          const found = reconcileReceipt({
            dispatched: String(dispatched),
            unloaded: String(unloaded),
            damaged: String(damaged),
          });
          expect(sumQuantities([String(dispatched), found.excess])).toBe(
            sumQuantities([found.good, found.damaged, found.missing]),
          );
          expect(found.missing === '0' || found.excess === '0').toBe(true);
        },
      ),
    );
  });
});
