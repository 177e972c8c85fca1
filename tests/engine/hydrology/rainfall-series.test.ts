import { describe, expect, it } from 'vitest';
import {
  ANY_RAIN_FROM_MM,
  checkRainfallSeries,
  completeDailyRain,
  drySpells,
  longestDryRun,
  rainfallByCalendarMonth,
  rainfallByMonth,
  rainfallByYear,
  wetDayCount,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const series = (...dailyRainMm: (number | null)[]) => ({ startsOn: '2023-12-30', dailyRainMm });

describe('a daily rain record', () => {
  it('reports its extent and its greatest day', () => {
    expect(checkRainfallSeries(series(0, 12.5, 3, 12.5))).toEqual({
      startsOn: '2023-12-30',
      endsOn: '2024-01-02',
      dayCount: 4,
      missingOn: [],
      totalRainMm: 28,
      greatestDailyRainMm: 12.5,
      greatestOn: '2023-12-31',
    });
  });

  it('refuses missing days unless they are declared, and names their dates', () => {
    const gappy = series(1, null, 2, null);
    expectRefusal(() => checkRainfallSeries(gappy), 'missing-data', 'dailyRainMm');
    expect(() => completeDailyRain(gappy)).toThrow('2023-12-31, 2024-01-02');
    expect(checkRainfallSeries(gappy, 'count-as-dry').missingOn).toEqual([
      '2023-12-31',
      '2024-01-02',
    ]);
    expect(completeDailyRain(gappy, 'count-as-dry')).toEqual([1, 0, 2, 0]);
  });

  it('shortens a long list of missing dates in the message, not in the report', () => {
    const gappy = series(1, ...new Array<null>(9).fill(null));
    expect(() => checkRainfallSeries(gappy)).toThrow('2024-01-04, …');
    expect(checkRainfallSeries(gappy, 'count-as-dry').missingOn).toHaveLength(9);
  });

  it('refuses what cannot be rain', () => {
    expectRefusal(() => checkRainfallSeries(series(1, -0.1)), 'out-of-range', 'dailyRainMm[1]');
    expectRefusal(() => checkRainfallSeries(series(2000.1)), 'out-of-range', 'dailyRainMm[0]');
    expectRefusal(() => checkRainfallSeries(series(Number.NaN)), 'not-finite', 'dailyRainMm[0]');
    expectRefusal(() => checkRainfallSeries(series(Infinity)), 'not-finite', 'dailyRainMm[0]');
    expectRefusal(() => checkRainfallSeries(series()), 'out-of-range', 'dailyRainMm');
    expectRefusal(
      () => checkRainfallSeries(series(null), 'count-as-dry'),
      'missing-data',
      'dailyRainMm',
    );
    const undated = { startsOn: '30/12/2023', dailyRainMm: [1] };
    expectRefusal(() => checkRainfallSeries(undated), 'out-of-range', 'startsOn');
    expect(checkRainfallSeries(series(2000)).totalRainMm).toBe(2000);
  });
});

describe('dry and wet days', () => {
  const record = series(0, 0.9, 1, 0, 0, null, 0, 0, 0, 5);

  it('ends a dry run at a wet day and at a missing day', () => {
    expect(drySpells(record)).toEqual([
      { dayCount: 2, startsOn: '2023-12-30', endsOn: '2023-12-31' },
      { dayCount: 2, startsOn: '2024-01-02', endsOn: '2024-01-03' },
      { dayCount: 3, startsOn: '2024-01-05', endsOn: '2024-01-07' },
    ]);
    expect(drySpells(record, 3)).toHaveLength(1);
    expect(longestDryRun(record)).toEqual({
      dayCount: 3,
      startsOn: '2024-01-05',
      endsOn: '2024-01-07',
    });
  });

  it('takes the threshold as wet', () => {
    expect(wetDayCount(record)).toBe(2);
    expect(wetDayCount(record, 0.9)).toBe(3);
    expect(wetDayCount(record, 5.1)).toBe(0);
    expect(wetDayCount(series(0, 0.1), ANY_RAIN_FROM_MM)).toBe(1);
  });

  it('has no dry run where every day is wet, and counts a run at the end', () => {
    expect(longestDryRun(series(3, 3))).toEqual({ dayCount: 0, startsOn: null, endsOn: null });
    expect(longestDryRun(series(3, 0)).endsOn).toBe('2023-12-31');
    expect(longestDryRun(series(0, 3, 0)).endsOn).toBe('2023-12-30');
  });

  it('refuses a threshold of zero and a run of no days', () => {
    expectRefusal(() => wetDayCount(record, 0), 'out-of-range', 'wetDayFromMm');
    expectRefusal(() => drySpells(record, 0), 'out-of-range', 'minimumDays');
    expectRefusal(() => drySpells(record, 1.5), 'out-of-range', 'minimumDays');
  });
});

describe('rain by month and year', () => {
  const record = series(1, 2, 4, null, 8);

  it('sums part months and counts missing days apart', () => {
    expect(rainfallByMonth(record)).toEqual([
      { year: 2023, month: 12, dayCount: 2, missingDayCount: 0, rainMm: 3, wetDayCount: 2 },
      { year: 2024, month: 1, dayCount: 3, missingDayCount: 1, rainMm: 12, wetDayCount: 2 },
    ]);
    expect(rainfallByYear(record)).toEqual([
      { year: 2023, dayCount: 2, missingDayCount: 0, rainMm: 3, wetDayCount: 2 },
      { year: 2024, dayCount: 3, missingDayCount: 1, rainMm: 12, wetDayCount: 2 },
    ]);
  });

  it('gives the mean of a calendar month from its measured days only', () => {
    const months = rainfallByCalendarMonth(record);
    expect(months).toHaveLength(12);
    expect(months[0]).toMatchObject({ month: 1, dayCount: 3, missingDayCount: 1, meanRainMm: 186 });
    expect(months[11]).toMatchObject({ month: 12, rainMm: 3, meanRainMm: 46.5 });
    expect(months[5]).toMatchObject({ month: 6, dayCount: 0, meanRainMm: null });
  });
});
