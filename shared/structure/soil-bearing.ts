import { EngineError, requirePositive } from '../errors.ts';
import type { SourceId } from '../sources.ts';
import {
  type PresumptiveRow,
  SOIL_CLASSES,
  SOILS,
  type SoilClass,
  type SoilRecord,
} from './soils.ts';

export { SOIL_CLASSES, SOILS, type SoilClass };

export interface PresumptiveBearing {
  readonly bearingPa: number;
  readonly source: SourceId;
  readonly description: string;
}

/**
 * Lowest published bearing value that may apply to a class of ground.
 *
 * Halved for granular ground with the water table at the slab, as the note of IS 1904 asks.
 *
 * @returns bearing [Pa] and the row that governs, or null when no table gives a value
 * @throws {EngineError} `out-of-range` when the class is not one of `SOIL_CLASSES`
 * @source ibc-2012-1806; is-1904; field-bearing-table; bs-8004
 */
export function presumptiveBearing(
  soilClass: SoilClass,
  isWaterTableAtSlab = false,
): PresumptiveBearing | null {
  const soil = soilRecord(soilClass);
  const lowest = soil.rows.reduce<PresumptiveRow | null>(
    (least, row) => (least === null || row.bearingKPa < least.bearingKPa ? row : least),
    null,
  );
  if (lowest === null) return null;
  const share = isWaterTableAtSlab && soil.isGranular ? 0.5 : 1;
  return {
    bearingPa: lowest.bearingKPa * 1000 * share,
    source: lowest.source,
    description: lowest.description,
  };
}

/**
 * Record of one class of ground.
 *
 * @throws {EngineError} `out-of-range` when the class is not one of `SOIL_CLASSES`
 * @source ibc-2012-1806; is-1904; field-bearing-table; bs-8004
 */
export function soilRecord(soilClass: SoilClass): SoilRecord {
  if (!SOIL_CLASSES.includes(soilClass)) {
    const limit = `must be one of ${SOIL_CLASSES.join(', ')}`;
    throw new EngineError('out-of-range', 'soilClass', soilClass, limit);
  }
  return SOILS[soilClass];
}

/**
 * Horizontal force that the ground under a slab resists.
 *
 * Friction times weight; on clay and silt cohesion times area, at most half the weight.
 *
 * @param weightN pressing on the ground, @param slabAreaM2 of the slab
 * @returns force [N]
 * @throws {EngineError} when weight or area is not above 0 or the class is unknown to the tables
 * @source ibc-2012-1806
 */
export function slidingResistanceN(
  soilClass: SoilClass,
  weightN: number,
  slabAreaM2: number,
): number {
  requirePositive({ weightN, slabAreaM2 });
  const { sliding } = soilRecord(soilClass);
  return sliding.kind === 'friction'
    ? sliding.coefficient * weightN
    : Math.min(sliding.cohesionPa * slabAreaM2, weightN / 2);
}
