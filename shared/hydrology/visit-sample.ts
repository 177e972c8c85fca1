import { requirePositive, requireWithin } from '../errors.ts';
import { Z_95 } from './functionality-rate.ts';
import { requireCount } from './require-count.ts';

export interface SampleSizeInput {
  /** Tanks handed over; null for an endless population. */
  readonly populationCount: number | null;
  /** Half-width of the interval aimed at, above 0 and below 1. */
  readonly marginRatio: number;
  /** Share expected; 0.5, the worst case, by default. */
  readonly expectedRatio?: number;
  /** Normal quantile; 1.959964 by default. */
  readonly z?: number;
}

/**
 * Visits needed to estimate a share of tanks, with the finite population correction.
 *
 *   n₀ = z²·p(1 − p)/e²,  n = n₀ / (1 + (n₀ − 1)/N), rounded up
 *
 * @param input N = populationCount, e = marginRatio, p = expectedRatio, z
 * @returns visits, never more than the population
 * @throws {EngineError} `out-of-range` for a margin or share outside 0 to 1, or a population that is
 *   not whole
 * @source cochran-1977 chapter 4
 */
export function visitSampleSize(input: SampleSizeInput): number {
  const { populationCount, marginRatio, expectedRatio = 0.5, z = Z_95 } = input;
  requirePositive({ marginRatio, z });
  requireWithin('marginRatio', marginRatio, 0, 1);
  requireWithin('expectedRatio', expectedRatio, 0, 1);
  const endless = (z * z * expectedRatio * (1 - expectedRatio)) / (marginRatio * marginRatio);
  if (populationCount === null) return roundUp(endless);
  requireCount('populationCount', populationCount);
  if (populationCount === 0) return 0;
  return Math.min(populationCount, roundUp(endless / (1 + (endless - 1) / populationCount)));
}

/** Rounds up, but not for a remainder that is rounding of the formula itself. */
function roundUp(size: number): number {
  return Math.ceil(size - 1e-9);
}
