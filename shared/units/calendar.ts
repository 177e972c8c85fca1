import { EngineError } from '../errors.ts';

/** The date range of ISO 8601 four-digit years used here. */
const FIRST_YEAR = 1;
const LAST_YEAR = 9999;

const ISO_DATE = /^(\d{4})-(\d{2})-(\d{2})$/;

/** Days from 0000-03-01 to 1970-01-01 in the proleptic Gregorian calendar. */
const EPOCH_SHIFT_DAYS = 719_468;
const DAYS_PER_ERA = 146_097;

export interface CalendarDay {
  readonly year: number;
  /** 1 to 12. */
  readonly month: number;
  /** 1 to 31. */
  readonly day: number;
}

/** A stretch of consecutive days of one calendar month inside a daily record. */
export interface MonthSpan {
  readonly year: number;
  /** 1 to 12. */
  readonly month: number;
  /** Index of its first day in the record, from 0. */
  readonly firstDayIndex: number;
  readonly dayCount: number;
}

/**
 * Whether a year of the Gregorian calendar has 366 days.
 *
 * @source iso-8601
 */
export function isLeapYear(year: number): boolean {
  return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
}

/**
 * Number of days in a month of the Gregorian calendar.
 *
 * @param month 1 to 12
 * @throws {EngineError} `out-of-range` when the month is not a whole number from 1 to 12
 * @source iso-8601
 */
export function daysInMonth(year: number, month: number): number {
  if (!Number.isInteger(month) || month < 1 || month > 12) {
    throw new EngineError('out-of-range', 'month', month, 'must be a whole number from 1 to 12');
  }
  if (month === 2) return isLeapYear(year) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

/** Reads `YYYY-MM-DD`, or returns null when the text is not a date of the calendar. */
function readIsoDate(text: string): CalendarDay | null {
  const match = ISO_DATE.exec(text);
  if (match === null) return null;
  const year = Number(match[1]);
  const month = Number(match[2]);
  const day = Number(match[3]);
  if (year < FIRST_YEAR || month < 1 || month > 12) return null;
  if (day < 1 || day > daysInMonth(year, month)) return null;
  return { year, month, day };
}

/**
 * Whether the text is a calendar date written `YYYY-MM-DD`, years 0001 to 9999.
 *
 * @source iso-8601
 */
export function isIsoDate(text: string): boolean {
  return readIsoDate(text) !== null;
}

/**
 * Year, month and day of a calendar date.
 *
 * @throws {EngineError} `out-of-range` when the text is not a date written `YYYY-MM-DD`
 * @source iso-8601
 */
export function calendarDay(isoDate: string, parameter = 'isoDate'): CalendarDay {
  const found = readIsoDate(isoDate);
  if (found === null) {
    throw new EngineError('out-of-range', parameter, isoDate, 'must be a date written YYYY-MM-DD');
  }
  return found;
}

/**
 * Days from 1970-01-01 to a calendar date, negative before it.
 *
 * The year is taken to begin in March, so that the leap day comes last:
 * n = 146097·era + 365·y + ⌊y/4⌋ − ⌊y/100⌋ + ⌊(153·m + 2)/5⌋ + d − 1 − 719468,
 * with m counted from March (0) and y the year within its era of 400 years.
 *
 * @throws {EngineError} `out-of-range` when the text is not a date written `YYYY-MM-DD`
 * @source hinnant-date-algorithms days_from_civil
 */
export function dayNumber(isoDate: string, parameter = 'isoDate'): number {
  const { year, month, day } = calendarDay(isoDate, parameter);
  const marchYear = month > 2 ? year : year - 1;
  const era = Math.floor(marchYear / 400);
  const yearOfEra = marchYear - era * 400;
  const dayOfYear = Math.floor((153 * ((month + 9) % 12) + 2) / 5) + day - 1;
  const dayOfEra =
    yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * DAYS_PER_ERA + dayOfEra - EPOCH_SHIFT_DAYS;
}

/**
 * The calendar date that lies a whole number of days after 1970-01-01.
 *
 * @throws {EngineError} `out-of-range` when the number is not whole or leaves the years 0001 to 9999
 * @source hinnant-date-algorithms civil_from_days
 */
export function isoDateOfDayNumber(days: number): string {
  if (!Number.isInteger(days)) {
    throw new EngineError('out-of-range', 'days', days, 'must be a whole number');
  }
  const shifted = days + EPOCH_SHIFT_DAYS;
  const era = Math.floor(shifted / DAYS_PER_ERA);
  const dayOfEra = shifted - era * DAYS_PER_ERA;
  const yearOfEra = Math.floor(
    (dayOfEra -
      Math.floor(dayOfEra / 1460) +
      Math.floor(dayOfEra / 36_524) -
      Math.floor(dayOfEra / 146_096)) /
      365,
  );
  const dayOfYear =
    dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const marchMonth = Math.floor((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.floor((153 * marchMonth + 2) / 5) + 1;
  const month = marchMonth < 10 ? marchMonth + 3 : marchMonth - 9;
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  if (year < FIRST_YEAR || year > LAST_YEAR) {
    throw new EngineError('out-of-range', 'days', days, 'must stay within the years 0001 to 9999');
  }
  return `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/**
 * The date a whole number of days later (earlier when negative).
 *
 * @throws {EngineError} `out-of-range` for a malformed date or a count that is not whole
 * @source hinnant-date-algorithms
 */
export function addDays(isoDate: string, days: number): string {
  return isoDateOfDayNumber(dayNumber(isoDate) + days);
}

/**
 * Days from one date to another: 1 from a day to the next, negative backwards.
 *
 * @throws {EngineError} `out-of-range` for a malformed date
 * @source hinnant-date-algorithms
 */
export function daysBetween(fromOn: string, toOn: string): number {
  return dayNumber(toOn, 'toOn') - dayNumber(fromOn, 'fromOn');
}

/**
 * Day of the week, 1 for Monday to 7 for Sunday. 1970-01-01 was a Thursday.
 *
 * @throws {EngineError} `out-of-range` for a malformed date
 * @source iso-8601
 */
export function isoWeekday(isoDate: string): number {
  const sinceMonday = (dayNumber(isoDate) + 3) % 7;
  return (sinceMonday < 0 ? sinceMonday + 7 : sinceMonday) + 1;
}

/**
 * Splits a daily record into its calendar months, in order; the first and last may be part months.
 *
 * @param startsOn date of the first day of the record
 * @param dayCount days in the record, whole and not negative
 * @throws {EngineError} `out-of-range` for a malformed date or count
 * @source iso-8601
 */
export function monthSpans(startsOn: string, dayCount: number): MonthSpan[] {
  let { year, month, day } = calendarDay(startsOn, 'startsOn');
  if (!Number.isInteger(dayCount) || dayCount < 0) {
    throw new EngineError('out-of-range', 'dayCount', dayCount, 'must be a whole number from 0');
  }
  const spans: MonthSpan[] = [];
  let firstDayIndex = 0;
  while (firstDayIndex < dayCount) {
    const rest = daysInMonth(year, month) - day + 1;
    const taken = Math.min(rest, dayCount - firstDayIndex);
    spans.push({ year, month, firstDayIndex, dayCount: taken });
    firstDayIndex += taken;
    day = 1;
    month += 1;
    if (month > 12) {
      month = 1;
      year += 1;
    }
  }
  return spans;
}
