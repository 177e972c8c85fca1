import { EngineError } from '../errors.ts';
import { addDays, calendarDay } from '../units/calendar.ts';

/**
 * Daily rain of one station: entry 0 fell on `startsOn`, entry 1 on the next day, and so on.
 * A missing day is null, never zero.
 */
export interface RainfallSeries {
  /** ISO date of the first entry. */
  readonly startsOn: string;
  readonly dailyRainMm: readonly (number | null)[];
}

/**
 * How a record with missing days is taken. `refuse`: any missing day is an error.
 * `count-as-dry`: the caller has declared the gaps, and a missing day is taken as a day without
 * rain, which never makes a tank look better supplied than it was.
 */
export type MissingDayPolicy = 'refuse' | 'count-as-dry';

export interface RainfallCheck {
  readonly startsOn: string;
  readonly endsOn: string;
  readonly dayCount: number;
  /** Dates of the missing days, in order. */
  readonly missingOn: readonly string[];
  readonly totalRainMm: number;
  readonly greatestDailyRainMm: number;
  /** Date of the greatest daily rain, the first when several are equal. */
  readonly greatestOn: string;
}

/**
 * Daily rain above this is taken as a typing or unit error. Ours: it lies above the greatest
 * 24-hour rain on record (1825 mm, Foc-Foc, La Réunion, January 1966, WMO archive [memory]).
 */
export const GREATEST_CREDIBLE_DAILY_RAIN_MM = 2000;

/** How many missing dates an error message spells out. */
const DATES_IN_MESSAGE = 5;

/**
 * Examines a daily rain record and reports its extent and its missing days.
 *
 * @param series startsOn, dailyRainMm: one entry a day [mm], null where missing
 * @param missingDays `refuse` (default) or `count-as-dry`
 * @returns dates of the record, missing dates, total and greatest daily rain [mm]
 * @throws {EngineError} `out-of-range` for a malformed start, an empty record, negative rain or
 *   rain above 2000 mm/d; `not-finite`; `missing-data` when days are missing and not declared,
 *   or when every day is missing
 * @source own-rainfall-rules
 */
export function checkRainfallSeries(
  series: RainfallSeries,
  missingDays: MissingDayPolicy = 'refuse',
): RainfallCheck {
  const { startsOn, dailyRainMm } = series;
  calendarDay(startsOn, 'startsOn');
  const dayCount = dailyRainMm.length;
  if (dayCount === 0) {
    throw new EngineError('out-of-range', 'dailyRainMm', '[]', 'must hold at least one day');
  }
  const missingOn: string[] = [];
  let totalRainMm = 0;
  let greatestDailyRainMm = -1;
  let greatestIndex = 0;
  for (let index = 0; index < dayCount; index += 1) {
    const rainMm = dailyRainMm[index];
    if (rainMm === null || rainMm === undefined) {
      missingOn.push(addDays(startsOn, index));
      continue;
    }
    requireCredibleRain(rainMm, index, startsOn);
    totalRainMm += rainMm;
    if (rainMm > greatestDailyRainMm) {
      greatestDailyRainMm = rainMm;
      greatestIndex = index;
    }
  }
  requireDeclaredGaps(missingOn, dayCount, missingDays);
  return {
    startsOn,
    endsOn: addDays(startsOn, dayCount - 1),
    dayCount,
    missingOn,
    totalRainMm,
    greatestDailyRainMm,
    greatestOn: addDays(startsOn, greatestIndex),
  };
}

/**
 * The complete daily rain that a storage calculation may use, after all checks of
 * {@link checkRainfallSeries}.
 *
 * @returns one number a day [mm]; missing days are 0 under `count-as-dry`
 * @throws {EngineError} as {@link checkRainfallSeries}
 * @source own-rainfall-rules
 */
export function completeDailyRain(
  series: RainfallSeries,
  missingDays: MissingDayPolicy = 'refuse',
): number[] {
  checkRainfallSeries(series, missingDays);
  return series.dailyRainMm.map((rainMm) => rainMm ?? 0);
}

function requireCredibleRain(rainMm: number, index: number, startsOn: string): void {
  const parameter = `dailyRainMm[${index}]`;
  if (!Number.isFinite(rainMm)) {
    const limit = `must be a finite number or null (${addDays(startsOn, index)})`;
    throw new EngineError('not-finite', parameter, rainMm, limit);
  }
  if (rainMm < 0 || rainMm > GREATEST_CREDIBLE_DAILY_RAIN_MM) {
    const limit = `must lie between 0 and ${GREATEST_CREDIBLE_DAILY_RAIN_MM} mm (${addDays(startsOn, index)})`;
    throw new EngineError('out-of-range', parameter, rainMm, limit);
  }
}

function requireDeclaredGaps(
  missingOn: readonly string[],
  dayCount: number,
  missingDays: MissingDayPolicy,
): void {
  if (missingOn.length === dayCount) {
    const limit = 'must hold at least one measured day';
    throw new EngineError('missing-data', 'dailyRainMm', `${dayCount} missing days`, limit);
  }
  if (missingOn.length > 0 && missingDays === 'refuse') {
    const shown = missingOn.slice(0, DATES_IN_MESSAGE).join(', ');
    const more = missingOn.length > DATES_IN_MESSAGE ? ', …' : '';
    const limit = `must be complete, or its gaps declared: ${shown}${more}`;
    throw new EngineError('missing-data', 'dailyRainMm', `${missingOn.length} missing days`, limit);
  }
}
