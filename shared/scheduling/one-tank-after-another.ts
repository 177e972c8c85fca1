import { assembledPlan } from './assembled-plan.ts';
import { buildOrder, groupsByBuild } from './build-assignment.ts';
import {
  type BuildDraft,
  buildDraft,
  buildGenerator,
  type CrewCluster,
} from './build-generator.ts';
import type { BuildPlan } from './build-plan.ts';
import type { BuildSeason } from './build-season.ts';
import { type CompiledSeason, compileSeason, STANDING } from './compiled-season.ts';
import { seasonBounds } from './season-bounds.ts';

/**
 * The season as many run it: every crew finishes one tank, waits and all, before it starts the next.
 * What a plan saves is counted from here: same crews, calendars, moves, equipment, facts and pins.
 *
 * Of four simple orders the one that is finished soonest: villages along the shortest moves or by due
 * day, builds dealt to the crews in turn or in runs.
 *
 * @throws {EngineError} naming the field of the season
 * @source serial-generation
 */
export function oneTankAfterAnother(season: BuildSeason): BuildPlan {
  const compiled = compileSeason(season);
  const bounds = seasonBounds(season);
  const generator = buildGenerator(compiled);
  let best: { draft: BuildDraft; broken: number; finishedDay: number } | null = null;
  for (const by of ['place', 'due'] as const) {
    for (const isInTurn of [true, false]) {
      const draft = buildDraft(compiled);
      const order = buildOrder(compiled, { by, firstVillage: 0 });
      const begunFirst = [
        ...order.filter((build) => isBegun(compiled, build)),
        ...order.filter((build) => !isBegun(compiled, build)),
      ];
      dealOut(compiled, begunFirst, isInTurn, draft);
      const cluster: CrewCluster = { crews: season.crews.map((_, crew) => crew), builds: order };
      for (const [place, build] of begunFirst.entries()) {
        const end = compiled.buildUnitFrom[build + 1] as number;
        for (let unit = compiled.buildUnitFrom[build] as number; unit < end; unit += 1) {
          draft.key[unit] = place;
        }
      }
      const broken = generator.forward(cluster, draft, undefined, true);
      const finishedDay = draft.finishDay.reduce((last, day) => Math.max(last, day), 0);
      const isSooner =
        best === null ||
        broken < best.broken ||
        (broken === best.broken && finishedDay < best.finishedDay);
      if (isSooner) best = { draft, broken, finishedDay };
    }
  }
  const broken = (best?.broken ?? 0) + compiled.brokenPinCount;
  const isWhole = broken === 0 && !compiled.isPlannable.includes(0);
  return {
    status: isWhole ? 'feasible' : 'infeasible',
    ...assembledPlan(compiled, best?.draft ?? buildDraft(compiled)),
    bounds,
    schedulesGenerated: generator.passes,
    conflicts: [],
  };
}

function isBegun({ buildFirst, standing }: CompiledSeason, build: number): boolean {
  const own = standing.subarray(buildFirst[build] as number, buildFirst[build + 1] as number);
  return own.some((one) => one !== STANDING.planned);
}

/** Every group to a crew that can do it: the one with fewest tanks so far, or the same until its share. */
function dealOut(
  compiled: CompiledSeason,
  order: readonly number[],
  isInTurn: boolean,
  draft: BuildDraft,
): void {
  const { groups, season } = compiled;
  const groupsOf = groupsByBuild(compiled);
  const tanks = new Float64Array(season.crews.length);
  const last = new Map<string, number>();
  for (const build of order) {
    for (const group of groupsOf[build] ?? []) {
      const { crews, heldCrew, trade } = groups[group] as CompiledSeason['groups'][number];
      if (crews.length === 0) continue;
      let by = heldCrew;
      const key = `${trade}`;
      const run = last.get(key) ?? -1;
      const share = Math.ceil(order.length / crews.length);
      if (by < 0 && !isInTurn && crews.includes(run) && (tanks[run] as number) < share) by = run;
      if (by < 0) {
        by = crews.reduce((a, b) => ((tanks[b] as number) < (tanks[a] as number) ? b : a));
      }
      last.set(key, by);
      tanks[by] = (tanks[by] as number) + 1;
      draft.crewOf[group] = by;
    }
  }
}
