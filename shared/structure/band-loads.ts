import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import { WATER_UNIT_WEIGHT_N_PER_M3 } from '../units/constants.ts';
import type { BandZone } from './band-levels.ts';

/**
 * Tension in a band that holds one zone of a cracked wall.
 *
 *   T = ∫ γ·z·R dz = γ · R · (b² − a²) / 2
 *
 * Assumes that the mortar carries no hoop tension and that the floor gives no help.
 *
 * @param zone a = fromDepthM, b = toDepthM, depths below the water surface
 * @param radiusM R, inside radius
 * @returns tension [N]
 * @throws {EngineError} when a value is not finite or negative, or the zone ends above its start
 * @source tributary-load
 */
export function bandTensionN(
  zone: Pick<BandZone, 'fromDepthM' | 'toDepthM'>,
  radiusM: number,
  unitWeightNPerM3: number = WATER_UNIT_WEIGHT_N_PER_M3,
): number {
  const { fromDepthM, toDepthM } = zone;
  requireNotNegative({ fromDepthM, toDepthM });
  requirePositive({ radiusM, unitWeightNPerM3 });
  if (toDepthM < fromDepthM) {
    const limit = `must not lie above fromDepthM ${fromDepthM}`;
    throw new EngineError('inconsistent', 'toDepthM', toDepthM, limit);
  }
  return (unitWeightNPerM3 * radiusM * (toDepthM - fromDepthM) * (toDepthM + fromDepthM)) / 2;
}

/**
 * Tensions of all bands of a wall, in the order of the zones.
 *
 * @param zones as from `evenBandZones`, `equalLoadBandZones` or `midpointBandZones`
 * @returns tensions [N]; zones that cover the whole wall sum to γ·R·H²/2
 * @throws {EngineError} as `bandTensionN`
 * @source tributary-load
 */
export function bandTensionsN(
  zones: readonly BandZone[],
  radiusM: number,
  unitWeightNPerM3: number = WATER_UNIT_WEIGHT_N_PER_M3,
): number[] {
  return zones.map((zone) => bandTensionN(zone, radiusM, unitWeightNPerM3));
}
