import { EngineError } from '../errors.ts';

/** Working days on the day axis, for work in either direction. Days before 0 all work. */
export interface WorkingDays {
  /** First working day not before `day`. */
  firstFrom(day: number): number;
  /** Day after the last of `days` working days, the first of them the working day `startDay`. */
  finishOf(startDay: number, days: number): number;
  /** Latest start of `days` working days that end on or before the day before `finishDay`. */
  latestStart(finishDay: number, days: number): number;
}

/** A week, the rhythm in which a calendar goes on after its end. */
const WEEK_DAYS = 7;

/**
 * A calendar with the working days counted, so that finding the finish of any work takes one step:
 * with r(d) working days before day d and w the list of them,
 *
 *     finish(s, p) = w[r(s) + p − 1] + 1,   latest start(f, p) = w[r(f) − p].
 *
 * @param isWorkingDay from day 0; after its end the last seven days repeat
 * @throws {EngineError} `out-of-range` when the repeating part has no working day
 * @source critical-path
 */
export function workingDays(isWorkingDay: readonly boolean[], field: string): WorkingDays {
  const given = isWorkingDay.length;
  const week = isWorkingDay.slice(-WEEK_DAYS);
  if (!week.includes(true)) {
    throw new EngineError('out-of-range', field, given, 'must end with a week that has work in it');
  }
  const worked: number[] = [];
  const workedBefore: number[] = [0];
  const reach = (day: number): void => {
    for (let at = workedBefore.length - 1; at < day; at += 1) {
      const isWorked = at < given ? isWorkingDay[at] : week[(at - given) % week.length];
      if (isWorked) worked.push(at);
      workedBefore.push(worked.length);
    }
  };
  const nth = (index: number): number => {
    while (worked.length <= index) reach(workedBefore.length - 1 + WEEK_DAYS);
    return worked[index] as number;
  };
  const before = (day: number): number => {
    reach(day);
    return workedBefore[day] as number;
  };
  return {
    firstFrom: (day) => (day < 0 ? day : nth(before(day))),
    finishOf: (startDay, days) =>
      startDay < 0 ? startDay + days : nth(before(startDay) + days - 1) + 1,
    latestStart(finishDay, days) {
      const left = finishDay <= 0 ? finishDay : before(finishDay);
      return left >= days ? (worked[left - days] as number) : left - days;
    },
  };
}
