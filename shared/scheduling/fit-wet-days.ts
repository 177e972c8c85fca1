import { EngineError, requireWithin } from '../errors.ts';
import { addDays, calendarDay } from '../units/calendar.ts';

/** How wet days follow each other in a month of the year. */
export interface MonthOfWetDays {
  readonly wetAfterWetRatio: number;
  readonly wetAfterDryRatio: number;
}

/** The same as counted in a record. */
export interface FittedMonth extends MonthOfWetDays {
  readonly wetRatio: number;
  readonly dayCount: number;
  readonly wetCount: number;
  /** Days with a day before them on record, after a wet and after a dry one. */
  readonly afterWetCount: number;
  readonly afterDryCount: number;
}

/** A wet day by WMO convention has 1 mm or more; limits of a sensible threshold are ours. */
const LEAST_THRESHOLD_MM = 0.1;
const GREATEST_THRESHOLD_MM = 100;
const YEAR_MONTHS = 12;

/**
 * Shares of wet days by month, and chances of a wet day after a wet and after a dry one, counted in a
 * record of rain. A day is wet with `thresholdMm` or more; a day counts for its own month, whatever
 * month the day before it was in; nothing is counted over a gap.
 *
 * Where a month never has a wet (or dry) day before another, the share of wet days stands for the
 * chance after one.
 *
 * @param record daily rain from `startsOn` on, null where it is missing
 * @returns January to December
 * @throws {EngineError} `missing-data` naming the month without any day, `out-of-range`
 * @source wet-days
 */
export function fitWetDays(
  record: { readonly startsOn: string; readonly dailyRainMm: readonly (number | null)[] },
  thresholdMm: number,
): FittedMonth[] {
  requireWithin('thresholdMm', thresholdMm, LEAST_THRESHOLD_MM, GREATEST_THRESHOLD_MM);
  calendarDay(record.startsOn, 'startsOn');
  const counts = Array.from({ length: YEAR_MONTHS }, () => ({
    days: 0,
    wet: 0,
    afterWet: 0,
    afterDry: 0,
    wetAfterWet: 0,
    wetAfterDry: 0,
  }));
  let wasWet: boolean | null = null;
  for (const [day, rainMm] of record.dailyRainMm.entries()) {
    if (rainMm === null) {
      wasWet = null;
      continue;
    }
    requireWithin(`dailyRainMm[${day}]`, rainMm, 0, Number.MAX_VALUE);
    const month = calendarDay(addDays(record.startsOn, day), 'startsOn').month;
    const count = counts[month - 1] as (typeof counts)[number];
    const isWet = rainMm >= thresholdMm;
    count.days += 1;
    count.wet += Number(isWet);
    if (wasWet === true) {
      count.afterWet += 1;
      count.wetAfterWet += Number(isWet);
    } else if (wasWet === false) {
      count.afterDry += 1;
      count.wetAfterDry += Number(isWet);
    }
    wasWet = isWet;
  }
  return counts.map((count, at) => {
    if (count.days === 0) {
      throw new EngineError('missing-data', `months[${at}]`, 0, 'the record has no day of it');
    }
    const wetRatio = count.wet / count.days;
    return {
      wetAfterWetRatio: count.afterWet === 0 ? wetRatio : count.wetAfterWet / count.afterWet,
      wetAfterDryRatio: count.afterDry === 0 ? wetRatio : count.wetAfterDry / count.afterDry,
      wetRatio,
      dayCount: count.days,
      wetCount: count.wet,
      afterWetCount: count.afterWet,
      afterDryCount: count.afterDry,
    };
  });
}
