import { EngineError } from '../errors.ts';
import { addDays, calendarDay, dayNumber, isoDateOfDayNumber } from '../units/calendar.ts';
import type { StageTemplate } from './stage-template.ts';

/** A year without a working day is a calendar that was filled in wrongly. */
const LONGEST_PAUSE_DAYS = 400;

export interface LatestStageDates {
  readonly stageCode: string;
  /** Last day on which its work may begin, and last day by which it must be done; working days. */
  readonly startsOn: string;
  readonly finishesOn: string;
}

/**
 * The latest dates of every stage of one build that still end it by a day.
 *
 *     finish = last working day ≤ min(finishesOn, start − wait − 1 of each stage that follows)
 *     start = the workDays-th working day back from the finish, part days rounded up
 *
 * The mirror of `stageDates`: a build laid from its latest start on ends by the day again. Waits run
 * on calendar days. Longest waits are left out of account.
 *
 * @param finishesOn day by which every stage is done, YYYY-MM-DD
 * @param isWorkingDay whether crews work on a date
 * @returns one entry a stage, in the order of the template
 * @throws {EngineError} `out-of-range` for a malformed date or a calendar without working days
 * @source critical-path backward pass
 * @source tank-practice waits on calendar days
 */
export function latestStageDates(
  template: StageTemplate,
  finishesOn: string,
  isWorkingDay: (isoDate: string) => boolean,
): LatestStageDates[] {
  calendarDay(finishesOn, 'finishesOn');
  const latestFinish = new Map<string, string>();
  const found: LatestStageDates[] = [];
  for (const stage of template.toReversed()) {
    const limit = latestFinish.get(stage.code) ?? finishesOn;
    const finish = lastWorkingDay(limit, isWorkingDay);
    let start = finish;
    for (let worked = 1; worked < Math.ceil(stage.workDays); worked += 1) {
      start = lastWorkingDay(addDays(start, -1), isWorkingDay);
    }
    found.push({ stageCode: stage.code, startsOn: start, finishesOn: finish });
    for (const code of stage.after) {
      const before = template.find((other) => other.code === code);
      const free = addDays(start, -(before?.minimumWaitDays ?? 0) - 1);
      if (free < (latestFinish.get(code) ?? finishesOn)) latestFinish.set(code, free);
    }
  }
  return found.reverse();
}

function lastWorkingDay(isoDate: string, isWorkingDay: (isoDate: string) => boolean): string {
  const last = dayNumber(isoDate);
  for (let day = last; day > last - LONGEST_PAUSE_DAYS; day -= 1) {
    const date = isoDateOfDayNumber(day);
    if (isWorkingDay(date)) return date;
  }
  throw new EngineError(
    'out-of-range',
    'isWorkingDay',
    isoDate,
    `must be preceded by a working day within ${LONGEST_PAUSE_DAYS} days`,
  );
}
