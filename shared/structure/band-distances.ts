import { requirePositive } from '../errors.ts';
import { requireBandLevels } from './band-levels.ts';

/**
 * Greatest distance that the wall spans upright: between neighbouring bands, from the springing to
 * the first band, and from the last band to the floor.
 *
 * The springing holds the top, as it has a band of its own; the slab holds the foot, fixed or
 * hinged. Credit for the foot goes to this span alone, never to the load of the bands. Where a foot
 * may slide freely, the wall below the last band is a cantilever that this does not judge. A single
 * band has no neighbour: the whole wall counts.
 *
 * @param levelsBelowWaterM from the surface down; @param waterDepthM H, springing to floor
 * @returns distance [m], to be held against `maxBandSpacingM`
 * @throws {EngineError} as `midpointBandZones` for levels that are no arrangement of bands
 * @source project-limit band spacing, ends included
 */
export function farthestBandDistanceM(
  levelsBelowWaterM: readonly number[],
  waterDepthM: number,
): number {
  requirePositive({ waterDepthM });
  requireBandLevels(waterDepthM, levelsBelowWaterM, 'levelsBelowWaterM');
  if (levelsBelowWaterM.length === 1) return waterDepthM;
  const ends = [...levelsBelowWaterM, waterDepthM];
  return ends.reduce((most, end, i) => Math.max(most, end - (levelsBelowWaterM[i - 1] ?? 0)), 0);
}
