import { requirePositive } from '../errors.ts';
import { addDays, monthSpans } from '../units/calendar.ts';
import { checkRainfallSeries, type RainfallSeries } from './rainfall-series.ts';
import { requireCount } from './require-count.ts';

/** Daily rain from which a day counts as wet in the ETCCDI indices of dry and wet spells. */
export const WET_DAY_FROM_MM = 1;

/** Smallest rain that a gauge read to 0.1 mm records: a lower threshold means "any rain at all". */
export const ANY_RAIN_FROM_MM = 0.1;

export interface DryRun {
  readonly dayCount: number;
  /** Null when the record has no dry day. */
  readonly startsOn: string | null;
  readonly endsOn: string | null;
}

export interface RainfallOfPeriod {
  readonly dayCount: number;
  readonly missingDayCount: number;
  readonly rainMm: number;
  readonly wetDayCount: number;
}

export interface RainfallOfYear extends RainfallOfPeriod {
  readonly year: number;
}

export interface RainfallOfMonth extends RainfallOfPeriod {
  readonly year: number;
  readonly month: number;
}

export interface RainfallOfCalendarMonth extends RainfallOfPeriod {
  /** 1 to 12. */
  readonly month: number;
  /** Rain of the average day of this month times its days in a common year; null without data. */
  readonly meanRainMm: number | null;
}

/** Days of each month of a common year, with a quarter leap day in February. */
const MEAN_DAYS_IN_MONTH = [31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] as const;

/**
 * Every run of consecutive dry days of at least a given length, in order of date. A day is dry
 * when its rain is below the threshold; a missing day ends a run, since it may have been wet.
 *
 * @param wetDayFromMm rain from which a day is wet [mm], above 0
 * @param minimumDays shortest run reported, from 1
 * @throws {EngineError} `out-of-range` for a threshold not above 0 or a length below 1
 * @source etccdi-indices CDD
 */
export function drySpells(
  series: RainfallSeries,
  minimumDays = 1,
  wetDayFromMm = WET_DAY_FROM_MM,
): DryRun[] {
  checkRainfallSeries(series, 'count-as-dry');
  requirePositive({ wetDayFromMm });
  requireCount('minimumDays', minimumDays, 1);
  const { startsOn, dailyRainMm } = series;
  const spells: DryRun[] = [];
  let run = 0;
  for (let index = 0; index <= dailyRainMm.length; index += 1) {
    const rainMm = dailyRainMm[index] ?? null;
    if (rainMm !== null && rainMm < wetDayFromMm) {
      run += 1;
      continue;
    }
    if (run >= minimumDays) {
      spells.push({
        dayCount: run,
        startsOn: addDays(startsOn, index - run),
        endsOn: addDays(startsOn, index - 1),
      });
    }
    run = 0;
  }
  return spells;
}

/**
 * Longest run of consecutive dry days, the first when several are equally long.
 *
 * @param wetDayFromMm rain from which a day is wet [mm], above 0; 1 mm by default
 * @throws {EngineError} as {@link drySpells}
 * @source etccdi-indices CDD
 */
export function longestDryRun(series: RainfallSeries, wetDayFromMm = WET_DAY_FROM_MM): DryRun {
  let longest: DryRun = { dayCount: 0, startsOn: null, endsOn: null };
  for (const spell of drySpells(series, 1, wetDayFromMm)) {
    if (spell.dayCount > longest.dayCount) longest = spell;
  }
  return longest;
}

/**
 * Number of days whose rain reaches the threshold.
 *
 * @param wetDayFromMm rain from which a day is wet [mm], above 0; 1 mm by default
 * @source etccdi-indices R1mm
 */
export function wetDayCount(series: RainfallSeries, wetDayFromMm = WET_DAY_FROM_MM): number {
  checkRainfallSeries(series, 'count-as-dry');
  requirePositive({ wetDayFromMm });
  return series.dailyRainMm.filter((rainMm) => rainMm !== null && rainMm >= wetDayFromMm).length;
}

/**
 * Rain of every calendar month of the record, in order; the first and last may be part months.
 *
 * @throws {EngineError} as checkRainfallSeries
 * @source own-rainfall-rules
 */
export function rainfallByMonth(series: RainfallSeries): RainfallOfMonth[] {
  checkRainfallSeries(series, 'count-as-dry');
  return monthSpans(series.startsOn, series.dailyRainMm.length).map((span) => {
    const { firstDayIndex, dayCount, year, month } = span;
    const days = series.dailyRainMm.slice(firstDayIndex, firstDayIndex + dayCount);
    let rainMm = 0;
    let missingDayCount = 0;
    let wetDays = 0;
    for (const day of days) {
      if (day === null) missingDayCount += 1;
      else {
        rainMm += day;
        if (day >= WET_DAY_FROM_MM) wetDays += 1;
      }
    }
    return { year, month, dayCount, missingDayCount, rainMm, wetDayCount: wetDays };
  });
}

/**
 * Rain of every calendar year of the record, in order; the first and last may be part years.
 *
 * @throws {EngineError} as checkRainfallSeries
 * @source own-rainfall-rules
 */
export function rainfallByYear(series: RainfallSeries): RainfallOfYear[] {
  const years = new Map<number, RainfallOfYear>();
  for (const month of rainfallByMonth(series)) {
    const { year } = month;
    years.set(year, { year, ...addPeriods(years.get(year), month) });
  }
  return [...years.values()];
}

/**
 * The twelve calendar months taken over all years of the record, January first.
 *
 * @returns sums over the record, and the mean rain of the month [mm], null for a month without data
 * @throws {EngineError} as checkRainfallSeries
 * @source own-rainfall-rules
 */
export function rainfallByCalendarMonth(series: RainfallSeries): RainfallOfCalendarMonth[] {
  const months = rainfallByMonth(series);
  return MEAN_DAYS_IN_MONTH.map((meanDays, index) => {
    const month = index + 1;
    let sum: RainfallOfPeriod = { dayCount: 0, missingDayCount: 0, rainMm: 0, wetDayCount: 0 };
    for (const one of months) if (one.month === month) sum = addPeriods(sum, one);
    const measuredDays = sum.dayCount - sum.missingDayCount;
    const meanRainMm = measuredDays > 0 ? (sum.rainMm / measuredDays) * meanDays : null;
    return { month, ...sum, meanRainMm };
  });
}

function addPeriods(sum: RainfallOfPeriod | undefined, more: RainfallOfPeriod): RainfallOfPeriod {
  return {
    dayCount: (sum?.dayCount ?? 0) + more.dayCount,
    missingDayCount: (sum?.missingDayCount ?? 0) + more.missingDayCount,
    rainMm: (sum?.rainMm ?? 0) + more.rainMm,
    wetDayCount: (sum?.wetDayCount ?? 0) + more.wetDayCount,
  };
}
