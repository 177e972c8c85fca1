/** Days worked under one calendar, from day 0 on; `NEVER` where it has too few. */
export interface WorkDays {
  /** Day from which on nothing is worked; `NEVER` without end. */
  readonly endDay: number;
  firstFrom(day: number): number;
  /** Last day worked on or before `day`; −1 when there is none. */
  lastUntil(day: number): number;
  /** Day after the last of `days` worked days, the first of them the first from `day` on. */
  finishFrom(day: number, days: number): number;
  /** Latest start of `days` worked days that end before `finishDay`; −1 when too few lie before. */
  latestStart(finishDay: number, days: number): number;
  /** Earliest start with which `days` worked days do not end before `finishDay`. */
  startToFinishFrom(finishDay: number, days: number): number;
  /** Days worked before `day`. */
  countBefore(day: number): number;
}

/** A day that no plan reaches. */
export const NEVER = 1e9;
/** Days up to which a calendar is read; work that would come later never comes. Ours. */
const MOST_DAYS = 60_000;
const STEP_DAYS = 512;

/**
 * Counts the days of a calendar as far as they are asked for.
 *
 * @param isWorked asked once for each day from 0 on
 * @param endDay day from which on nothing is worked
 * @source critical-path
 */
export function workDaysWhere(isWorked: (day: number) => boolean, endDay: number): WorkDays {
  const mostDays = Math.max(0, Math.min(MOST_DAYS, endDay));
  const worked: number[] = [];
  const before: number[] = [0];
  const reach = (day: number): void => {
    const until = Math.min(day, mostDays);
    for (let at = before.length - 1; at < until; at += 1) {
      if (isWorked(at)) worked.push(at);
      before.push(worked.length);
    }
  };
  const countBefore = (day: number): number => {
    if (day <= 0) return 0;
    reach(day);
    return before[Math.min(day, mostDays)] as number;
  };
  const nth = (index: number): number => {
    while (worked.length <= index && before.length <= mostDays) reach(before.length + STEP_DAYS);
    return worked[index] ?? NEVER;
  };
  const finishFrom = (day: number, days: number): number => {
    const last = nth(countBefore(day) + days - 1);
    return last === NEVER ? NEVER : last + 1;
  };
  return {
    endDay,
    firstFrom: (day) => nth(countBefore(day)),
    lastUntil: (day) => worked[countBefore(day + 1) - 1] ?? -1,
    finishFrom,
    latestStart: (finishDay, days) => worked[countBefore(finishDay) - days] ?? -1,
    startToFinishFrom: (finishDay, days) =>
      finishDay <= 0 ? 0 : nth(Math.max(0, countBefore(finishDay - 1) - days + 1)),
    countBefore,
  };
}
