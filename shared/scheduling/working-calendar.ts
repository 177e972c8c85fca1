import { EngineError } from '../errors.ts';
import { addDays, calendarDay, isoWeekday } from '../units/calendar.ts';

export interface WorkingCalendar {
  /** 1 for Monday to 7 for Sunday; at least one. */
  readonly workingWeekdays: readonly number[];
  /** Days off, written YYYY-MM-DD. */
  readonly holidays: ReadonlySet<string>;
}

/** Days looked through for one answer: twenty years, so that a calendar full of holidays ends. Ours. */
const MAX_DAYS = 7_305;

function requireCalendar({ workingWeekdays, holidays }: WorkingCalendar): void {
  if (workingWeekdays.length === 0) {
    throw new EngineError('missing-data', 'workingWeekdays', 0, 'must name at least one weekday');
  }
  for (const weekday of workingWeekdays) {
    if (!Number.isInteger(weekday) || weekday < 1 || weekday > 7) {
      throw new EngineError('out-of-range', 'workingWeekdays', weekday, 'must be 1 to 7');
    }
  }
  for (const holiday of holidays) calendarDay(holiday, 'holidays');
}

const isOpen = (isoDate: string, calendar: WorkingCalendar): boolean =>
  calendar.workingWeekdays.includes(isoWeekday(isoDate)) && !calendar.holidays.has(isoDate);

/**
 * Whether a date is a working day: its weekday is worked and it is no holiday.
 *
 * @throws {EngineError} `out-of-range` for a malformed date or weekday, `missing-data` for a
 *   calendar without a weekday
 * @source working-calendar
 */
export function isWorkingDay(isoDate: string, calendar: WorkingCalendar): boolean {
  requireCalendar(calendar);
  calendarDay(isoDate);
  return isOpen(isoDate, calendar);
}

/**
 * The working day that lies n working days after a date, or before it when n is negative; the
 * date itself for 0. The date need not be a working day.
 *
 * @throws {EngineError} `out-of-range` for a malformed date, an n that is not whole, or an answer
 *   more than twenty years away
 * @source working-calendar
 */
export function shiftWorkingDays(isoDate: string, n: number, calendar: WorkingCalendar): string {
  requireCalendar(calendar);
  calendarDay(isoDate);
  if (!Number.isSafeInteger(n)) {
    throw new EngineError('out-of-range', 'workingDays', n, 'must be a whole number');
  }
  const step = n < 0 ? -1 : 1;
  let left = Math.abs(n);
  let date = isoDate;
  for (let days = 0; left > 0; days += 1) {
    if (days >= MAX_DAYS) {
      throw new EngineError('out-of-range', 'workingDays', n, 'must end within twenty years');
    }
    date = addDays(date, step);
    if (isOpen(date, calendar)) left -= 1;
  }
  return date;
}

/**
 * Working days from one date to another: those after the first up to and with the second. When
 * the second lies before the first, those before the first down to the second, counted negative.
 * So a date shifted by n working days lies n working days away.
 *
 * @throws {EngineError} `out-of-range` for a malformed date or dates more than twenty years apart
 * @source working-calendar
 */
export function workingDaysBetween(
  fromOn: string,
  toOn: string,
  calendar: WorkingCalendar,
): number {
  requireCalendar(calendar);
  calendarDay(fromOn, 'fromOn');
  calendarDay(toOn, 'toOn');
  const step = toOn < fromOn ? -1 : 1;
  let count = 0;
  let date = fromOn;
  for (let days = 0; date !== toOn; days += 1) {
    if (days >= MAX_DAYS) {
      throw new EngineError('out-of-range', 'toOn', toOn, 'must lie within twenty years of fromOn');
    }
    date = addDays(date, step);
    if (isOpen(date, calendar)) count += step;
  }
  return count;
}
