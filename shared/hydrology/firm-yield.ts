import { requireNotNegative } from '../errors.ts';
import { sequentPeak } from './sequent-peak.ts';

export interface FirmYield {
  /** Largest constant demand that never fails when the record repeats. */
  readonly firmYieldLPerDay: number;
  /** True when the mean inflow sets the limit and more storage would not help. */
  readonly isLimitedByInflow: boolean;
}

/** Storage that exceeds the capacity by less than this is rounding of sums over the record. */
const STORAGE_ROUNDING_RATIO = 1e-12;

/**
 * Largest constant demand that a tank meets on every day of a record that repeats, starting full.
 *
 * The storage needed is the greatest of the lines D·n − ΣQ over all stretches of n days. From the
 * mean inflow downwards, D is set to (S + ΣQ) / n of the stretch that binds, until it fits; each
 * round rules out a stretch for good, so the search ends.
 *
 * @param input Q = dailyInflowL [L], S = capacityL [L], not negative
 * @returns demand [L/d]
 * @throws {EngineError} `out-of-range` or `not-finite` for malformed input
 * @source thomas-burden-1963 sequent peak
 * @source own-firm-yield-search
 */
export function firmYield(input: {
  readonly dailyInflowL: ArrayLike<number>;
  readonly capacityL: number;
}): FirmYield {
  const { dailyInflowL, capacityL } = input;
  requireNotNegative({ capacityL });
  const dayCount = dailyInflowL.length;
  const inflowOf = (firstDay: number, days: number) => {
    let sumL = 0;
    for (let day = firstDay; day < firstDay + days; day += 1) {
      sumL += dailyInflowL[day % dayCount] as number;
    }
    return sumL;
  };
  let demandLPerDay = inflowOf(0, dayCount) / Math.max(1, dayCount);
  let isLimitedByInflow = true;
  for (;;) {
    const { cyclicL, cyclicCriticalPeriod: binding } = sequentPeak({
      dailyInflowL,
      demandLPerDay,
    });
    const fitsL = capacityL * (1 + STORAGE_ROUNDING_RATIO);
    if (binding === null || cyclicL === null || cyclicL <= fitsL) {
      return { firmYieldLPerDay: demandLPerDay, isLimitedByInflow };
    }
    const inflowL = inflowOf(binding.firstDayIndex, binding.dayCount);
    const lower = (capacityL + inflowL) / binding.dayCount;
    // Without progress the rest is rounding.
    if (!(lower < demandLPerDay)) return { firmYieldLPerDay: demandLPerDay, isLimitedByInflow };
    demandLPerDay = lower;
    isLimitedByInflow = false;
  }
}
