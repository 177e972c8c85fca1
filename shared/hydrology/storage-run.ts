import { EngineError, requireNotNegative, requirePositive, requireWithin } from '../errors.ts';

export const NAMED_OPERATING_RULES = ['yield-after-spillage', 'yield-before-spillage'] as const;

export type NamedOperatingRule = (typeof NAMED_OPERATING_RULES)[number];

/**
 * Share θ of the day's inflow that may be drawn on the same day. 0 is yield after spillage,
 * 1 is yield before spillage.
 */
export type OperatingRule = NamedOperatingRule | { readonly thetaRatio: number };

/** Hedging: below α of the capacity in the morning, only β of the demand is given out. */
export interface Rationing {
  /** α, 0 to 1. */
  readonly belowVolumeRatio: number;
  /** β, 0 to 1. */
  readonly demandRatio: number;
}

/** Differences smaller than this are ties of floating-point sums, not water. */
export const STORAGE_TIE_L = 1e-9;

/** Water drawn and delivered day by day, before any tank is chosen. */
export interface StorageRun {
  /** Inflow of each day [L]. */
  readonly dailyInflowL: ArrayLike<number>;
  /** Demand of every day, or of each day [L]. */
  readonly demandLPerDay: number | ArrayLike<number>;
  readonly operatingRule: OperatingRule;
  /** Water in the tank at the start [L], or `full`; 0 by default, as in a new tank. */
  readonly initialVolumeL?: number | 'full';
}

/** Inflow and demand as plain arrays of equal length, every value checked; to be read only. */
export interface StorageRecord {
  readonly inflowL: Float64Array;
  readonly demandL: Float64Array;
}

/**
 * θ of an operating rule.
 *
 * @throws {EngineError} `out-of-range` for an unknown rule or θ outside 0 to 1
 * @source latham-1983 general rule, as used by fewkes-butler-2000
 */
export function spillageTheta(rule: OperatingRule): number {
  if (rule === 'yield-after-spillage') return 0;
  if (rule === 'yield-before-spillage') return 1;
  if (typeof rule === 'string') {
    const limit = `must be ${NAMED_OPERATING_RULES.join(' or ')}`;
    throw new EngineError('out-of-range', 'operatingRule', rule, limit);
  }
  requireWithin('operatingRule.thetaRatio', rule.thetaRatio, 0, 1);
  return rule.thetaRatio;
}

/** Inflow and demand as plain arrays, every value checked; one that is plain already is not copied. */
export function storageRecord(run: Pick<StorageRun, 'dailyInflowL' | 'demandLPerDay'>) {
  const inflowL = checkedInflow(run.dailyInflowL);
  const demandL = checkedDemand(run.demandLPerDay, inflowL.length);
  return { inflowL, demandL } satisfies StorageRecord;
}

/** Inflow of each day as a plain array, every value checked. */
export function checkedInflow(dailyInflowL: ArrayLike<number>): Float64Array {
  const inflowL = checkedDays('dailyInflowL', dailyInflowL);
  if (inflowL.length === 0) {
    throw new EngineError('out-of-range', 'dailyInflowL', '[]', 'must hold at least one day');
  }
  return inflowL;
}

/** Demand of each day as a plain array, every value checked. */
export function checkedDemand(demand: number | ArrayLike<number>, dayCount: number): Float64Array {
  if (typeof demand === 'number') {
    requireNotNegative({ demandLPerDay: demand });
    return new Float64Array(dayCount).fill(demand);
  }
  if (demand.length !== dayCount) {
    const limit = `must have one entry for each of the ${dayCount} days of inflow`;
    throw new EngineError('inconsistent', 'demandLPerDay.length', demand.length, limit);
  }
  return checkedDays('demandLPerDay', demand);
}

/** Start volume for one capacity, checked against it. */
export function startVolume(initial: number | 'full' | undefined, capacityL: number): number {
  if (!(capacityL > 0 && capacityL < Infinity)) requirePositive({ capacityL });
  if (initial === 'full') return capacityL;
  const initialVolumeL = initial ?? 0;
  if (!(initialVolumeL >= 0 && initialVolumeL < Infinity)) requireNotNegative({ initialVolumeL });
  if (initialVolumeL > capacityL) {
    const limit = `must not exceed the capacity of ${capacityL} L`;
    throw new EngineError('out-of-range', 'initialVolumeL', initialVolumeL, limit);
  }
  return initialVolumeL;
}

function checkedDays(name: string, values: ArrayLike<number>): Float64Array {
  // Other lists are checked before they are copied: copying would turn null into 0.
  const isPlain = values instanceof Float64Array;
  if (!isPlain) requireNumbers(name, values);
  const days = isPlain ? values : new Float64Array(values);
  for (let day = 0; day < days.length; day += 1) {
    const value = days[day] as number;
    if (!(value >= 0 && value < Infinity)) requireNotNegative({ [`${name}[${day}]`]: value });
  }
  return days;
}

function requireNumbers(name: string, values: ArrayLike<unknown>): void {
  for (let day = 0; day < values.length; day += 1) {
    if (typeof values[day] !== 'number') {
      throw new EngineError(
        'not-finite',
        `${name}[${day}]`,
        values[day],
        'must be a finite number',
      );
    }
  }
}
