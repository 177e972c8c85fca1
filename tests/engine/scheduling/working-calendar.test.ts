import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addDays,
  isoWeekday,
  isWorkingDay,
  shiftWorkingDays,
  type WorkingCalendar,
  workingDaysBetween,
} from '../../../shared/index.ts';

const week: WorkingCalendar = {
  workingWeekdays: [1, 2, 3, 4, 5],
  holidays: new Set(['2026-12-25', '2026-12-28']),
};

// read off a calendar: 2026-12-24 is a Thursday, the 25th and the 28th are days off
describe('the working calendar', () => {
  it('leaves out weekends and holidays', () => {
    expect(isWorkingDay('2026-12-24', week)).toBe(true);
    expect(isWorkingDay('2026-12-25', week)).toBe(false);
    expect(isWorkingDay('2026-12-26', week)).toBe(false);
    expect(shiftWorkingDays('2026-12-24', 1, week)).toBe('2026-12-29');
    expect(shiftWorkingDays('2026-12-29', -1, week)).toBe('2026-12-24');
    expect(shiftWorkingDays('2026-12-26', -2, week)).toBe('2026-12-23');
    expect(shiftWorkingDays('2026-12-26', 0, week)).toBe('2026-12-26');
    expect(workingDaysBetween('2026-12-21', '2027-01-01', week)).toBe(7);
    expect(workingDaysBetween('2027-01-01', '2026-12-21', week)).toBe(-7);
  });

  it('refuses a calendar without working days, and answers far away', () => {
    expect(() => isWorkingDay('2026-12-24', { ...week, workingWeekdays: [] })).toThrow(
      /^workingWeekdays/,
    );
    expect(() => isWorkingDay('2026-12-24', { ...week, workingWeekdays: [8] })).toThrow(/= 8/);
    expect(() => isWorkingDay('2026-02-30', week)).toThrow(/^isoDate = 2026-02-30/);
    expect(() => isWorkingDay('2026-12-24', { ...week, holidays: new Set(['x']) })).toThrow(
      /^holidays = x/,
    );
    expect(() => shiftWorkingDays('2026-12-24', 0.5, week)).toThrow(/^workingDays = 0\.5/);
    expect(() => shiftWorkingDays('2026-12-24', 1e9, week)).toThrow(/within twenty years/);
    expect(() => workingDaysBetween('2026-12-24', '2126-12-24', week)).toThrow(
      /within twenty years/,
    );
  });

  const dates = fc.integer({ min: -400, max: 400 }).map((days) => addDays('2026-06-15', days));
  const calendars = fc
    .tuple(
      fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1, maxLength: 7 }),
      fc.array(dates, { maxLength: 20 }),
    )
    .map(([workingWeekdays, holidays]) => ({ workingWeekdays, holidays: new Set(holidays) }));

  it('is as far away as it was shifted, and ends on a working day', () => {
    fc.assert(
      fc.property(dates, fc.integer({ min: -60, max: 60 }), calendars, (date, n, calendar) => {
        const shifted = shiftWorkingDays(date, n, calendar);
        expect(workingDaysBetween(date, shifted, calendar)).toBe(n);
        if (n !== 0) expect(isWorkingDay(shifted, calendar)).toBe(true);
      }),
      { numRuns: 400 },
    );
  });

  it('adds up over a date between, and equals a count day by day', () => {
    fc.assert(
      fc.property(dates, dates, dates, calendars, (a, b, c, calendar) => {
        const between = (from: string, to: string) => workingDaysBetween(from, to, calendar);
        if ((a <= b && b <= c) || (a >= b && b >= c)) {
          expect(between(a, b) + between(b, c)).toBe(between(a, c));
        }
        if (a <= b) {
          let count = 0;
          for (let day = addDays(a, 1); day <= b; day = addDays(day, 1)) {
            const isWorked = calendar.workingWeekdays.includes(isoWeekday(day));
            if (isWorked && !calendar.holidays.has(day)) count += 1;
          }
          expect(between(a, b)).toBe(count);
        }
      }),
      { numRuns: 200 },
    );
  });
});
