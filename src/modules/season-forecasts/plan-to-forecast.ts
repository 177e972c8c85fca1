import type { SeasonPlanRecord, SeasonPlanStage } from '../../../shared/contract/season-plan.ts';
import type { BuildPlan, PlannedStage } from '../../../shared/scheduling/build-plan.ts';
import type { BuildSeason, SeasonBuild } from '../../../shared/scheduling/build-season.ts';
import { dayNumber } from '../../../shared/units/calendar.ts';

/** What a forecast needs of a plan. */
export type PlanToForecast = Pick<BuildPlan, 'stages' | 'figures'>;

/**
 * The season as the plan knew it: its builds, less those cancelled since, and of their records those
 * that the plan started from. What was recorded since is for the next plan.
 */
export function seasonOfPlan(season: BuildSeason, stages: readonly SeasonPlanStage[]): BuildSeason {
  const planned = new Map<string, Set<string>>();
  for (const { buildId, stageCode, standing } of stages) {
    const open = planned.get(buildId) ?? new Set();
    if (standing === 'planned') open.add(stageCode);
    planned.set(buildId, open);
  }
  return {
    ...season,
    builds: season.builds.flatMap((build): SeasonBuild[] => {
      const open = planned.get(build.id);
      if (open === undefined) return [];
      return [{ ...build, facts: build.facts.filter(({ stageCode }) => !open.has(stageCode)) }];
    }),
  };
}

/** A kept plan in days again, without builds that the season has no longer. */
export function planInDays(
  { startsOn, figures }: SeasonPlanRecord,
  stages: readonly SeasonPlanStage[],
  season: BuildSeason,
): PlanToForecast {
  const first = dayNumber(startsOn);
  const known = new Set(season.builds.map(({ id }) => id));
  const inDays = stages
    .filter(({ buildId }) => known.has(buildId))
    .map(
      (stage): PlannedStage => ({
        buildId: stage.buildId,
        stageCode: stage.stageCode,
        standing: stage.standing,
        crewId: stage.crewId,
        startDay: stage.standing === 'done' ? null : Math.max(0, dayNumber(stage.startsOn) - first),
        finishDay: dayNumber(stage.finishesOn) - first + 1,
        isPinned: stage.isPinned,
        waitsFor: { kind: 'nothing' },
      }),
    );
  return {
    stages: inDays,
    figures: {
      finishedDay: inDays.reduce((last, { finishDay }) => Math.max(last, finishDay), 0),
      tardinessDays: figures.tardinessDays,
      lateBuildCount: figures.lateBuildCount,
      moveCount: figures.moveCount,
      moveDays: figures.moveDays,
      crewLoads: [],
      changedStageCount: 0,
      changedDays: 0,
    },
  };
}
