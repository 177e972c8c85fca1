import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addDays,
  calendarDay,
  dayNumber,
  daysBetween,
  daysInMonth,
  isIsoDate,
  isLeapYear,
  isoDateOfDayNumber,
  isoWeekday,
  monthSpans,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const MS_PER_DAY = 86_400_000;
// Independent method: the proleptic Gregorian calendar of ECMAScript's Date, in UTC.
const byDate = (days: number) => new Date(days * MS_PER_DAY).toISOString().slice(0, 10);
const FIRST_DAY = -719_162; // 0001-01-01
const LAST_DAY = 2_932_896; // 9999-12-31

describe('calendar dates', { timeout: 60_000 }, () => {
  it('agree with Date on every day of 200 years', () => {
    const wrong: string[] = [];
    for (let days = dayNumber('1900-01-01'); days < dayNumber('2100-01-01'); days += 1) {
      const on = byDate(days);
      if (isoDateOfDayNumber(days) !== on || dayNumber(on) !== days) wrong.push(on);
    }
    expect(wrong).toEqual([]);
  });

  it('agree with Date over the years 0001 to 9999', () => {
    fc.assert(
      fc.property(fc.integer({ min: FIRST_DAY, max: LAST_DAY }), (days) => {
        const on = byDate(days);
        expect(isoDateOfDayNumber(days)).toBe(on);
        expect(dayNumber(on)).toBe(days);
        expect(isoWeekday(on)).toBe(new Date(days * MS_PER_DAY).getUTCDay() || 7);
      }),
      { numRuns: 2000 },
    );
  });

  it('refuses what is not a date written YYYY-MM-DD', () => {
    const wrong = [
      '2015-02-29',
      '1900-02-29',
      '2015-13-01',
      '2015-00-01',
      '2015-04-31',
      '2015-1-1',
    ];
    for (const text of [...wrong, '2015-01-00', '', '2015-01-01T00:00', '0000-01-01']) {
      expect(isIsoDate(text), text).toBe(false);
      expectRefusal(() => dayNumber(text, 'startsOn'), 'out-of-range', 'startsOn');
    }
    expect(isIsoDate('2000-02-29')).toBe(true);
    expect(calendarDay('2000-02-29')).toEqual({ year: 2000, month: 2, day: 29 });
  });

  it('refuses day numbers that are not whole or leave the years 0001 to 9999', () => {
    expect(isoDateOfDayNumber(FIRST_DAY)).toBe('0001-01-01');
    expect(isoDateOfDayNumber(LAST_DAY)).toBe('9999-12-31');
    for (const days of [0.5, Number.NaN, FIRST_DAY - 1, LAST_DAY + 1]) {
      expectRefusal(() => isoDateOfDayNumber(days), 'out-of-range', 'days');
    }
  });

  it('counts and adds days across a leap day', () => {
    expect(addDays('2012-02-28', 2)).toBe('2012-03-01');
    expect(addDays('2012-03-01', -1)).toBe('2012-02-29');
    expect(daysBetween('2012-01-01', '2015-12-31')).toBe(1460);
    expect(daysBetween('2015-12-31', '2012-01-01')).toBe(-1460);
  });

  it('knows the leap years of four centuries', () => {
    expect([1900, 2000, 2012, 2014, 2100].map(isLeapYear)).toEqual([
      false,
      true,
      true,
      false,
      false,
    ]);
    expect(daysInMonth(2012, 2)).toBe(29);
    expectRefusal(() => daysInMonth(2012, 13), 'out-of-range', 'month');
    expectRefusal(() => daysInMonth(2012, 1.5), 'out-of-range', 'month');
  });

  it('splits a record into months, with part months at both ends', () => {
    expect(monthSpans('2011-12-30', 34)).toEqual([
      { year: 2011, month: 12, firstDayIndex: 0, dayCount: 2 },
      { year: 2012, month: 1, firstDayIndex: 2, dayCount: 31 },
      { year: 2012, month: 2, firstDayIndex: 33, dayCount: 1 },
    ]);
    expect(monthSpans('2011-12-30', 0)).toEqual([]);
    expectRefusal(() => monthSpans('2011-12-30', -1), 'out-of-range', 'dayCount');
  });
});
