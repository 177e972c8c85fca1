import { EngineError } from '../errors.ts';
import { addDays, calendarDay, dayNumber, isoDateOfDayNumber } from '../units/calendar.ts';
import type { StageTemplate } from './stage-template.ts';

/** A year without a working day is a calendar that was filled in wrongly. */
const LONGEST_PAUSE_DAYS = 400;

export interface StageDates {
  readonly stageCode: string;
  /** First and last day of work; both are working days. */
  readonly startsOn: string;
  readonly finishesOn: string;
  /** First calendar day on which what follows may start: the finish, the wait and one day more. */
  readonly followedFrom: string;
}

/**
 * The earliest dates of every stage of one build: work goes on only on working days, waits run on
 * calendar days (mortar cures on a Sunday too), and a stage starts when all before it allow it.
 *
 *     start = first working day ≥ max(startsOn, followedFrom of each predecessor)
 *     finish = the workDays-th working day from start, part days rounded up
 *     followedFrom = finish + minimumWaitDays + 1
 *
 * @param startsOn earliest day of work, YYYY-MM-DD
 * @param isWorkingDay whether crews work on a date
 * @returns one entry a stage, in the order of the template
 * @throws {EngineError} `out-of-range` for a malformed date or a calendar without working days;
 *   `inconsistent` when a predecessor does not come earlier in the template
 * @source critical-path forward pass
 * @source tank-practice waits on calendar days
 */
export function stageDates(
  template: StageTemplate,
  startsOn: string,
  isWorkingDay: (isoDate: string) => boolean,
): StageDates[] {
  calendarDay(startsOn, 'startsOn');
  const followedFrom = new Map<string, string>();
  return template.map((stage) => {
    let earliest = startsOn;
    for (const code of stage.after) {
      const free = followedFrom.get(code);
      if (free === undefined) {
        throw new EngineError('inconsistent', `${stage.code}.after`, code, 'must be earlier');
      }
      if (free > earliest) earliest = free;
    }
    const start = nextWorkingDay(earliest, isWorkingDay);
    let finish = start;
    for (let worked = 1; worked < Math.ceil(stage.workDays); worked += 1) {
      finish = nextWorkingDay(addDays(finish, 1), isWorkingDay);
    }
    const free = addDays(finish, stage.minimumWaitDays + 1);
    followedFrom.set(stage.code, free);
    return { stageCode: stage.code, startsOn: start, finishesOn: finish, followedFrom: free };
  });
}

function nextWorkingDay(isoDate: string, isWorkingDay: (isoDate: string) => boolean): string {
  const first = dayNumber(isoDate);
  for (let day = first; day < first + LONGEST_PAUSE_DAYS; day += 1) {
    const date = isoDateOfDayNumber(day);
    if (isWorkingDay(date)) return date;
  }
  throw new EngineError(
    'out-of-range',
    'isWorkingDay',
    isoDate,
    `must be followed by a working day within ${LONGEST_PAUSE_DAYS} days`,
  );
}
