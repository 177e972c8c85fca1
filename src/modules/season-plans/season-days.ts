import type { DayRange } from '../../../shared/scheduling/build-season.ts';
import {
  addDays,
  calendarDay,
  dayNumber,
  isoDateOfDayNumber,
  isoWeekday,
} from '../../../shared/units/calendar.ts';

/** Days laid out ahead: three years, longer than any season. */
const HORIZON_DAYS = 1_096;

/** Dates as days of a plan, day 0 its first, and back. */
export interface SeasonDays {
  dayOf(isoDate: string): number;
  dateOf(day: number): string;
  /** Both days included. */
  rangeOf(fromOn: string, untilOn: string): DayRange;
}

export function seasonDays(startsOn: string): SeasonDays {
  const first = dayNumber(startsOn);
  const dayOf = (isoDate: string) => dayNumber(isoDate) - first;
  return {
    dayOf,
    dateOf: (day) => isoDateOfDayNumber(first + day),
    rangeOf: (fromOn, untilOn) => ({
      fromDay: Math.max(0, dayOf(fromOn)),
      untilDay: Math.max(0, dayOf(untilOn) + 1),
    }),
  };
}

export interface WorkRules {
  readonly workingWeekdays: readonly number[];
  readonly holidays: readonly string[];
}

export interface VillageRules {
  readonly noWorkWeekdays: readonly number[];
  /** January 1. */
  readonly reachableMonths: readonly number[];
}

/**
 * Working days of a village from the start of a plan: weekdays worked and not its market day, no
 * holiday, in a month in which it is reached. A last plain week follows, which repeats for ever.
 * Null when nobody ever works there.
 */
export function villageWorkingDays(
  startsOn: string,
  { workingWeekdays, holidays }: WorkRules,
  { noWorkWeekdays, reachableMonths }: VillageRules,
): boolean[] | null {
  const weekdays = new Set(workingWeekdays.filter((day) => !noWorkWeekdays.includes(day)));
  if (weekdays.size === 0 || reachableMonths.length === 0) return null;
  const off = new Set(holidays);
  const months = new Set(reachableMonths);
  const days: boolean[] = [];
  for (let day = 0; day < HORIZON_DAYS + 7; day += 1) {
    const date = addDays(startsOn, day);
    const isWorked = weekdays.has(isoWeekday(date));
    const isLastWeek = day >= HORIZON_DAYS;
    days.push(isWorked && (isLastWeek || (months.has(calendarDay(date).month) && !off.has(date))));
  }
  return days;
}
