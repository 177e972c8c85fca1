import type { StorageSummary } from '../hydrology/reliability.ts';
import { dailyInflow } from '../hydrology/runoff.ts';
import type { NamedOperatingRule } from '../hydrology/storage-run.ts';
import type { ReliabilityMeasure } from '../hydrology/storage-sizing.ts';
import { smallestCapacity } from '../hydrology/storage-target.ts';
import { TANK_DESIGN_LIMITS } from './tank-design-input.ts';

export interface WaterNeed {
  readonly roofAreaM2: number;
  readonly runoffCoefficient: number;
  readonly firstFlushMm?: number | undefined;
  /** Complete, one a day. */
  readonly dailyRainMm: ArrayLike<number>;
  readonly demandLPerDay: number;
  readonly operatingRule: NamedOperatingRule;
  readonly targetReliabilityRatio: number;
  readonly reliabilityMeasure?: ReliabilityMeasure | undefined;
}

export type NeededCapacity =
  | { readonly status: 'found'; readonly capacityL: number; readonly summary: StorageSummary }
  | {
      /** `roof-too-small`: no tank can help; else the largest tank of the engine is not enough. */
      readonly status: 'roof-too-small' | 'target-not-reachable';
      readonly capacityL: null;
      readonly summary: StorageSummary;
    };

const GREATEST_CAPACITY_L = TANK_DESIGN_LIMITS.capacityL[1];
/** Capacities are looked at in tens of litres. Ours. */
const STEP_L = 10;

/**
 * The capacity that reaches a target reliability on a roof, from an empty start, in tens of litres.
 *
 * @returns the capacity [L] with its summary, or why no tank of up to 22,000 L reaches the target
 * @throws {EngineError} naming the value that is out of range
 * @source own-smallest-capacity
 */
export function neededCapacity(need: WaterNeed): NeededCapacity {
  const { demandLPerDay, operatingRule, targetReliabilityRatio, reliabilityMeasure } = need;
  const dailyInflowL = dailyInflow({
    roofs: [{ planAreaM2: need.roofAreaM2, runoffCoefficient: need.runoffCoefficient }],
    dailyRainMm: need.dailyRainMm,
    firstFlushMm: need.firstFlushMm ?? 0,
  });
  const found = smallestCapacity({
    dailyInflowL,
    demandLPerDay,
    operatingRule,
    targetReliabilityRatio,
    ...(reliabilityMeasure === undefined ? {} : { reliabilityMeasure }),
    greatestCapacityL: GREATEST_CAPACITY_L,
    stepL: STEP_L,
  });
  const { summary } = found;
  if (found.status === 'found') {
    return { status: 'found', capacityL: summary.capacityL, summary };
  }
  const inflowL = dailyInflowL.reduce((sum, litres) => sum + litres, 0);
  const askedL = targetReliabilityRatio * demandLPerDay * dailyInflowL.length;
  const status = inflowL < askedL ? 'roof-too-small' : 'target-not-reachable';
  return { status, capacityL: null, summary };
}
