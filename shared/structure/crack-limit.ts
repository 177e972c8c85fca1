import { requirePositive } from '../errors.ts';

const WIDEST_MM = 0.2;
const NARROWEST_MM = 0.05;
const GENTLE_GRADIENT = 5;
const STEEP_GRADIENT = 35;
const LEAK_TEST_DEPTH_DIVISOR = 500;
const LEAK_TEST_MAX_MM = 10;

/**
 * Widest through-crack that may still be expected to heal under a head of water.
 *
 *   w = 0.2 mm for h/t ≤ 5, falling evenly to 0.05 mm for h/t ≥ 35
 *
 * @param headM h, @param wallThicknessM t
 * @returns width [mm]
 * @throws {EngineError} when a length is not above 0
 * @source en-1992-3 clause 7.3.1
 */
export function crackWidthLimitMm(headM: number, wallThicknessM: number): number {
  requirePositive({ headM, wallThicknessM });
  const gradient = headM / wallThicknessM;
  const share = (gradient - GENTLE_GRADIENT) / (STEEP_GRADIENT - GENTLE_GRADIENT);
  const bounded = Math.min(Math.max(share, 0), 1);
  return WIDEST_MM - (WIDEST_MM - NARROWEST_MM) * bounded;
}

/**
 * Largest fall of the water level in a seven-day watertightness test, evaporation taken off.
 *
 *   depth / 500, at most 10 mm
 *
 * @returns fall [mm]
 * @throws {EngineError} when the depth is not above 0
 * @source bs-8007 clause 9.2
 */
export function leakTestMaxFallMm(waterDepthM: number): number {
  requirePositive({ waterDepthM });
  return Math.min((waterDepthM * 1000) / LEAK_TEST_DEPTH_DIVISOR, LEAK_TEST_MAX_MM);
}
