import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

/** The lengths of a tank design that its take-off needs. */
export interface TakeoffGeometry {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  /** Height of the wall; the water depth when left out. */
  readonly wallHeightM?: number | undefined;
  readonly wallThicknessM: number;
  readonly bands: {
    readonly widthMm: number;
    readonly thicknessMm: number;
    readonly count?: number | undefined;
    readonly levelsBelowWaterM?: readonly number[] | undefined;
  };
  readonly dome: {
    readonly riseM: number;
    readonly thicknessM: number;
    readonly gridSpacingM: number;
    /** The recipe's strip thickness when left out. */
    readonly stripThicknessMm?: number | undefined;
  };
  readonly slab: { readonly diameterM: number; readonly thicknessM: number };
}

/**
 * Number of wall bands of a design: its count, or the number of its levels.
 *
 * @throws {EngineError} `missing-data` with neither, `inconsistent` when both differ
 * @source takeoff-own
 */
export function wallBandCount(geometry: TakeoffGeometry): number {
  const { count, levelsBelowWaterM } = geometry.bands;
  if (count === undefined && levelsBelowWaterM === undefined) {
    throw new EngineError('missing-data', 'bands.count', count, 'give a count or the levels');
  }
  const bandCount = count ?? levelsBelowWaterM?.length ?? 0;
  if (!Number.isSafeInteger(bandCount) || bandCount < 0) {
    throw new EngineError(
      'out-of-range',
      'bands.count',
      bandCount,
      'must be a whole number from 0',
    );
  }
  if (levelsBelowWaterM !== undefined && levelsBelowWaterM.length !== bandCount) {
    throw new EngineError(
      'inconsistent',
      'bands.count',
      bandCount,
      `must equal the ${levelsBelowWaterM.length} levels given`,
    );
  }
  return bandCount;
}

/**
 * Refuses lengths that no tank can have, naming the field.
 *
 * @throws {EngineError} `not-finite`, `out-of-range` or `inconsistent`
 * @source takeoff-own
 */
export function requireTakeoffGeometry(geometry: TakeoffGeometry): void {
  const { insideDiameterM, waterDepthM, wallHeightM, wallThicknessM, bands, dome, slab } = geometry;
  requirePositive({
    insideDiameterM,
    waterDepthM,
    wallThicknessM,
    'bands.widthMm': bands.widthMm,
    'bands.thicknessMm': bands.thicknessMm,
    'dome.riseM': dome.riseM,
    'dome.thicknessM': dome.thicknessM,
    'dome.gridSpacingM': dome.gridSpacingM,
    'slab.diameterM': slab.diameterM,
    'slab.thicknessM': slab.thicknessM,
  });
  requireNotNegative({ 'dome.stripThicknessMm': dome.stripThicknessMm ?? 0 });
  if (wallHeightM !== undefined) {
    requirePositive({ wallHeightM });
    if (wallHeightM < waterDepthM) {
      throw new EngineError(
        'inconsistent',
        'wallHeightM',
        wallHeightM,
        `must be at least the water depth ${waterDepthM} m`,
      );
    }
  }
  const outsideDiameterM = insideDiameterM + 2 * wallThicknessM;
  if (slab.diameterM < outsideDiameterM - 1e-9) {
    throw new EngineError(
      'inconsistent',
      'slab.diameterM',
      slab.diameterM,
      `must be at least the wall's outside diameter ${outsideDiameterM} m`,
    );
  }
}
