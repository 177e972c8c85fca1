import { EngineError } from '../errors.ts';
import {
  compareQuantities,
  type Quantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';
import type { LotRule } from './lot-standing.ts';

/** What lies in one store of one material: a lot, or what was never given a lot. */
export interface StoredLot {
  /** Null for stock without a lot. */
  readonly lotId: string | null;
  readonly code: string;
  readonly quantity: Quantity;
  /** Last day of use; null when it keeps. */
  readonly usableUntil: string | null;
  /** The rule that forbids its use, if one does. */
  readonly rule: LotRule | null;
}

export interface LotPart {
  readonly lotId: string | null;
  readonly quantity: Quantity;
}

export interface LotAllocation {
  /** In the order in which they are to be taken. */
  readonly parts: readonly LotPart[];
  /** What no usable lot covers; "0" when everything is covered. */
  readonly missing: Quantity;
  /** Lots that hold something and were passed over, in the order given. */
  readonly refused: readonly StoredLot[];
}

/**
 * Lots in the order in which they are used up: first expiring first, then what keeps, and stock
 * without a lot last. Equal days are ordered by code and id, so that the order is total.
 *
 * @throws {EngineError} `inconsistent` when two entries are the same lot
 * @source stock-practice
 */
export function firstExpiringFirst(lots: readonly StoredLot[]): StoredLot[] {
  const seen = new Set<string | null>();
  for (const { lotId } of lots) {
    if (seen.has(lotId)) throw new EngineError('inconsistent', 'lotId', lotId, 'is given twice');
    seen.add(lotId);
  }
  return [...lots].sort(
    (a, b) =>
      Number(a.lotId === null) - Number(b.lotId === null) ||
      Number(a.usableUntil === null) - Number(b.usableUntil === null) ||
      compareText(a.usableUntil ?? '', b.usableUntil ?? '') ||
      compareText(a.code, b.code) ||
      compareText(a.lotId ?? '', b.lotId ?? ''),
  );
}

/**
 * Takes a quantity out of the lots of a store, first expiring first, never more than a lot has and
 * never from a lot that a rule forbids. Parts and missing add up to what was wanted, exactly.
 *
 * @throws {EngineError} `out-of-range` when the quantity wanted is not above 0 or a lot holds less
 *   than nothing, `inconsistent` when two entries are the same lot
 * @source stock-practice
 */
export function allocateLots(wanted: Quantity, lots: readonly StoredLot[]): LotAllocation {
  if (compareQuantities(wanted, '0') <= 0) {
    throw new EngineError('out-of-range', 'wanted', wanted, 'must be above 0');
  }
  for (const { code, quantity } of lots) {
    if (compareQuantities(quantity, '0') < 0) {
      throw new EngineError('out-of-range', `${code}.quantity`, quantity, 'must not be negative');
    }
  }
  const parts: LotPart[] = [];
  let missing = sumQuantities([wanted]);
  for (const { lotId, quantity, rule } of firstExpiringFirst(lots)) {
    if (missing === '0') break;
    if (rule !== null || compareQuantities(quantity, '0') === 0) continue;
    const taken = compareQuantities(quantity, missing) < 0 ? sumQuantities([quantity]) : missing;
    parts.push({ lotId, quantity: taken });
    missing = subtractQuantities(missing, taken);
  }
  const refused = lots.filter(
    ({ quantity, rule }) => rule !== null && compareQuantities(quantity, '0') > 0,
  );
  return { parts, missing, refused };
}

/**
 * The first expiring lot that covers a quantity alone, or null when none does.
 *
 * @throws {EngineError} `inconsistent` when two entries are the same lot
 * @source stock-practice
 */
export function lotThatSuffices(wanted: Quantity, lots: readonly StoredLot[]): StoredLot | null {
  const usable = firstExpiringFirst(lots).filter(({ rule }) => rule === null);
  return usable.find(({ quantity }) => compareQuantities(quantity, wanted) >= 0) ?? null;
}

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
