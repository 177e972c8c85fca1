import type { BuildSeason } from './build-season.ts';

/** Working days of a village up to a horizon, counted. */
export interface VillageDays {
  /** Working days in order. */
  readonly workDay: Int32Array;
  /** Working days before each day, the horizon included. */
  readonly workedBefore: Int32Array;
}

const WEEK_DAYS = 7;

/**
 * Working days of every village up to a horizon; after the end of a calendar its last seven days
 * repeat. Villages with the same calendar share it.
 *
 * @param wetDays by village, 1 on days without work; null or absent: none
 * @source critical-path
 */
export function villageDays(
  { villages }: Pick<BuildSeason, 'villages'>,
  horizonDays: number,
  wetDays?: readonly (Uint8Array | null)[],
): VillageDays[] {
  const shared = new Map<string, VillageDays>();
  return villages.map(({ isWorkingDay }, village) => {
    const wet = wetDays?.[village] ?? null;
    if (wet !== null) return countedDays(isWorkingDay, horizonDays, wet);
    const key = isWorkingDay.map(Number).join('');
    const known = shared.get(key) ?? countedDays(isWorkingDay, horizonDays, null);
    shared.set(key, known);
    return known;
  });
}

/**
 * Working days of one calendar.
 *
 * @param off by day, 1 on days without work beside those of the calendar; null: none
 * @source critical-path
 */
export function countedDays(
  isWorkingDay: readonly boolean[],
  horizonDays: number,
  off: Uint8Array | null,
): VillageDays {
  const given = isWorkingDay.length;
  const week = Math.min(WEEK_DAYS, given);
  const workDay = new Int32Array(horizonDays);
  const workedBefore = new Int32Array(horizonDays + 1);
  let count = 0;
  for (let day = 0; day < horizonDays; day += 1) {
    workedBefore[day] = count;
    const isWorked = isWorkingDay[day < given ? day : given - week + ((day - given) % week)];
    if (isWorked && off?.[day] !== 1) workDay[count++] = day;
  }
  workedBefore[horizonDays] = count;
  return { workDay: workDay.subarray(0, count), workedBefore };
}
