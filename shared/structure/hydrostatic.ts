import { requireNotNegative, requirePositive } from '../errors.ts';
import { WATER_UNIT_WEIGHT_N_PER_M3 } from '../units/constants.ts';
import { squared } from '../units/same-everywhere.ts';

/**
 * Water pressure at a depth below the surface.
 *
 *   p = γ · z
 *
 * @param depthM z
 * @returns pressure [Pa], outward on a tank wall
 * @throws {EngineError} when a value is not finite or negative
 * @source timoshenko-1959 article 117
 */
export function hydrostaticPressurePa(
  depthM: number,
  unitWeightNPerM3: number = WATER_UNIT_WEIGHT_N_PER_M3,
): number {
  requireNotNegative({ depthM, unitWeightNPerM3 });
  return unitWeightNPerM3 * depthM;
}

/**
 * Hoop force per metre of height in a ring that is free to grow.
 *
 *   N = γ · z · R
 *
 * @param depthM z, @param radiusM R, inside radius
 * @returns hoop force [N/m], tension positive
 * @throws {EngineError} when a value is not finite or negative
 * @source timoshenko-1959 article 117
 */
export function freeRingHoopForceNPerM(
  depthM: number,
  radiusM: number,
  unitWeightNPerM3: number = WATER_UNIT_WEIGHT_N_PER_M3,
): number {
  requirePositive({ radiusM });
  return hydrostaticPressurePa(depthM, unitWeightNPerM3) * radiusM;
}

/**
 * Whole hoop force of a cylinder of water, the sum that all bands together must carry.
 *
 *   T = γ · R · H² / 2
 *
 * @param waterDepthM H, @param radiusM R, inside radius
 * @returns force [N]
 * @throws {EngineError} when a value is not finite or not above 0
 * @source tributary-load
 */
export function totalHoopForceN(
  waterDepthM: number,
  radiusM: number,
  unitWeightNPerM3: number = WATER_UNIT_WEIGHT_N_PER_M3,
): number {
  requirePositive({ waterDepthM, radiusM, unitWeightNPerM3 });
  return (unitWeightNPerM3 * radiusM * squared(waterDepthM)) / 2;
}
