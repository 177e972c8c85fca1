import { EngineError, requireFinite, requirePositive } from '../errors.ts';
import { threeHalvesPower } from '../units/same-everywhere.ts';

/** Most bands on one wall; more is a mistake of units. Ours. */
export const MAX_BAND_COUNT = 60;

export interface BandZone {
  readonly levelBelowWaterM: number;
  readonly fromDepthM: number;
  readonly toDepthM: number;
}

/** Throws unless the count is a whole number from 1 to `MAX_BAND_COUNT`. */
function requireBandCount(count: number): void {
  requireFinite({ count });
  if (!Number.isInteger(count) || count < 1 || count > MAX_BAND_COUNT) {
    const limit = `must be a whole number from 1 to ${MAX_BAND_COUNT}`;
    throw new EngineError('out-of-range', 'count', count, limit);
  }
}

/**
 * Bands at the centres of equal zones.
 *
 *   zᵢ = H · (i − ½) / n
 *
 * @param waterDepthM H, @param count n
 * @returns zones from the surface down; depths [m] below the water surface
 * @throws {EngineError} when H is not above 0 or n is not a whole number from 1 to 60
 * @source tributary-load
 */
export function evenBandZones(waterDepthM: number, count: number): BandZone[] {
  requirePositive({ waterDepthM });
  requireBandCount(count);
  return Array.from({ length: count }, (_, i) => ({
    levelBelowWaterM: (waterDepthM * (i + 0.5)) / count,
    fromDepthM: (waterDepthM * i) / count,
    toDepthM: (waterDepthM * (i + 1)) / count,
  }));
}

/**
 * Bands that share the water load equally, each at the centre of pressure of its own zone.
 *
 *   zone edges yᵢ = H · √(i/n),   zᵢ = ⅔ · H · [i^1.5 − (i−1)^1.5] / √n
 *
 * @param waterDepthM H, @param count n
 * @returns zones from the surface down; depths [m] below the water surface
 * @throws {EngineError} when H is not above 0 or n is not a whole number from 1 to 60
 * @source lock-gate-girders
 */
export function equalLoadBandZones(waterDepthM: number, count: number): BandZone[] {
  requirePositive({ waterDepthM });
  requireBandCount(count);
  return Array.from({ length: count }, (_, i) => ({
    levelBelowWaterM:
      ((2 / 3) * waterDepthM * (threeHalvesPower(i + 1) - threeHalvesPower(i))) / Math.sqrt(count),
    fromDepthM: waterDepthM * Math.sqrt(i / count),
    toDepthM: waterDepthM * Math.sqrt((i + 1) / count),
  }));
}

/**
 * Zones of bands at given levels: edges midway between neighbours, the first from the water
 * surface, the last to the floor.
 *
 * @param waterDepthM H, @param levelsBelowWaterM from the surface down, each within 0 to H
 * @param parameterName what errors call the levels
 * @returns zones from the surface down; depths [m] below the water surface
 * @throws {EngineError} `missing-data` without levels; `out-of-range` above the surface, below the
 *   floor or more than 60; `inconsistent` when a level does not lie below the one before
 * @source tributary-load
 */
export function midpointBandZones(
  waterDepthM: number,
  levelsBelowWaterM: readonly number[],
  parameterName = 'levelsBelowWaterM',
): BandZone[] {
  requirePositive({ waterDepthM });
  requireBandLevels(waterDepthM, levelsBelowWaterM, parameterName);
  return levelsBelowWaterM.map((level, i) => {
    const above = levelsBelowWaterM[i - 1];
    const below = levelsBelowWaterM[i + 1];
    return {
      levelBelowWaterM: level,
      fromDepthM: above === undefined ? 0 : (above + level) / 2,
      toDepthM: below === undefined ? waterDepthM : (level + below) / 2,
    };
  });
}

/**
 * Throws unless the levels lie within the wall, in order from the surface down.
 *
 * @throws {EngineError} as `midpointBandZones`
 * @source tributary-load
 */
export function requireBandLevels(
  waterDepthM: number,
  levelsBelowWaterM: readonly number[],
  parameterName: string,
): void {
  if (levelsBelowWaterM.length === 0) {
    throw new EngineError('missing-data', parameterName, '[]', 'needs at least one level');
  }
  if (levelsBelowWaterM.length > MAX_BAND_COUNT) {
    const limit = `must hold at most ${MAX_BAND_COUNT} levels`;
    throw new EngineError('out-of-range', parameterName, levelsBelowWaterM.length, limit);
  }
  levelsBelowWaterM.forEach((level, i) => {
    const name = `${parameterName}[${i}]`;
    requireFinite({ [name]: level });
    if (level < 0 || level > waterDepthM) {
      const limit = `must lie between the surface 0 and the floor ${waterDepthM}`;
      throw new EngineError('out-of-range', name, level, limit);
    }
    const above = levelsBelowWaterM[i - 1];
    if (above !== undefined && level <= above) {
      throw new EngineError(
        'inconsistent',
        name,
        level,
        `must lie below the level before, ${above}`,
      );
    }
  });
}

/**
 * Levels that give equal loads under the midpoint rule and lie closest to the equal-load centroids.
 *
 *   zᵢ₊₁ = 2yᵢ − zᵢ with yᵢ = H · √(i/n);  z₁ by least squares against the centroids
 *
 * @param waterDepthM H, @param count n
 * @returns levels [m] below the water surface, or null when no such set is in order from top to
 *   floor (the alternating rule then crosses neighbouring bands)
 * @throws {EngineError} when H is not above 0 or n is not a whole number from 1 to 60
 * @source tributary-load
 */
export function midpointEqualBandLevels(waterDepthM: number, count: number): number[] | null {
  const zones = equalLoadBandZones(waterDepthM, count);
  const fixed: number[] = [];
  let sign = 1;
  let misfit = 0;
  let offset = 0;
  for (const zone of zones) {
    if (fixed.length > 0) {
      offset = 2 * zone.fromDepthM - offset;
      sign = -sign;
    }
    fixed.push(offset);
    misfit += sign * (zone.levelBelowWaterM - offset);
  }
  const first = misfit / count;
  const levels = fixed.map((value, i) => value + (i % 2 === 0 ? first : -first));
  const inOrder = levels.every((level, i) => level > (levels[i - 1] ?? 0) && level < waterDepthM);
  return inOrder ? levels : null;
}
