/** Days on which something is finished: P80 is the smallest day with P(finished by it) ≥ 0.80. */
export interface FinishForecast {
  readonly plannedDay: number;
  readonly p50Day: number;
  readonly p80Day: number;
  readonly meanDay: number;
  readonly standardDeviationDays: number;
}

/**
 * The forecast of samples of a finish; P50 and P80 are the smallest days by which at least that share
 * of the samples is finished.
 *
 * @source wet-days
 */
export function finishForecast(days: Int32Array, plannedDay: number): FinishForecast {
  const sorted = days.slice().sort();
  return {
    plannedDay,
    p50Day: quantileOf(sorted, 0.5),
    p80Day: quantileOf(sorted, 0.8),
    meanDay: meanOf(days),
    standardDeviationDays: deviationOf(days),
  };
}

/** Smallest day by which at least that share of the samples is finished. */
const quantileOf = (sorted: Int32Array, level: number): number =>
  sorted[Math.max(0, Math.ceil(level * sorted.length - 1e-9) - 1)] as number;

/** Share of the samples that are finished by a day. */
export const ratioBy = (days: Int32Array, day: number): number =>
  days.reduce((count, finish) => count + Number(finish <= day), 0) / days.length;

/** √(p(1 − p)/n) of a share of samples. */
export const standardErrorOf = (ratio: number, samples: number): number =>
  Math.sqrt((ratio * (1 - ratio)) / samples);

/** 0 of no samples. */
export const meanOf = (days: Int32Array): number =>
  days.length === 0 ? 0 : days.reduce((sum, day) => sum + day, 0) / days.length;

/** Standard deviation as estimated from samples, by n − 1. */
export function deviationOf(days: Int32Array): number {
  const mean = meanOf(days);
  const square = days.reduce((sum, day) => sum + (day - mean) ** 2, 0);
  return days.length < 2 ? 0 : Math.sqrt(square / (days.length - 1));
}
