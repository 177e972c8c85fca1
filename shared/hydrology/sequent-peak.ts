import { type StorageRun, storageRecord } from './storage-run.ts';

export interface CriticalPeriod {
  /** Index of the first day on which the tank falls, from 0. */
  readonly firstDayIndex: number;
  /** Index of the day on which it is emptiest; past the end of the record when it wraps round. */
  readonly lastDayIndex: number;
  readonly dayCount: number;
}

export interface SequentPeak {
  /** Storage for no failure over the record taken once, from a full tank [L]. */
  readonly onePassL: number;
  /** Storage for no failure when the record repeats [L]; null when more is asked than flows in. */
  readonly cyclicL: number | null;
  /** The stretch that sets the one-pass storage; null when no storage is needed. */
  readonly criticalPeriod: CriticalPeriod | null;
  /** The stretch that sets the cyclic storage; null when it is none or infeasible. */
  readonly cyclicCriticalPeriod: CriticalPeriod | null;
}

/** Relative excess of demand over inflow that is rounding of sums, not a lack of water. */
const SUM_ROUNDING_RATIO = 1e-12;

/**
 * Smallest storage that never fails, by the sequent peak procedure.
 *
 *   K₀ = 0, K_t = max(0, K_{t−1} + D_t − Q_t), S = max K_t
 *
 * The record is taken once, and twice end to end so that a shortage running over its end counts.
 * The answer is the smallest tank with no failure under yield before spillage that starts full;
 * it says nothing about any reliability below 1.
 *
 * @param run Q = dailyInflowL, D = demandLPerDay [L]
 * @returns storages [L], null where no storage is enough, and the critical periods [days]
 * @throws {EngineError} `not-finite`, `out-of-range` or `inconsistent` for malformed input
 * @source thomas-burden-1963 sequent peak
 * @source rippl-1883 mass curve
 * @source loucks-van-beek-2017 sequent peak table
 */
export function sequentPeak(run: Pick<StorageRun, 'dailyInflowL' | 'demandLPerDay'>): SequentPeak {
  const { inflowL, demandL } = storageRecord(run);
  const dayCount = inflowL.length;
  let totalInflowL = 0;
  let totalDemandL = 0;
  for (let day = 0; day < dayCount; day += 1) {
    totalInflowL += inflowL[day] as number;
    totalDemandL += demandL[day] as number;
  }
  const isFeasible = totalDemandL <= totalInflowL * (1 + SUM_ROUNDING_RATIO);
  const once = peakOf(inflowL, demandL, dayCount);
  const twice = isFeasible ? peakOf(inflowL, demandL, 2 * dayCount) : null;
  return {
    onePassL: once.storageL,
    cyclicL: twice === null ? null : twice.storageL,
    criticalPeriod: once.period,
    cyclicCriticalPeriod: twice === null ? null : twice.period,
  };
}

function peakOf(inflowL: Float64Array, demandL: Float64Array, steps: number) {
  const dayCount = inflowL.length;
  let needL = 0;
  let began = 0;
  let storageL = 0;
  let period: CriticalPeriod | null = null;
  for (let step = 0; step < steps; step += 1) {
    const day = step < dayCount ? step : step - dayCount;
    if (needL === 0) began = step;
    needL = Math.max(0, needL + (demandL[day] as number) - (inflowL[day] as number));
    if (needL > storageL) {
      storageL = needL;
      period = { firstDayIndex: began, lastDayIndex: step, dayCount: step - began + 1 };
    }
  }
  return { storageL, period };
}
