import type { BuildPlanBounds } from './build-plan.ts';
import type { BuildSeason } from './build-season.ts';
import { crewWorkBound } from './crew-work-bound.ts';
import { seasonNodes } from './season-nodes.ts';
import { stageWindows } from './stage-windows.ts';
import { NEVER } from './work-days.ts';

/**
 * Days below which no plan of a season that keeps its wishes is finished, and lateness that none
 * avoids.
 *
 * The longest build is each alone with its calendar, releases, waits, rains and the crews that may do
 * it; the work of the crews counts stages that fit side by side, by people and by equipment; lateness is
 * that of builds which are late even alone. How often crews have to come back to a village is left out,
 * so that bounds are valid and may be low. Where wishes break each other they say nothing: no plan has them.
 *
 * @source critical-path
 * @source dual-feasible-functions
 */
export function seasonBounds(season: BuildSeason): BuildPlanBounds {
  const of = seasonNodes(season);
  const windows = stageWindows(of, NEVER);
  const finishDay = of.doneFinishDay.slice();
  for (const [at, { build }] of of.nodes.entries()) {
    const finish = windows.earliestFinishDay[at] as number;
    if (finish < NEVER) finishDay[build] = Math.max(finishDay[build] as number, finish);
  }
  const longestBuildDay = finishDay.reduce((last, day) => Math.max(last, day), 0);
  let tardinessDays = 0;
  for (const [at, { dueDay }] of season.builds.entries()) {
    if (dueDay !== null) tardinessDays += Math.max(0, (finishDay[at] as number) - dueDay);
  }
  const crewWorkDay =
    windows.broken === null ? crewWorkBound(of, longestBuildDay) : longestBuildDay;
  return {
    lowerBoundDay: Math.max(longestBuildDay, crewWorkDay),
    longestBuildDay,
    crewWorkDay,
    tardinessDays,
  };
}
