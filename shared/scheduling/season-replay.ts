import {
  type BuildDraft,
  buildDraft,
  buildGenerator,
  type CrewCluster,
} from './build-generator.ts';
import type { BuildPlan } from './build-plan.ts';
import { type CompiledSeason, STANDING } from './compiled-season.ts';

/** A plan made ready to be worked through under other weather. */
export interface SeasonReplay {
  /**
   * Works through the plan in its order with its crews, no stage before its planned start. Stages that
   * rain blocks stand still on wet days and go on after them.
   *
   * @param wetDays by village, 1 on wet days from day 0; days after its end are dry
   * @returns day by build on which its last stage is finished
   */
  finishDays(wetDays: readonly (Uint8Array | null)[]): Int32Array;
  /** Starts, finishes and crews as last replayed; the next replay writes over them. */
  readonly days: Pick<BuildDraft, 'startDay' | 'finishDay' | 'crewOf'>;
}

/**
 * Replays a plan, for forecasts by weather samples.
 *
 * @param plan of this season
 * @source serial-generation
 */
export function replaySeason(
  compiled: CompiledSeason,
  plan: Pick<BuildPlan, 'stages'>,
): SeasonReplay {
  const { season, buildFirst, groupOf, standing, isPlannable, unitFrom, unitActivity } = compiled;
  const draft: BuildDraft = buildDraft(compiled);
  const floorDay = new Int32Array(compiled.activityCount);
  const buildAt = new Map(season.builds.map(({ id }, at) => [id, at]));
  const crewAt = new Map(season.crews.map(({ id }, at) => [id, at]));
  const placeOf = new Map(
    season.templates.map(({ id, stages }) => [
      id,
      new Map(stages.map(({ code }, at) => [code, at])),
    ]),
  );
  for (const { buildId, stageCode, crewId, startDay } of plan.stages) {
    const build = buildAt.get(buildId) ?? -1;
    const place = placeOf.get(season.builds[build]?.templateId ?? '')?.get(stageCode);
    if (place === undefined || startDay === null) continue;
    const activity = (buildFirst[build] as number) + place;
    if (standing[activity] !== STANDING.planned) continue;
    floorDay[activity] = startDay;
    const crew = crewId === null ? undefined : crewAt.get(crewId);
    if (crew !== undefined) draft.crewOf[groupOf[activity] as number] = crew;
  }
  const builds = season.builds.flatMap((_, at) => (isPlannable[at] === 1 ? [at] : []));
  const cluster: CrewCluster = { crews: season.crews.map((_, crew) => crew), builds };
  return {
    days: draft,
    finishDays(wetDays) {
      const generator = buildGenerator(compiled, wetDays);
      for (let unit = 0; unit < draft.key.length; unit += 1) {
        draft.key[unit] = floorDay[unitActivity[unitFrom[unit] as number] as number] as number;
      }
      generator.forward(cluster, draft, floorDay);
      return Int32Array.from(season.builds, (_, build) => {
        let last = -1e9;
        for (
          let at = buildFirst[build] as number;
          at < (buildFirst[build + 1] as number);
          at += 1
        ) {
          const isDone = standing[at] === STANDING.done;
          if (isDone || isPlannable[build] === 1)
            last = Math.max(last, draft.finishDay[at] as number);
        }
        return last;
      });
    },
  };
}
