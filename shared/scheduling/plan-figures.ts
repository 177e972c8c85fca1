import type { BuildPlanFigures, CrewMove } from './build-plan.ts';
import type { BuildSeason } from './build-season.ts';
import type { CheckedStage } from './checked-stage.ts';

/**
 * The figures of a plan counted from its stages: finish, lateness, moves, what each crew works, and
 * what differs from the published plan.
 *
 * Person-days are work days still ahead times the people of the stage; the last day of a crew is the
 * first on which it is done. A stage whose crew and start are as published is unchanged.
 *
 * @source season-rules
 */
export function planFigures(
  season: BuildSeason,
  stages: readonly CheckedStage[],
  moves: readonly CrewMove[],
): BuildPlanFigures {
  let finishedDay = 0;
  let tardinessDays = 0;
  let lateBuildCount = 0;
  for (const build of season.builds) {
    const own = stages.filter((one) => one.build === build);
    const finish = Math.max(...own.map(({ planned }) => planned.finishDay));
    finishedDay = Math.max(finishedDay, finish);
    if (build.dueDay === null || finish <= build.dueDay) continue;
    tardinessDays += finish - build.dueDay;
    lateBuildCount += 1;
  }
  const crewLoads = season.crews.map(({ id: crewId }) => {
    const own = stages.filter(
      ({ planned }) => planned.crewId === crewId && planned.standing !== 'done',
    );
    return {
      crewId,
      personDays: own.reduce((sum, one) => sum + one.workedDays.length * one.stage.people, 0),
      lastDay: own.reduce((last, { planned }) => Math.max(last, planned.finishDay), 0),
    };
  });
  let changedStageCount = 0;
  let changedDays = 0;
  for (const { build, stage, planned } of stages) {
    const earlier = build.earlier.find(({ stageCode }) => stageCode === stage.code);
    if (earlier === undefined || planned.standing !== 'planned' || planned.startDay === null)
      continue;
    const moved = Math.abs(planned.startDay - earlier.startDay);
    changedDays += moved;
    if (moved > 0 || planned.crewId !== earlier.crewId) changedStageCount += 1;
  }
  return {
    finishedDay,
    tardinessDays,
    lateBuildCount,
    moveCount: moves.length,
    moveDays: moves.reduce((sum, { fromDay, untilDay }) => sum + untilDay - fromDay, 0),
    crewLoads,
    changedStageCount,
    changedDays,
  };
}
