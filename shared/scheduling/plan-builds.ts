import { EngineError, requireWithin } from '../errors.ts';
import { assembledPlan } from './assembled-plan.ts';
import { earlierPlan, firstPlans } from './build-first-plans.ts';
import { buildGenerator } from './build-generator.ts';
import { isBetter, type PlanScore } from './build-objective.ts';
import type { BuildPlan, BuildPlanBounds, WishConflict } from './build-plan.ts';
import { buildSearch, type SearchState } from './build-search.ts';
import type { BuildSeason } from './build-season.ts';
import { compileSeason, NO_DAY } from './compiled-season.ts';
import { crewTeams } from './crew-teams.ts';
import { seasonBounds } from './season-bounds.ts';
import { seededRandom } from './seeded-random.ts';

export interface BuildEffort {
  /** Passes over a cluster of crews at most; without a limit `isOver` has to end the search. */
  readonly schedules?: number | undefined;
  readonly seed: number;
  /** Asked after every pass: true ends the search with the best plan so far. */
  readonly isOver?: (() => boolean) | undefined;
  /** Told of every better plan, with the bounds. */
  readonly onBetter?: ((score: PlanScore, bounds: BuildPlanBounds) => void) | undefined;
  /** Few changes from the earlier plan come right after lateness, before the finish. */
  readonly keepsEarlier?: boolean | undefined;
  readonly findConflicts?: ((season: BuildSeason) => readonly WishConflict[]) | undefined;
}

/** Ends the search from within, wherever it stands. */
class SearchOver extends Error {}

/**
 * Plans a season of builds: which crew does which stage from which day, moves between villages, waits,
 * equipment, rains, learning, facts and pins kept.
 *
 * Better is, in this order: fewer wishes broken, fewer days late, finished sooner, fewer days on the
 * road, loads more even, fewer changes from the earlier plan. The first plan is there within a pass
 * or two; the same seed and number of schedules give the same plan again.
 *
 * @returns the best plan found, with bounds below which none can be finished
 * @throws {EngineError} naming the field of the season or the effort
 * @source serial-generation
 * @source cooling-search
 */
export function planBuilds(season: BuildSeason, effort: BuildEffort): BuildPlan {
  const { schedules = 1e9, seed, isOver, onBetter, keepsEarlier = false } = effort;
  requireWithin('schedules', schedules, 1, 1e9);
  if (!Number.isInteger(seed)) {
    throw new EngineError('out-of-range', 'seed', seed, 'must be a whole number');
  }
  const compiled = compileSeason(season);
  const bounds = seasonBounds(season);
  const generator = buildGenerator(compiled);
  const random = seededRandom(seed);
  const teams = crewTeams(compiled);
  const isKept = keepsEarlier && compiled.hasEarlier;
  const earliest = compiled.earlierStart.map((day) => (day === NO_DAY ? 0 : day));
  const search = buildSearch(generator, random, isKept, isKept ? earliest : undefined);
  let best: SearchState | null = null;
  let bestScore: PlanScore | null = null;
  const isShortest = (score: PlanScore): boolean =>
    score.broken === 0 &&
    score.tardinessDays <= bounds.tardinessDays &&
    score.finishedDay <= bounds.lowerBoundDay;
  const isEnd = () =>
    generator.passes >= schedules ||
    isOver?.() === true ||
    (!isKept && bestScore !== null && isShortest(bestScore));
  const tell = (score: PlanScore): void => {
    if (bestScore !== null && !isBetter(score, bestScore, isKept)) return;
    bestScore = score;
    onBetter?.(score, bounds);
  };
  try {
    if (isKept) {
      best = earlierPlan(compiled, teams, search);
      tell(search.score(best));
    } else {
      firstPlans(compiled, teams, search, random, (state) => {
        best = state;
        tell(search.score(state));
        if (isEnd()) throw new SearchOver();
      });
    }
    if (best !== null) search.improve(best, isEnd, tell);
  } catch (error) {
    if (!(error instanceof SearchOver)) throw error;
  }
  if (best === null) throw new Error('the search of a plan ended before its first plan');
  const score = search.score(best);
  const isWhole = score.broken + compiled.brokenPinCount === 0 && !compiled.isPlannable.includes(0);
  return {
    status: !isWhole ? 'infeasible' : isShortest(score) ? 'optimal' : 'feasible',
    ...assembledPlan(compiled, best.draft),
    bounds,
    schedulesGenerated: generator.passes,
    conflicts: isWhole ? [] : (effort.findConflicts?.(season) ?? []),
  };
}
