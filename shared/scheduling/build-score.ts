import type { BuildDraft, BuildGenerator, CrewCluster } from './build-generator.ts';
import { NO_DAY, STANDING } from './compiled-season.ts';

/** What a cluster of crews adds to the figures of a plan. */
export interface ClusterScore {
  readonly broken: number;
  readonly tardinessDays: number;
  readonly finishedDay: number;
  readonly moveDays: number;
  readonly changedStageCount: number;
  readonly changedDays: number;
  /** Days on which work ends, weighed by its person-days: their sum, and the person-days. */
  readonly workMoment: number;
  readonly personDays: number;
}

/**
 * Counts what a pass made of a cluster; read before another cluster with its crews is generated.
 *
 * @param broken wishes that the pass broke
 * @source serial-generation
 */
export function clusterScore(
  { compiled, days }: BuildGenerator,
  cluster: CrewCluster,
  draft: BuildDraft,
  broken: number,
): ClusterScore {
  const { buildFirst, standing, people, dueDay, earlierStart, earlierCrew, groupOf } = compiled;
  const { startDay, finishDay, crewOf } = draft;
  let tardinessDays = 0;
  let finishedDay = 0;
  let changedStageCount = 0;
  let changedDays = 0;
  let workMoment = 0;
  let personDays = 0;
  for (const build of cluster.builds) {
    let last = 0;
    for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
      const finish = finishDay[at] as number;
      if (finish > last) last = finish;
      if (standing[at] === STANDING.done) continue;
      const work = (people[at] as number) * (draft.days[at] as number);
      personDays += work;
      workMoment += work * finish;
      const was = earlierStart[at] as number;
      if (was === NO_DAY) continue;
      const moved = Math.abs((startDay[at] as number) - was);
      const isOthers = earlierCrew[at] !== crewOf[groupOf[at] as number];
      if (moved > 0 || isOthers) changedStageCount += 1;
      changedDays += moved;
    }
    if (last > finishedDay) finishedDay = last;
    const due = dueDay[build] as number;
    if (due !== NO_DAY && last > due) tardinessDays += last - due;
  }
  let moveDays = 0;
  for (const crew of cluster.crews) {
    const places = days.villageByDay(crew);
    const until = days.usedUntil(crew);
    let from = compiled.homeVillage[crew] as number;
    let last = -1;
    for (let day = 0; day < until; day += 1) {
      const to = places[day] as number;
      if (to < 0) continue;
      if (to !== from && from >= 0) {
        moveDays += Math.min(day - last - 1, compiled.season.moveDays[from]?.[to] ?? 0);
      }
      from = to;
      last = day;
    }
  }
  return {
    broken,
    tardinessDays,
    finishedDay,
    moveDays,
    changedStageCount,
    changedDays,
    workMoment,
    personDays,
  };
}
