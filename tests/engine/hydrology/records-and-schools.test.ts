import { describe, expect, it } from 'vitest';
import {
  addDays,
  intermediateApproachStorage,
  rainfallTimeStep,
  requireDailyStep,
  type SchoolCalendar,
  schoolDailyDemand,
  schoolDays,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const dates = (...days: number[]) => days.map((day) => addDays('2023-01-01', day));

describe('time step of a rain record', () => {
  it('tells daily, monthly and other records apart', () => {
    expect(rainfallTimeStep(dates(0, 1, 2))).toBe('daily');
    expect(rainfallTimeStep(['2023-01-01', '2023-02-01', '2023-03-01'])).toBe('monthly');
    expect(rainfallTimeStep(dates(0, 1, 3))).toBe('other');
    expect(rainfallTimeStep(dates(0, 7, 14))).toBe('other');
  });

  it('refuses monthly rain for sizing, with the reason in numbers', () => {
    requireDailyStep(dates(0, 1));
    const monthly = ['2023-01-31', '2023-02-28', '2023-03-31'];
    expectRefusal(() => requireDailyStep(monthly), 'inconsistent', 'datesOn');
    expect(() => requireDailyStep(monthly)).toThrow('0.848 by day and 0.638 by month');
    expect(() => requireDailyStep(dates(0, 2))).toThrow('enter a missing day as missing');
  });

  it('refuses dates that are malformed, alone, repeated or out of order', () => {
    expectRefusal(() => rainfallTimeStep(dates(0)), 'out-of-range', 'datesOn');
    expectRefusal(() => rainfallTimeStep(dates(0, 1, 1)), 'out-of-range', 'datesOn[2]');
    expectRefusal(() => rainfallTimeStep(dates(1, 0)), 'out-of-range', 'datesOn[1]');
    expectRefusal(() => rainfallTimeStep(['2023-01', '2023-02']), 'out-of-range', 'datesOn[0]');
  });
});

describe('school terms', () => {
  // Invented calendar: term 3 runs over the new year.
  const calendar: SchoolCalendar = {
    terms: [
      { startsOn: '02-01', endsOn: '04-15' },
      { startsOn: '05-10', endsOn: '08-31' },
      { startsOn: '12-28', endsOn: '01-03' },
    ],
    schoolWeekdays: [1, 2, 3, 4, 5],
    closedOn: ['02-02'],
  };

  it('leaves out weekends, holidays and the days between terms', () => {
    // 2023-01-30 was a Monday; the term begins on Wednesday 1 February.
    const days = schoolDays(calendar, '2023-01-30', 8);
    expect(days).toEqual([false, false, true, false, true, false, false, true]);
  });

  it('carries a term over the new year', () => {
    // 2022-12-26 was a Monday; 28 to 30 December and 2 to 3 January are school days.
    const days = schoolDays(calendar, '2022-12-26', 11);
    const on = days.flatMap((isOn, day) => (isOn ? [addDays('2022-12-26', day)] : []));
    expect(on).toEqual(['2022-12-28', '2022-12-29', '2022-12-30', '2023-01-02', '2023-01-03']);
  });

  // Sphere (2018) [memory]: 3 L a pupil; 300 pupils on 90 school days drink 81 000 L.
  it('asks 81 000 L for 300 pupils on 90 school days', () => {
    const everyDay: SchoolCalendar = {
      terms: [{ startsOn: '01-01', endsOn: '03-31' }],
      schoolWeekdays: [1, 2, 3, 4, 5, 6, 7],
    };
    const record = { startsOn: '2023-01-01', dayCount: 365 };
    const demand = schoolDailyDemand(everyDay, record, { pupils: 300, litresPerPupilPerDay: 3 });
    expect(demand.filter((litres) => litres > 0)).toHaveLength(90);
    expect(demand.reduce((sum, litres) => sum + litres, 0)).toBe(81_000);
  });

  it('keeps the boarders in the holidays', () => {
    const use = { pupils: 10, litresPerPupilPerDay: 3, boardersLPerDay: 40 };
    const demand = schoolDailyDemand(calendar, { startsOn: '2023-01-31', dayCount: 2 }, use);
    expect(demand).toEqual([40, 70]);
  });

  it('refuses malformed calendars, naming the entry', () => {
    const run = (change: Partial<SchoolCalendar>) => () =>
      schoolDays({ ...calendar, ...change }, '2023-01-01', 5);
    expectRefusal(run({ terms: [] }), 'out-of-range', 'terms');
    const start = { startsOn: '02-30', endsOn: '04-15' };
    expectRefusal(run({ terms: [start] }), 'out-of-range', 'terms[0].startsOn');
    const end = { startsOn: '02-29', endsOn: '4-15' };
    expectRefusal(run({ terms: [end] }), 'out-of-range', 'terms[0].endsOn');
    expectRefusal(run({ closedOn: ['13-01'] }), 'out-of-range', 'closedOn[0]');
    expectRefusal(run({ schoolWeekdays: [1, 8] }), 'out-of-range', 'schoolWeekdays[1]');
    expectRefusal(() => schoolDays(calendar, '2023-02-29', 5), 'out-of-range', 'startsOn');
    expectRefusal(() => schoolDays(calendar, '2023-01-01', 0), 'out-of-range', 'dayCount');
    const record = { startsOn: '2023-01-01', dayCount: 5 };
    const demand = (pupils: number, litresPerPupilPerDay: number) => () =>
      schoolDailyDemand(calendar, record, { pupils, litresPerPupilPerDay });
    expectRefusal(demand(1.5, 3), 'out-of-range', 'pupils');
    expectRefusal(demand(10, -3), 'out-of-range', 'litresPerPupilPerDay');
  });
});

// EN 16941-1 and BS 8515 intermediate approach [memory]: lesser of 5 % of 40 500 L a year and 5 % of
// 365 days at 100 L: 2025 L against 1825 L.
describe('intermediate approach of the European standard', () => {
  it('takes the lesser of 5 % of yield and demand', () => {
    expect(intermediateApproachStorage(40_500, 100)).toBeCloseTo(1825, 9);
    expect(intermediateApproachStorage(30_000, 100)).toBeCloseTo(1500, 9);
    expectRefusal(() => intermediateApproachStorage(-1, 100), 'out-of-range', 'annualYieldL');
  });
});
