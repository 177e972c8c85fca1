import { EngineError } from '../errors.ts';
import {
  type BandZone,
  equalLoadBandZones,
  evenBandZones,
  midpointBandZones,
} from './band-levels.ts';
import { bandTensionN } from './band-loads.ts';
import { type BandSection, type BandStress, bandStress } from './band-stress.ts';

export interface BandArrangement extends BandSection {
  readonly spacing: 'even' | 'equal-load' | 'given';
  readonly count?: number | undefined;
  readonly levelsBelowWaterM?: readonly number[] | undefined;
}

export interface TankBand extends BandStress {
  readonly levelBelowWaterM: number;
  readonly heightAboveFloorM: number;
  readonly fromDepthM: number;
  readonly toDepthM: number;
  readonly loadN: number;
}

const NAME = 'bands.levelsBelowWaterM';

/**
 * Zones of an arrangement of bands: even, of equal load, or at given levels by the midpoint rule.
 *
 * @throws {EngineError} `missing-data` without a count or levels; `out-of-range` for a level
 *   outside the wall; `inconsistent` for levels out of order or bands that overlap
 * @source tributary-load; lock-gate-girders
 */
export function bandZones(waterDepthM: number, arrangement: BandArrangement): BandZone[] {
  const { spacing, count, levelsBelowWaterM, widthMm } = arrangement;
  const zones =
    spacing === 'given'
      ? midpointBandZones(waterDepthM, levelsBelowWaterM ?? [], NAME)
      : spacing === 'even'
        ? evenBandZones(waterDepthM, count ?? Number.NaN)
        : equalLoadBandZones(waterDepthM, count ?? Number.NaN);
  zones.forEach((zone, i) => {
    const above = zones[i - 1];
    if (above === undefined) return;
    const gapM = zone.levelBelowWaterM - above.levelBelowWaterM;
    if (gapM < widthMm / 1000) {
      const limit = `bands ${widthMm} mm wide overlap: levels ${i} and ${i + 1} are ${gapM} m apart`;
      const parameter = spacing === 'given' ? NAME : 'bands.count';
      throw new EngineError('inconsistent', parameter, zones.length, limit);
    }
  });
  return zones;
}

/**
 * Load and stress of every band of a cracked wall that the bands alone must hold.
 *
 * The long-term credit of bamboo hoops is zero: no part of the load goes to them, nor to the
 * mortar, nor to the floor.
 *
 * @param insideDiameterM, @param waterDepthM H to the top of the wall
 * @returns bands from the surface down: levels [m], load [N], stresses [Pa]; `utilisationRatio` is
 *   the greater of gross stress over 115 MPa and net stress over 0.6·fy
 * @throws {EngineError} as `bandZones`, or when the section is out of range
 * @source tributary-load; is-3370-2 table 4; is-800
 */
export function tankBands(
  insideDiameterM: number,
  waterDepthM: number,
  arrangement: BandArrangement,
): TankBand[] {
  return bandZones(waterDepthM, arrangement).map((zone) => {
    const loadN = bandTensionN(zone, insideDiameterM / 2);
    return {
      levelBelowWaterM: zone.levelBelowWaterM,
      heightAboveFloorM: waterDepthM - zone.levelBelowWaterM,
      fromDepthM: zone.fromDepthM,
      toDepthM: zone.toDepthM,
      loadN,
      ...bandStress(loadN, arrangement),
    };
  });
}
