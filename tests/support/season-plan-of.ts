import type { BuildPlan, CrewMove } from '../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../shared/scheduling/build-season.ts';
import { checkBuildPlan } from '../../shared/scheduling/check-build-plan.ts';
import type { EnumeratedStage } from './enumerated-season.ts';

/** A plan of the stages found, with the moves they need; its figures are those that the check counts. */
export function seasonPlanOf(season: BuildSeason, stages: readonly EnumeratedStage[]): BuildPlan {
  const done = season.builds.flatMap(({ id, facts }) =>
    facts.flatMap((fact) =>
      fact.kind === 'done' ? [{ ...fact, buildId: id, startDay: null, workedDays: [] }] : [],
    ),
  );
  const villageOf = new Map(season.builds.map(({ id, villageId }) => [id, villageId]));
  const standingOf = (buildId: string, code: string) =>
    season.builds
      .find(({ id }) => id === buildId)
      ?.facts.find(({ stageCode }) => stageCode === code)?.kind ?? 'planned';
  const moves: CrewMove[] = [];
  const place = (id: string) => season.villages.findIndex((village) => village.id === id);
  for (const crew of season.crews) {
    const own = stages.filter(({ crewId }) => crewId === crew.id);
    const days = own
      .flatMap(({ buildId, workedDays }) =>
        workedDays.map((day) => ({ day, villageId: villageOf.get(buildId) ?? '' })),
      )
      .sort((a, b) => a.day - b.day);
    const isAway = own.some(({ buildId, stageCode }) => standingOf(buildId, stageCode) === 'begun');
    let from = isAway ? null : crew.homeVillageId;
    for (const { day, villageId } of days) {
      if (from !== null && from !== villageId) {
        const road = season.moveDays[place(from)]?.[place(villageId)] ?? 0;
        const days = { fromDay: day - road, untilDay: day };
        moves.push({ crewId: crew.id, fromVillageId: from, toVillageId: villageId, ...days });
      }
      from = villageId;
    }
  }
  const plan: BuildPlan = {
    status: 'feasible',
    stages: [...done, ...stages].map(({ buildId, stageCode, crewId, startDay, finishDay }) => ({
      buildId,
      stageCode,
      standing: standingOf(buildId, stageCode),
      crewId,
      startDay,
      finishDay,
      isPinned: false,
      waitsFor: { kind: 'nothing' },
    })),
    moves,
    figures: {
      finishedDay: 0,
      tardinessDays: 0,
      lateBuildCount: 0,
      moveCount: 0,
      moveDays: 0,
      crewLoads: [],
      changedStageCount: 0,
      changedDays: 0,
    },
    bounds: { lowerBoundDay: 0, longestBuildDay: 0, crewWorkDay: 0, tardinessDays: 0 },
    schedulesGenerated: 0,
    conflicts: [],
  };
  return { ...plan, figures: checkBuildPlan(season, plan).figures };
}
