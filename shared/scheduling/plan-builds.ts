import { EngineError, requireWithin } from '../errors.ts';
import { assembledPlan } from './assembled-plan.ts';
import { buildDraft, buildGenerator } from './build-generator.ts';
import type { PlanScore } from './build-objective.ts';
import type { BuildPlan, BuildPlanBounds, WishConflict } from './build-plan.ts';
import { buildSearch, type SearchState } from './build-search.ts';
import type { BuildSeason } from './build-season.ts';
import { type StartLayout, startBuilds } from './build-starts.ts';
import { type CompiledSeason, compileSeason } from './compiled-season.ts';
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

const LAYOUTS: readonly Omit<StartLayout, 'keepsEarlierCrews'>[] = [
  { firstVillage: 0, depth: 1, blocksUntilBack: 1, by: 'way' },
  { firstVillage: 0, depth: 2, blocksUntilBack: 1, by: 'way' },
  { firstVillage: 0, depth: 3, blocksUntilBack: 0, by: 'way' },
  { firstVillage: 0, depth: 2, blocksUntilBack: 2, by: 'due' },
  { firstVillage: 0, depth: 2, blocksUntilBack: 1, by: 'release' },
];

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
  const search = buildSearch(generator, random, keepsEarlier);
  const teams = crewTeams(compiled);
  const isEnd = () => generator.passes >= schedules || isOver?.() === true;
  let best: SearchState | null = null;
  try {
    best = bestStart(compiled, teams, search, (state) => {
      onBetter?.(search.score(state), bounds);
      if (isEnd()) throw new SearchOver();
    });
    const isProved = (score: PlanScore) =>
      score.broken === 0 &&
      score.tardinessDays <= bounds.tardinessDays &&
      score.finishedDay <= bounds.lowerBoundDay;
    search.improve(best, isEnd, (score) => onBetter?.(score, bounds));
    void isProved;
  } catch (error) {
    if (!(error instanceof SearchOver)) throw error;
  }
  if (best === null) throw new Error('no start');
  const score = search.score(best);
  const isWhole = score.broken + compiled.brokenPinCount === 0 && !compiled.isPlannable.includes(0);
  const isShortest =
    score.finishedDay <= bounds.lowerBoundDay && score.tardinessDays <= bounds.tardinessDays;
  return {
    status: !isWhole ? 'infeasible' : isShortest ? 'optimal' : 'feasible',
    ...assembledPlan(compiled, best.draft),
    bounds,
    schedulesGenerated: generator.passes,
    conflicts: isWhole ? [] : (effort.findConflicts?.(season) ?? []),
  };
}

function bestStart(
  compiled: CompiledSeason,
  teams: readonly (readonly number[])[],
  search: ReturnType<typeof buildSearch>,
  onStart: (state: SearchState) => void,
): SearchState {
  let best: SearchState | null = null;
  for (const layout of LAYOUTS) {
    const draft = buildDraft(compiled);
    const built = startBuilds(
      compiled,
      teams,
      { ...layout, keepsEarlierCrews: compiled.hasEarlier },
      draft,
    );
    const clusters = teams.map((crews, team) => ({ crews, builds: built[team] ?? [] }));
    const state: SearchState = { draft, clusters, scores: [] };
    search.generate(state);
    if (best === null || search.score(state).finishedDay < search.score(best).finishedDay) {
      best = state;
    }
    onStart(best);
  }
  return best as SearchState;
}
