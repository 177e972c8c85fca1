import { EngineError, requireWithin } from '../errors.ts';
import { Z_95 } from './functionality-rate.ts';

/** One tank: time from handover to its first failure, or to the last visit that found it working. */
export interface ObservedLife {
  readonly time: number;
  readonly hasFailed: boolean;
}

export interface SurvivalStep {
  readonly time: number;
  readonly atRiskCount: number;
  readonly failedCount: number;
  readonly survivalRatio: number;
  /** Greenwood's standard error. */
  readonly standardError: number;
  /** 95 % interval on the log-minus-log scale; null where every tank at risk has failed. */
  readonly interval: { readonly lowRatio: number; readonly highRatio: number } | null;
  /** Fewer than five remain at risk: the curve should not be drawn beyond. */
  readonly isThin: boolean;
}

export interface SurvivalCurve {
  readonly steps: readonly SurvivalStep[];
  /** First time at which half or fewer are still working; null when never reached. */
  readonly medianTime: number | null;
  readonly failedCount: number;
  readonly totalTime: number;
}

/** Tanks at risk below which a curve says little. Ours. */
const THIN_COUNT = 5;

/**
 * Kaplan–Meier curve of tanks that have not yet failed.
 *
 *   S(t) = Π(1 − d/n),  Var = S²·Σ d / (n(n − d)),  interval S^exp(±z·√Σ / ln S)
 *
 * A tank last seen working at the time of a failure is still at risk then. Failures found at a visit
 * happened since the visit before: with the visit's date as the time, S is too high.
 *
 * @param lives times from handover, in any one unit, from 0
 * @returns one step a failure time, in order; median; failures and total time observed
 * @throws {EngineError} `out-of-range` for no tank; negative or non-finite times
 * @source kaplan-meier-1958
 * @source greenwood-1926
 */
export function survivalCurve(lives: readonly ObservedLife[]): SurvivalCurve {
  if (lives.length === 0) {
    throw new EngineError('out-of-range', 'lives', '[]', 'must hold at least one tank');
  }
  lives.forEach(({ time }, index) => {
    requireWithin(`lives[${index}].time`, time, 0, Number.MAX_VALUE);
  });
  const failureTimes = [...new Set(lives.filter((one) => one.hasFailed).map((one) => one.time))];
  let survivalRatio = 1;
  let greenwood = 0;
  const steps = failureTimes
    .toSorted((a, b) => a - b)
    .map((time): SurvivalStep => {
      const atRiskCount = lives.filter((one) => one.time >= time).length;
      const failedCount = lives.filter((one) => one.hasFailed && one.time === time).length;
      survivalRatio *= 1 - failedCount / atRiskCount;
      const left = atRiskCount - failedCount;
      if (left > 0) greenwood += failedCount / (atRiskCount * left);
      return {
        time,
        atRiskCount,
        failedCount,
        survivalRatio,
        standardError: survivalRatio * Math.sqrt(greenwood),
        interval: left > 0 ? logLogInterval(survivalRatio, greenwood) : null,
        isThin: atRiskCount < THIN_COUNT,
      };
    });
  return {
    steps,
    // The tie is rounding of the product, which would put off a median that is met exactly.
    medianTime: steps.find((step) => step.survivalRatio <= 0.5 + 1e-12)?.time ?? null,
    failedCount: lives.filter((one) => one.hasFailed).length,
    totalTime: lives.reduce((sum, one) => sum + one.time, 0),
  };
}

function logLogInterval(survivalRatio: number, greenwood: number) {
  const spread = Math.exp((Z_95 * Math.sqrt(greenwood)) / Math.abs(Math.log(survivalRatio)));
  return { lowRatio: survivalRatio ** spread, highRatio: survivalRatio ** (1 / spread) };
}
