import { EngineError } from '../errors.ts';
import {
  compareQuantities,
  type Quantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';

/** What one village needs of the material in one period. */
export interface PeriodNeed {
  readonly villageId: string;
  /** From 1. */
  readonly period: number;
  readonly quantity: Quantity;
}

/** A quantity that is there, or will be, without buying. */
export interface AvailableStock {
  /** The lot, order line or balance that it is. */
  readonly supplyId: string;
  readonly kind: 'stock' | 'open-order' | 'in-transit' | 'return';
  /** The village where it lies or arrives; null for a store that serves every village. */
  readonly villageId: string | null;
  readonly storeId: string | null;
  /** First period in which it can serve; 1 when it lies there now. */
  readonly fromPeriod: number;
  /** Last period in which it may serve; null when it keeps. */
  readonly untilPeriod: number | null;
  readonly quantity: Quantity;
}

export interface StockAllocation {
  readonly supplyId: string;
  readonly kind: AvailableStock['kind'];
  readonly storeId: string | null;
  readonly fromVillageId: string | null;
  readonly toVillageId: string;
  readonly period: number;
  readonly quantity: Quantity;
}

export interface AllocatedStock {
  readonly allocations: readonly StockAllocation[];
  /** Needs that nothing covers, in the order of period and village. */
  readonly uncovered: readonly PeriodNeed[];
  /** What is left of each supply, in the order given; what is past its time counts too. */
  readonly leftOver: readonly { readonly supplyId: string; readonly quantity: Quantity }[];
}

/** Own goods first, then stores that serve all, then what other villages will not need. */
type Round = (supply: AvailableStock, villageId: string) => boolean;
const ROUNDS: readonly Round[] = [
  (supply, villageId) => supply.villageId === villageId,
  (supply) => supply.villageId === null,
  (supply, villageId) =>
    supply.villageId !== null && supply.villageId !== villageId && supply.kind === 'stock',
];

/**
 * Shares out one material that is there or on its way, before any is bought: goods of the village
 * itself, then stores that serve every village, then stock that other villages have to spare.
 *
 * Needs are met in the order of their periods, each by what expires first; goods that do not expire
 * come last. An open order or goods on the road are not sent on to another village.
 *
 * @throws {EngineError} `out-of-range` for a period below 1 or a negative quantity
 * @source stock-practice
 */
export function allocateStock(
  needs: readonly PeriodNeed[],
  supplies: readonly AvailableStock[],
): AllocatedStock {
  for (const { period, quantity, villageId } of needs) {
    requirePeriod(`${villageId}.period`, period);
    requireNotNegative(`${villageId}.quantity`, quantity);
  }
  for (const { supplyId, fromPeriod, quantity } of supplies) {
    requirePeriod(`${supplyId}.fromPeriod`, fromPeriod);
    requireNotNegative(`${supplyId}.quantity`, quantity);
  }
  const open = [...needs]
    .sort((a, b) => a.period - b.period || compareText(a.villageId, b.villageId))
    .map((need) => ({ need, rest: need.quantity }));
  const left = [...supplies]
    .sort(firstExpiring)
    .map((supply) => ({ supply, rest: supply.quantity }));
  const allocations: StockAllocation[] = [];
  for (const mayServe of ROUNDS) {
    for (const want of open) {
      for (const have of left) {
        if (want.rest === '0') break;
        if (have.rest === '0' || !serves(have.supply, want.need, mayServe)) continue;
        const taken = compareQuantities(want.rest, have.rest) < 0 ? want.rest : have.rest;
        want.rest = subtractQuantities(want.rest, taken);
        have.rest = subtractQuantities(have.rest, taken);
        allocations.push({
          supplyId: have.supply.supplyId,
          kind: have.supply.kind,
          storeId: have.supply.storeId,
          fromVillageId: have.supply.villageId,
          toVillageId: want.need.villageId,
          period: want.need.period,
          quantity: taken,
        });
      }
    }
  }
  const restOf = new Map(left.map(({ supply, rest }) => [supply.supplyId, rest]));
  return {
    allocations,
    uncovered: open.flatMap(({ need, rest }) =>
      compareQuantities(rest, '0') > 0 ? [{ ...need, quantity: rest }] : [],
    ),
    leftOver: supplies.map(({ supplyId }) => ({ supplyId, quantity: restOf.get(supplyId) ?? '0' })),
  };
}

/**
 * Uncovered needs added up by village and period.
 *
 * @source takeoff-own
 */
export function sumNeeds(needs: readonly PeriodNeed[]): PeriodNeed[] {
  const sums = new Map<string, PeriodNeed>();
  for (const need of needs) {
    const key = `${need.villageId} ${need.period}`;
    const soFar = sums.get(key)?.quantity ?? '0';
    sums.set(key, { ...need, quantity: sumQuantities([soFar, need.quantity]) });
  }
  return [...sums.values()].sort(
    (a, b) => a.period - b.period || compareText(a.villageId, b.villageId),
  );
}

function serves(supply: AvailableStock, need: PeriodNeed, mayServe: Round): boolean {
  return (
    supply.fromPeriod <= need.period &&
    (supply.untilPeriod === null || need.period <= supply.untilPeriod) &&
    mayServe(supply, need.villageId)
  );
}

function firstExpiring(a: AvailableStock, b: AvailableStock): number {
  return (
    (a.untilPeriod ?? Number.POSITIVE_INFINITY) - (b.untilPeriod ?? Number.POSITIVE_INFINITY) ||
    a.fromPeriod - b.fromPeriod ||
    compareText(a.supplyId, b.supplyId)
  );
}

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

function requirePeriod(parameter: string, period: number): void {
  if (Number.isSafeInteger(period) && period >= 1) return;
  throw new EngineError('out-of-range', parameter, period, 'must be a whole number from 1');
}

function requireNotNegative(parameter: string, quantity: Quantity): void {
  if (compareQuantities(quantity, '0') >= 0) return;
  throw new EngineError('out-of-range', parameter, quantity, 'must not be negative');
}
