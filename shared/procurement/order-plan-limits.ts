import { EngineError, requireFinite } from '../errors.ts';

/** Sizes up to which a plan is looked at; ours, so that a request stays within time and memory. */
export const ORDER_PLAN_LIMITS = {
  periods: 104,
  items: 400,
  offersPerItem: 20,
  /** Offers times periods in which they may be placed. */
  possibleOrders: 40_000,
  quantity: 1e8,
  totalQuantity: 1e9,
  cost: 1e9,
} as const;

/** Quantities are planned in whole millionths of a unit. */
export const MICRO = 1_000_000;

/** Binary fractions closer than this to a whole millionth are that millionth. */
const MICRO_SLACK = 1e-3;

/**
 * A quantity in whole millionths, rounded down.
 *
 * @source order-plan-own
 */
export const microDown = (quantity: number): number =>
  Math.max(0, Math.floor(quantity * MICRO + MICRO_SLACK));

/**
 * A quantity in whole millionths, rounded up.
 *
 * @source order-plan-own
 */
export const microUp = (quantity: number): number =>
  Math.max(0, Math.ceil(quantity * MICRO - MICRO_SLACK));

/** Throws unless the value is finite and lies in [low, high]. */
export function requireNumber(name: string, value: number, low: number, high: number): void {
  requireFinite({ [name]: value });
  if (value >= low && value <= high) return;
  throw new EngineError('out-of-range', name, value, `must lie between ${low} and ${high}`);
}

/** Throws unless the value is a whole number in [low, high]. */
export function requireWhole(name: string, value: number, low: number, high: number): void {
  if (Number.isSafeInteger(value) && value >= low && value <= high) return;
  throw new EngineError(
    'out-of-range',
    name,
    value,
    `must be a whole number from ${low} to ${high}`,
  );
}

export const requireQuantity = (name: string, value: number): void =>
  requireNumber(name, value, 0, ORDER_PLAN_LIMITS.quantity);

export const requireCost = (name: string, value: number): void =>
  requireNumber(name, value, 0, ORDER_PLAN_LIMITS.cost);

/** Throws unless a list has one value a period. */
export function requirePeriods(name: string, list: readonly unknown[], periodCount: number): void {
  if (list.length === periodCount) return;
  const limit = `must have one value for each of the ${periodCount} periods`;
  throw new EngineError('inconsistent', name, list.length, limit);
}

/** Throws when two of the names are the same. */
export function requireDistinct(name: string, ids: readonly string[]): void {
  const seen = new Set<string>();
  for (const id of ids) {
    if (seen.has(id)) throw new EngineError('inconsistent', name, id, 'occurs twice');
    seen.add(id);
  }
}

/** One value a period from one for all or a list. */
export const perPeriod = (value: number | readonly number[], periodCount: number): number[] =>
  typeof value === 'number' ? Array.from({ length: periodCount }, () => value) : [...value];
