import { EngineError, requirePositive, requireWithin } from '../errors.ts';
import type { StorageSummary } from './reliability.ts';
import type { NamedOperatingRule, StorageRun } from './storage-run.ts';
import { type ReliabilityMeasure, reachesTarget } from './storage-sizing.ts';
import { summariseStorage } from './storage-summary.ts';

/** Rules for which a larger tank is known never to serve worse. */
export interface NamedRun extends Omit<StorageRun, 'initialVolumeL'> {
  readonly operatingRule: NamedOperatingRule;
}

export interface CapacityTarget extends NamedRun {
  /** 0 to 1. */
  readonly targetReliabilityRatio: number;
  /** `volumetric` by default. */
  readonly reliabilityMeasure?: ReliabilityMeasure;
  /** Largest capacity worth building [L]. */
  readonly greatestCapacityL: number;
  /** The answer is a whole multiple of this [L]; 1 by default. */
  readonly stepL?: number;
}

export type SmallestCapacity =
  | { readonly status: 'found'; readonly summary: StorageSummary }
  /** `summary` is that of the largest capacity, which misses the target. */
  | { readonly status: 'target-not-reachable'; readonly summary: StorageSummary };

/**
 * The smallest capacity, of any size, that reaches a target reliability from an empty start.
 *
 * Found by halving, since neither measure falls as the tank grows under the named rules.
 *
 * @param input dailyInflowL, demandLPerDay, operatingRule, target and the largest capacity [L]
 * @returns the summary of the smallest sufficient capacity, or of the largest when it is not enough
 * @throws {EngineError} `out-of-range` for a target outside 0 to 1, or a largest capacity below one
 *   step
 * @source own-smallest-capacity
 */
export function smallestCapacity(input: CapacityTarget): SmallestCapacity {
  const { targetReliabilityRatio, reliabilityMeasure = 'volumetric', stepL = 1 } = input;
  requireWithin('targetReliabilityRatio', targetReliabilityRatio, 0, 1);
  requirePositive({ stepL, greatestCapacityL: input.greatestCapacityL });
  let enough = Math.floor(input.greatestCapacityL / stepL);
  if (enough < 1) {
    const limit = `must be at least one step of ${stepL} L`;
    throw new EngineError('out-of-range', 'greatestCapacityL', input.greatestCapacityL, limit);
  }
  const { dailyInflowL, demandLPerDay, operatingRule } = input;
  const at = (steps: number) => {
    const run = { dailyInflowL, demandLPerDay, operatingRule, capacitiesL: [steps * stepL] };
    return summariseStorage(run)[0] as StorageSummary;
  };
  let summary = at(enough);
  const reaches = (tried: StorageSummary) =>
    reachesTarget(tried, reliabilityMeasure, targetReliabilityRatio);
  if (!reaches(summary)) {
    return { status: 'target-not-reachable', summary };
  }
  let tooSmall = 0;
  while (enough - tooSmall > 1) {
    const middle = Math.floor((tooSmall + enough) / 2);
    const tried = at(middle);
    if (reaches(tried)) {
      enough = middle;
      summary = tried;
    } else tooSmall = middle;
  }
  return { status: 'found', summary };
}

/**
 * Reliability against storage, for a chart: evenly spaced capacities up to the largest.
 *
 * @param input dailyInflowL, demandLPerDay, operatingRule; greatestCapacityL [L]; pointCount 2 to
 *   500
 * @returns one summary a capacity, smallest first
 * @throws {EngineError} `out-of-range` for a capacity not above 0 or a count outside 2 to 500
 * @source jenkins-1978
 */
export function storageReliabilityCurve(
  input: NamedRun & { readonly greatestCapacityL: number; readonly pointCount: number },
): StorageSummary[] {
  const { greatestCapacityL, pointCount, ...run } = input;
  requirePositive({ greatestCapacityL });
  requireWithin('pointCount', pointCount, 2, 500);
  const count = Math.floor(pointCount);
  const capacitiesL = Array.from(
    { length: count },
    (_, n) => (greatestCapacityL * (n + 1)) / count,
  );
  return summariseStorage({ ...run, capacitiesL });
}
