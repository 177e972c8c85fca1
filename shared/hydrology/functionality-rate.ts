import { requirePositive, requireWithin } from '../errors.ts';
import { requireCount } from './require-count.ts';

/** Normal quantile of a two-sided interval at 95 %. */
export const Z_95 = 1.959963984540054;

export interface ProportionInterval {
  readonly ratio: number;
  readonly lowRatio: number;
  readonly highRatio: number;
}

/**
 * Share of tanks found working, with Wilson's score interval.
 *
 *   centre = (p̂ + z²/2n) / (1 + z²/n)
 *   half-width = z·√(p̂(1 − p̂)/n + z²/4n²) / (1 + z²/n)
 *
 * For a simple random sample. For visits clustered in villages pass the design effect, by which the
 * sample is worth fewer visits. Tanks not visited or not found are reported beside it, never left
 * out in silence.
 *
 * @param foundCount x, tanks working; sampleCount n, tanks visited, p̂ = x/n
 * @param z normal quantile; designEffect 1 or more
 * @returns ratio and its interval, 0 to 1; null when nothing was visited
 * @throws {EngineError} `out-of-range` for counts that are not whole or x above n, z not above 0, or
 *   a design effect below 1
 * @source wilson-1927
 * @source newcombe-1998 method 3
 */
export function wilsonInterval(
  foundCount: number,
  sampleCount: number,
  z = Z_95,
  designEffect = 1,
): ProportionInterval | null {
  requireCount('sampleCount', sampleCount);
  requireCount('foundCount', foundCount);
  requireWithin('foundCount', foundCount, 0, sampleCount);
  requirePositive({ z });
  requireWithin('designEffect', designEffect, 1, Number.MAX_VALUE);
  if (sampleCount === 0) return null;
  const p = foundCount / sampleCount;
  const n = sampleCount / designEffect;
  const scale = 1 + (z * z) / n;
  const centre = (p + (z * z) / (2 * n)) / scale;
  const half = (z * Math.sqrt((p * (1 - p)) / n + (z * z) / (4 * n * n))) / scale;
  return {
    ratio: p,
    lowRatio: foundCount === 0 ? 0 : Math.max(0, centre - half),
    highRatio: foundCount === sampleCount ? 1 : Math.min(1, centre + half),
  };
}

/**
 * Design effect of visits taken in clusters of equal size.
 *
 *   deff = 1 + (m − 1)·ρ
 *
 * @param visitsPerCluster m, from 1; intraclassCorrelation ρ, 0 to 1
 * @throws {EngineError} `out-of-range` otherwise
 * @source kish-1965 design effect
 */
export function designEffect(visitsPerCluster: number, intraclassCorrelation: number): number {
  requireWithin('visitsPerCluster', visitsPerCluster, 1, Number.MAX_VALUE);
  requireWithin('intraclassCorrelation', intraclassCorrelation, 0, 1);
  return 1 + (visitsPerCluster - 1) * intraclassCorrelation;
}
