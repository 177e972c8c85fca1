import { EngineError } from '../errors.ts';
import { dailyInflow } from '../hydrology/runoff.ts';
import type { NamedOperatingRule } from '../hydrology/storage-run.ts';
import { type ReliabilityMeasure, reachesTarget } from '../hydrology/storage-sizing.ts';
import { summariseStorage } from '../hydrology/storage-summary.ts';

/** A site whose tank must reach the target on its own roof. */
export interface DemandSite {
  readonly id: string;
  readonly roofAreaM2: number;
  readonly runoffCoefficient: number;
  readonly demandLPerDay: number;
}

export interface SizeNeedRain {
  /** Complete, one a day. */
  readonly dailyRainMm: readonly number[];
  readonly firstFlushMm?: number | undefined;
  readonly operatingRule: NamedOperatingRule;
  readonly targetReliabilityRatio: number;
  readonly reliabilityMeasure?: ReliabilityMeasure | undefined;
}

export type SizeNeed =
  | { readonly capacityL: number; readonly refusal: null }
  | { readonly capacityL: null; readonly refusal: 'roof-too-small' | 'target-not-reachable' };

/** Different roofs and demands, times the days of the record, that one call may look at. Ours. */
export const MAX_SIZE_NEED_DAYS = 60_000_000;

const keyOf = ({ roofAreaM2, runoffCoefficient, demandLPerDay }: DemandSite): string =>
  `${roofAreaM2} ${runoffCoefficient} ${demandLPerDay}`;

/**
 * The smallest of a list of capacities that reaches the target at each site, from an empty start.
 *
 * Found by parting the list in three, since neither reliability falls as the tank grows. Sites with
 * equal roof and demand are worked out once.
 *
 * @param capacitiesL to choose from, in any order, at least one
 * @returns a need for each site by id, or why the largest capacity is not enough
 * @throws {EngineError} naming the site or value that is out of range, or too many different sites
 * @source own-standard-tank-choice; own-smallest-capacity
 */
export function sizeNeeds(
  sites: readonly DemandSite[],
  rain: SizeNeedRain,
  capacitiesL: readonly number[],
): ReadonlyMap<string, SizeNeed> {
  const sorted = [...new Set(capacitiesL)].sort((a, b) => a - b);
  if (sorted.length === 0) {
    throw new EngineError('missing-data', 'capacitiesL', 0, 'must hold at least one capacity');
  }
  const different = new Set(sites.map(keyOf)).size;
  const most = Math.floor(MAX_SIZE_NEED_DAYS / Math.max(1, rain.dailyRainMm.length));
  if (different > most) {
    const limit = `different roofs and demands: ${most} are the most with ${rain.dailyRainMm.length} days of rain`;
    throw new EngineError('out-of-range', 'sites', different, limit);
  }
  const known = new Map<string, SizeNeed>();
  const needs = new Map<string, SizeNeed>();
  for (const site of sites) {
    const key = keyOf(site);
    const need = known.get(key) ?? needOf(site, rain, sorted);
    known.set(key, need);
    needs.set(site.id, need);
  }
  return needs;
}

function needOf(site: DemandSite, rain: SizeNeedRain, sorted: readonly number[]): SizeNeed {
  const { demandLPerDay } = site;
  const { dailyRainMm, firstFlushMm = 0, operatingRule, targetReliabilityRatio } = rain;
  const dailyInflowL = dailyInflow({
    roofs: [{ planAreaM2: site.roofAreaM2, runoffCoefficient: site.runoffCoefficient }],
    dailyRainMm,
    firstFlushMm,
  });
  const measure = rain.reliabilityMeasure ?? 'volumetric';
  const reach = (places: readonly number[]): boolean[] =>
    summariseStorage({
      dailyInflowL,
      demandLPerDay,
      operatingRule,
      capacitiesL: places.map((place) => sorted[place] as number),
    }).map((summary) => reachesTarget(summary, measure, targetReliabilityRatio));
  let enough = sorted.length - 1;
  if (!reach([enough])[0]) {
    const inflowL = dailyInflowL.reduce((sum, litres) => sum + litres, 0);
    const askedL = targetReliabilityRatio * demandLPerDay * dailyInflowL.length;
    const refusal = inflowL < askedL ? 'roof-too-small' : 'target-not-reachable';
    return { capacityL: null, refusal };
  }
  let tooSmall = -1;
  while (enough - tooSmall > 1) {
    const third = Math.max(1, Math.floor((enough - tooSmall) / 3));
    const places = [tooSmall + third, Math.min(enough - 1, tooSmall + 2 * third)];
    const [low, high] = reach(places) as [boolean, boolean];
    const [lower, upper] = places as [number, number];
    if (low) enough = lower;
    else if (high) [tooSmall, enough] = [lower, upper];
    else tooSmall = upper;
  }
  return { capacityL: sorted[enough] as number, refusal: null };
}
