import { EngineError, requireNotNegative } from '../errors.ts';
import { addDays, calendarDay, daysInMonth, isoWeekday } from '../units/calendar.ts';
import { requireCount } from './require-count.ts';

/** A day of the year, whatever the year, written `MM-DD`. */
export type DayOfYear = string;

/** A stretch of every year; one that ends before it starts runs over the new year. */
export interface Term {
  readonly startsOn: DayOfYear;
  readonly endsOn: DayOfYear;
}

export interface SchoolCalendar {
  /** Terms of every year; both ends are school days if their weekday is. */
  readonly terms: readonly Term[];
  /** Weekdays of teaching, 1 for Monday to 7 for Sunday. */
  readonly schoolWeekdays: readonly number[];
  /** Holidays of every year inside a term. */
  readonly closedOn?: readonly DayOfYear[];
}

/**
 * Which days of a record are school days. The terms repeat every year, so that a rain record of
 * past years can be met with the calendar of today.
 *
 * @param startsOn ISO date of the first day of the record
 * @returns true for a school day, one entry a day
 * @throws {EngineError} `out-of-range` for malformed dates, weekdays outside 1 to 7, or no term
 * @source own-demand-convention
 */
export function schoolDays(
  calendar: SchoolCalendar,
  startsOn: string,
  dayCount: number,
): boolean[] {
  const { terms, schoolWeekdays, closedOn = [] } = calendar;
  calendarDay(startsOn, 'startsOn');
  requireCount('dayCount', dayCount, 1);
  if (terms.length === 0) {
    throw new EngineError('out-of-range', 'terms', '[]', 'must hold at least one term');
  }
  terms.forEach((term, index) => {
    requireDayOfYear(term.startsOn, `terms[${index}].startsOn`);
    requireDayOfYear(term.endsOn, `terms[${index}].endsOn`);
  });
  closedOn.forEach((day, index) => {
    requireDayOfYear(day, `closedOn[${index}]`);
  });
  schoolWeekdays.forEach((weekday, index) => {
    if (!Number.isInteger(weekday) || weekday < 1 || weekday > 7) {
      const limit = 'must be 1 for Monday to 7 for Sunday';
      throw new EngineError('out-of-range', `schoolWeekdays[${index}]`, weekday, limit);
    }
  });
  return Array.from({ length: dayCount }, (_, index) => {
    const on = addDays(startsOn, index);
    const dayOfYear = on.slice(5);
    if (closedOn.includes(dayOfYear) || !schoolWeekdays.includes(isoWeekday(on))) return false;
    return terms.some((term) => isInTerm(dayOfYear, term));
  });
}

/**
 * Demand of a school on every day of a record.
 *
 * @param litresPerPupilPerDay water of one pupil on a school day [L]
 * @param boardersLPerDay demand that goes on out of term [L/d], 0 by default
 * @returns litres, one entry a day
 * @throws {EngineError} as {@link schoolDays}; pupils not whole from 0; a negative quantity
 * @source own-demand-convention
 */
export function schoolDailyDemand(
  calendar: SchoolCalendar,
  record: { readonly startsOn: string; readonly dayCount: number },
  use: {
    readonly pupils: number;
    readonly litresPerPupilPerDay: number;
    readonly boardersLPerDay?: number;
  },
): number[] {
  const { pupils, litresPerPupilPerDay, boardersLPerDay = 0 } = use;
  requireCount('pupils', pupils);
  requireNotNegative({ litresPerPupilPerDay, boardersLPerDay });
  const termLPerDay = pupils * litresPerPupilPerDay + boardersLPerDay;
  return schoolDays(calendar, record.startsOn, record.dayCount).map((isSchoolDay) =>
    isSchoolDay ? termLPerDay : boardersLPerDay,
  );
}

function isInTerm(dayOfYear: DayOfYear, { startsOn, endsOn }: Term): boolean {
  if (startsOn <= endsOn) return startsOn <= dayOfYear && dayOfYear <= endsOn;
  return dayOfYear >= startsOn || dayOfYear <= endsOn;
}

function requireDayOfYear(text: string, parameter: string): void {
  const match = /^(\d{2})-(\d{2})$/.exec(text);
  const month = Number(match?.[1]);
  const day = Number(match?.[2]);
  // A leap year, so that 02-29 may be named.
  const isDay = match && month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(2000, month);
  if (!isDay) {
    throw new EngineError('out-of-range', parameter, text, 'must be a day of the year, MM-DD');
  }
}
