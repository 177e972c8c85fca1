import type { ProjectNetwork } from './project-network.ts';
import type { ScheduleDays } from './schedule-generator.ts';

/** What a schedule is judged by, the first difference deciding. */
export interface ScheduleScore {
  /** Days by which greatest waits, and waits before fixed starts, are broken; 0 when feasible. */
  readonly brokenDays: number;
  readonly tardinessDays: number;
  readonly finishedDay: number;
}

/**
 * Counts what a generated schedule breaks and how late it is.
 *
 * @source serial-generation
 */
export function scheduleScore(
  network: ProjectNetwork,
  { startDay, finishDay }: ScheduleDays,
): ScheduleScore {
  const { predecessors, dueDay, fixedStartDay, hasDueDays, hasMaximumLags } = network;
  let brokenDays = 0;
  let tardinessDays = 0;
  let finishedDay = 0;
  for (let activity = 0; activity < finishDay.length; activity += 1) {
    const finish = finishDay[activity] as number;
    if (finish > finishedDay) finishedDay = finish;
    const due = hasDueDays ? (dueDay[activity] as number) : -1;
    if (due >= 0 && finish > due) tardinessDays += finish - due;
    if (!hasMaximumLags && (fixedStartDay[activity] as number) < 0) continue;
    const start = startDay[activity] as number;
    const end = predecessors.from[activity + 1] as number;
    for (let row = predecessors.from[activity] as number; row < end; row += 1) {
      const waited = start - (finishDay[predecessors.other[row] as number] as number);
      const least = predecessors.minimumLagDays[row] as number;
      const most = predecessors.maximumLagDays[row] as number;
      if (waited < least) brokenDays += least - waited;
      if (most >= 0 && waited > most) brokenDays += waited - most;
    }
  }
  return { brokenDays, tardinessDays, finishedDay };
}

/** A late day outweighs any plan's length, and a broken day any lateness that is met in practice. */
const TARDY_WEIGHT = 2 ** 18;
const BROKEN_WEIGHT = 2 ** 40;

/**
 * One number for the order of scores: less is better.
 *
 * @source serial-generation
 */
export const scoreValue = (score: ScheduleScore): number =>
  score.brokenDays * BROKEN_WEIGHT + score.tardinessDays * TARDY_WEIGHT + score.finishedDay;
