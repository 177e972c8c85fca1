import type { CrewLearning } from './build-season.ts';

/** Rounding noise that may not cost a whole day. */
const NOISE = 1e-9;

/**
 * Whole work days that a stage takes a crew on its n-th tank: with N tanks until it is practised and
 * the ratio r of the times for a tank and for the one at half its number,
 *
 *     days = ⌈work days · max(1, (n / N)^(log2 r))⌉
 *
 * @param tank n, from 1, tanks built before counted
 * @source learning-curve
 */
export function learnedWorkDays(
  workDays: number,
  tank: number,
  { practisedAfterTanks, ratio }: CrewLearning,
): number {
  if (tank >= practisedAfterTanks) return workDays;
  const factor = (tank / practisedAfterTanks) ** Math.log2(ratio);
  return Math.ceil(workDays * Math.max(1, factor) - NOISE);
}
