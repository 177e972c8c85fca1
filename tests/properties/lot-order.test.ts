import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  allocateLots,
  compareQuantities,
  firstExpiringFirst,
  lotThatSuffices,
  type StoredLot,
  subtractQuantities,
  sumQuantities,
} from '../../shared/index.ts';

const quantity = fc
  .integer({ min: 0, max: 50_000_000 })
  .map((micro) => sumQuantities([(micro / 1e6).toFixed(6)]));

const lots = fc
  .uniqueArray(
    fc.record({
      lotId: fc.option(fc.integer({ min: 0, max: 30 }).map((n) => `lot-${n}`)),
      quantity,
      usableUntil: fc.option(
        fc.integer({ min: 1, max: 28 }).map((day) => `2026-05-${String(day).padStart(2, '0')}`),
      ),
      rule: fc.option(fc.constantFrom('lot-expired', 'lot-recalled', 'lot-failed-test'), {
        freq: 4,
      }),
    }),
    { selector: ({ lotId }) => lotId, maxLength: 12 },
  )
  .map((all) =>
    all.map(
      (lot): StoredLot =>
        lot.lotId === null
          ? { ...lot, code: 'none', usableUntil: null, rule: null }
          : { ...lot, code: lot.lotId },
    ),
  );
const wanted = quantity.filter((text) => text !== '0');

const find = (all: readonly StoredLot[], lotId: string | null) => {
  const lot = all.find((each) => each.lotId === lotId);
  if (!lot) throw new Error('a part of a lot that is not there');
  return lot;
};

it('allocated parts and what is missing add up to what was wanted, exactly', () => {
  fc.assert(
    fc.property(wanted, lots, (want, all) => {
      const { parts, missing } = allocateLots(want, all);
      expect(sumQuantities([...parts.map((part) => part.quantity), missing])).toBe(want);
    }),
  );
});

it('never takes more than a lot has, nor from a lot that a rule forbids, nor from one twice', () => {
  fc.assert(
    fc.property(wanted, lots, (want, all) => {
      const { parts } = allocateLots(want, all);
      expect(new Set(parts.map(({ lotId }) => lotId)).size).toBe(parts.length);
      for (const part of parts) {
        const lot = find(all, part.lotId);
        expect(lot.rule).toBeNull();
        expect(compareQuantities(part.quantity, lot.quantity)).toBeLessThanOrEqual(0);
        expect(compareQuantities(part.quantity, '0')).toBe(1);
      }
    }),
  );
});

it('leaves no usable lot that expires earlier with something in it, and is short only when all are empty', () => {
  fc.assert(
    fc.property(wanted, lots, (want, all) => {
      const { parts, missing } = allocateLots(want, all);
      const taken = new Map(parts.map((part) => [part.lotId, part.quantity]));
      const usable = firstExpiringFirst(all).filter(({ rule }) => rule === null);
      const left = usable.map((lot) =>
        subtractQuantities(lot.quantity, taken.get(lot.lotId) ?? '0'),
      );
      const last = usable.findLastIndex(({ lotId }) => taken.has(lotId));
      for (const rest of left.slice(0, Math.max(last, 0))) expect(rest).toBe('0');
      if (missing !== '0') expect(left.every((rest) => rest === '0')).toBe(true);
    }),
  );
});

it('is the same whatever the order in which the lots are given', () => {
  fc.assert(
    fc.property(wanted, lots, (want, all) => {
      const { parts, missing } = allocateLots(want, all);
      expect(allocateLots(want, [...all].reverse())).toMatchObject({ parts, missing });
    }),
  );
});

it('names one lot exactly when a usable one covers the need', () => {
  fc.assert(
    fc.property(wanted, lots, (want, all) => {
      const covers = all.some(
        (lot) => lot.rule === null && compareQuantities(lot.quantity, want) >= 0,
      );
      expect(lotThatSuffices(want, all) !== null).toBe(covers);
    }),
  );
});
