import { EngineError, requirePositive, requireWithin } from '../errors.ts';
import type { StorageSummary } from './reliability.ts';
import { dailyInflow } from './runoff.ts';
import type { NamedOperatingRule } from './storage-run.ts';
import { type ReliabilityMeasure, reachesTarget } from './storage-sizing.ts';
import { summariseStorage } from './storage-summary.ts';

export interface RoofTarget {
  readonly dailyRainMm: ArrayLike<number>;
  readonly runoffCoefficient: number;
  readonly gutterEfficiencyRatio?: number;
  readonly firstFlushMm?: number;
  readonly demandLPerDay: number | ArrayLike<number>;
  readonly capacityL: number;
  readonly operatingRule: NamedOperatingRule;
  /** 0 to 1. */
  readonly targetReliabilityRatio: number;
  /** `volumetric` by default; `days-met` only under yield before spillage. */
  readonly reliabilityMeasure?: ReliabilityMeasure;
  /** Largest roof that could be drained to the tank [m²]. */
  readonly greatestAreaM2: number;
}

export type RoofForTarget =
  | { readonly status: 'found'; readonly planAreaM2: number; readonly summary: StorageSummary }
  /** Area and summary are those of the largest roof, which misses the target. */
  | {
      readonly status: 'target-not-reachable';
      readonly planAreaM2: number;
      readonly summary: StorageSummary;
    };

/** Roofs are measured to a tenth of a square metre at best. Ours. */
const AREA_STEP_M2 = 0.1;
/** Area over step is rounded down, but not for a remainder that is rounding of the division. */
const STEP_TIE = 1e-9;

/**
 * The smallest roof plan area, to 0.1 m², with which a given tank reaches a target reliability from
 * an empty start.
 *
 * More water never lowers the volume supplied, nor, before spillage, the days met. After spillage
 * it can lower the days met, so that search is refused.
 *
 * @param input daily rain [mm], roof and gutter ratios, demand [L/d], capacity [L]
 * @returns plan area [m²] and its summary, or the largest roof when it is not enough
 * @throws {EngineError} `out-of-range` for days met under yield after spillage, a target outside
 *   0 to 1, or a largest area below 0.1 m²
 * @source own-smallest-roof
 */
export function roofAreaForTarget(input: RoofTarget): RoofForTarget {
  const { reliabilityMeasure = 'volumetric', operatingRule, greatestAreaM2 } = input;
  const { runoffCoefficient, gutterEfficiencyRatio = 1, firstFlushMm = 0, dailyRainMm } = input;
  requireWithin('targetReliabilityRatio', input.targetReliabilityRatio, 0, 1);
  requirePositive({ greatestAreaM2 });
  if (reliabilityMeasure === 'days-met' && operatingRule === 'yield-after-spillage') {
    const limit =
      'must be volumetric under yield after spillage: a larger roof can meet fewer days';
    throw new EngineError('out-of-range', 'reliabilityMeasure', reliabilityMeasure, limit);
  }
  let enough = Math.floor(greatestAreaM2 / AREA_STEP_M2 + STEP_TIE);
  if (enough < 1) {
    const limit = `must be at least ${AREA_STEP_M2} m²`;
    throw new EngineError('out-of-range', 'greatestAreaM2', greatestAreaM2, limit);
  }
  const at = (steps: number) => {
    const roofs = [{ planAreaM2: steps * AREA_STEP_M2, runoffCoefficient, gutterEfficiencyRatio }];
    const [summary] = summariseStorage({
      dailyInflowL: dailyInflow({ roofs, dailyRainMm, firstFlushMm }),
      demandLPerDay: input.demandLPerDay,
      operatingRule,
      capacitiesL: [input.capacityL],
    });
    return { planAreaM2: Math.round(steps) / 10, summary: summary as StorageSummary };
  };
  const reaches = (tried: { summary: StorageSummary }) =>
    reachesTarget(tried.summary, reliabilityMeasure, input.targetReliabilityRatio);
  let best = at(enough);
  if (!reaches(best)) return { status: 'target-not-reachable', ...best };
  let tooSmall = 0;
  while (enough - tooSmall > 1) {
    const middle = Math.floor((tooSmall + enough) / 2);
    const tried = at(middle);
    if (reaches(tried)) {
      enough = middle;
      best = tried;
    } else tooSmall = middle;
  }
  return { status: 'found', ...best };
}
