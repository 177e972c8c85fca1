import { EngineError, requireWithin } from '../errors.ts';
import { cylinderCapacityL } from '../geometry/cylinder.ts';
import { MAX_BAND_COUNT } from '../structure/band-levels.ts';
import { ROOF_LIVE_LOAD_WITH_ACCESS_PA } from '../structure/dome-membrane.ts';
import type { SeismicCoefficients } from '../structure/earthquake-load.ts';
import { SOIL_CLASSES, type SoilClass } from '../structure/soil-bearing.ts';
import { DEFAULT_WIND_SPEED_M_PER_S } from '../structure/wind-load.ts';

export type BandSpacing = 'even' | 'equal-load' | 'given';

export interface TankBandsInput {
  readonly widthMm: number;
  readonly thicknessMm: number;
  readonly yieldStrengthMPa: number;
  /** Net section at the joint over gross section, above 0 and at most 1. */
  readonly jointEfficiencyRatio: number;
  readonly spacing: BandSpacing;
  /** Needed for `even` and `equal-load`; with `given` it may only repeat the number of levels. */
  readonly count?: number | undefined;
  /** Needed for `given`, from the surface down; refused with the other spacings. */
  readonly levelsBelowWaterM?: readonly number[] | undefined;
}

export interface TankDomeInput {
  readonly riseM: number;
  readonly thicknessM: number;
  readonly gridSpacingM: number;
  /** 5 mm unless given. */
  readonly stripThicknessMm?: number | undefined;
  /** Per plan area; 1,500 Pa unless given, the load of a roof that people may step on. */
  readonly liveLoadPa?: number | undefined;
}

/** One tank design: vertical cylinder, steel bands, mortar wall, shallow dome, flat slab. */
export interface TankDesignInput {
  readonly insideDiameterM: number;
  /** Design water depth, taken to the top of the wall and not to the overflow. */
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  /** 0.2 unless given. */
  readonly poissonRatio?: number | undefined;
  /** 20 GPa unless given; enters movements and periods only. */
  readonly mortarModulusPa?: number | undefined;
  readonly bands: TankBandsInput;
  readonly dome: TankDomeInput;
  readonly slab: { readonly diameterM: number; readonly thicknessM: number };
  /** `unknown` unless given: no bearing check, and an engineer must look. */
  readonly soilClass?: SoilClass | undefined;
  /** Basic wind speed; 44 m/s unless given. */
  readonly windSpeedMPerS?: number | undefined;
  /** Left out: no earthquake check is made, and the result says so. */
  readonly seismic?: SeismicCoefficients | undefined;
}

export const TANK_DESIGN_DEFAULTS = {
  poissonRatio: 0.2,
  mortarModulusPa: 20e9,
  stripThicknessMm: 5,
  liveLoadPa: ROOF_LIVE_LOAD_WITH_ACCESS_PA,
  soilClass: 'unknown',
  windSpeedMPerS: DEFAULT_WIND_SPEED_M_PER_S,
} as const;

/** Range of each number in which the checks of this engine are meant to hold. Ours. */
export const TANK_DESIGN_LIMITS = {
  insideDiameterM: [0.4, 6],
  waterDepthM: [0.3, 4],
  wallThicknessM: [0.02, 0.3],
  poissonRatio: [0, 0.4],
  mortarModulusPa: [1e9, 60e9],
  'bands.widthMm': [5, 200],
  'bands.thicknessMm': [0.3, 10],
  'bands.yieldStrengthMPa': [150, 700],
  'bands.jointEfficiencyRatio': [0.1, 1],
  'dome.riseM': [0.05, 3],
  'dome.thicknessM': [0.015, 0.2],
  'dome.gridSpacingM': [0.02, 1],
  'dome.stripThicknessMm': [0, 30],
  'dome.liveLoadPa': [0, 10_000],
  'slab.diameterM': [0.4, 10],
  'slab.thicknessM': [0.05, 0.6],
  windSpeedMPerS: [0, 100],
  'seismic.impulsiveCoefficient': [0, 2],
  'seismic.convectiveCoefficient': [0, 2],
  capacityL: [200, 22_000],
} as const satisfies Readonly<Record<string, readonly [number, number]>>;

/** A wall thicker than this share of its inside radius is no thin shell. Ours. */
export const MAX_WALL_THICKNESS_TO_RADIUS_RATIO = 0.25;

/** A wall with H²/Dt below this lies outside the published tables. */
export const MIN_WALL_SLENDERNESS = 0.4;

export type TankDesignLimitName = keyof typeof TANK_DESIGN_LIMITS;

/**
 * Throws unless a number lies in the range of its name in `TANK_DESIGN_LIMITS`.
 *
 * @throws {EngineError} naming parameter, value and limit
 * @source project-limit
 */
export function requireDesignLimit(name: TankDesignLimitName, value: number): void {
  const [low, high] = TANK_DESIGN_LIMITS[name];
  requireWithin(name, value, low, high);
}

/** The input with every default filled in. */
export interface CompleteTankDesign extends TankDesignInput {
  readonly poissonRatio: number;
  readonly mortarModulusPa: number;
  readonly dome: TankDomeInput & {
    readonly stripThicknessMm: number;
    readonly liveLoadPa: number;
  };
  readonly soilClass: SoilClass;
  readonly windSpeedMPerS: number;
}

function requireBands(bands: TankBandsInput): void {
  requireDesignLimit('bands.widthMm', bands.widthMm);
  requireDesignLimit('bands.thicknessMm', bands.thicknessMm);
  requireDesignLimit('bands.yieldStrengthMPa', bands.yieldStrengthMPa);
  requireDesignLimit('bands.jointEfficiencyRatio', bands.jointEfficiencyRatio);
  const { spacing, count, levelsBelowWaterM: levels } = bands;
  if (count !== undefined) {
    requireWithin('bands.count', count, 1, MAX_BAND_COUNT);
    if (!Number.isInteger(count)) {
      throw new EngineError('out-of-range', 'bands.count', count, 'must be a whole number');
    }
  }
  if (spacing === 'given') {
    if (levels === undefined || levels.length === 0) {
      const limit = 'spacing "given" needs at least one level';
      throw new EngineError('missing-data', 'bands.levelsBelowWaterM', levels, limit);
    }
    if (count !== undefined && count !== levels.length) {
      const limit = `must equal the number of levels given, ${levels.length}`;
      throw new EngineError('inconsistent', 'bands.count', count, limit);
    }
    return;
  }
  if (spacing !== 'even' && spacing !== 'equal-load') {
    const limit = 'must be "even", "equal-load" or "given"';
    throw new EngineError('out-of-range', 'bands.spacing', spacing, limit);
  }
  if (levels !== undefined) {
    const limit = `must be left out with spacing "${spacing}"`;
    throw new EngineError('inconsistent', 'bands.levelsBelowWaterM', levels, limit);
  }
  if (count === undefined) {
    const limit = `spacing "${spacing}" needs a count`;
    throw new EngineError('missing-data', 'bands.count', count, limit);
  }
}

function requireShape(design: CompleteTankDesign): void {
  const { insideDiameterM, waterDepthM, wallThicknessM, dome, slab } = design;
  const radiusM = insideDiameterM / 2;
  const thickestM = radiusM * MAX_WALL_THICKNESS_TO_RADIUS_RATIO;
  if (wallThicknessM > thickestM) {
    const limit = `must not exceed a quarter of the inside radius, ${thickestM}`;
    throw new EngineError('out-of-range', 'wallThicknessM', wallThicknessM, limit);
  }
  const shallowestM = Math.sqrt(MIN_WALL_SLENDERNESS * insideDiameterM * wallThicknessM);
  if (waterDepthM < shallowestM) {
    const limit = `H²/Dt must be at least ${MIN_WALL_SLENDERNESS}, so at least ${shallowestM}`;
    throw new EngineError('out-of-range', 'waterDepthM', waterDepthM, limit);
  }
  requireDesignLimit('capacityL', cylinderCapacityL(insideDiameterM, waterDepthM));
  if (dome.riseM > radiusM) {
    const limit = `must not exceed the inside radius ${radiusM}`;
    throw new EngineError('out-of-range', 'dome.riseM', dome.riseM, limit);
  }
  if (dome.gridSpacingM >= radiusM) {
    const limit = `must be below the inside radius ${radiusM}`;
    throw new EngineError('out-of-range', 'dome.gridSpacingM', dome.gridSpacingM, limit);
  }
  const outsideDiameterM = insideDiameterM + 2 * wallThicknessM;
  if (slab.diameterM < outsideDiameterM) {
    const limit = `must not be below the outside diameter ${outsideDiameterM}`;
    throw new EngineError('inconsistent', 'slab.diameterM', slab.diameterM, limit);
  }
}

/**
 * Fills in the defaults of a tank design and refuses what the checks cannot judge.
 *
 * @throws {EngineError} `not-finite`, `out-of-range`, `missing-data` or `inconsistent`, naming the
 *   parameter by its path, its value and the limit
 * @source project-limit
 */
export function completeTankDesign(input: TankDesignInput): CompleteTankDesign {
  const defaults = TANK_DESIGN_DEFAULTS;
  const design: CompleteTankDesign = {
    ...input,
    poissonRatio: input.poissonRatio ?? defaults.poissonRatio,
    mortarModulusPa: input.mortarModulusPa ?? defaults.mortarModulusPa,
    dome: {
      ...input.dome,
      stripThicknessMm: input.dome.stripThicknessMm ?? defaults.stripThicknessMm,
      liveLoadPa: input.dome.liveLoadPa ?? defaults.liveLoadPa,
    },
    soilClass: input.soilClass ?? defaults.soilClass,
    windSpeedMPerS: input.windSpeedMPerS ?? defaults.windSpeedMPerS,
  };
  requireDesignLimit('insideDiameterM', design.insideDiameterM);
  requireDesignLimit('waterDepthM', design.waterDepthM);
  requireDesignLimit('wallThicknessM', design.wallThicknessM);
  requireDesignLimit('poissonRatio', design.poissonRatio);
  requireDesignLimit('mortarModulusPa', design.mortarModulusPa);
  requireBands(design.bands);
  requireDesignLimit('dome.riseM', design.dome.riseM);
  requireDesignLimit('dome.thicknessM', design.dome.thicknessM);
  requireDesignLimit('dome.gridSpacingM', design.dome.gridSpacingM);
  requireDesignLimit('dome.stripThicknessMm', design.dome.stripThicknessMm);
  requireDesignLimit('dome.liveLoadPa', design.dome.liveLoadPa);
  requireDesignLimit('slab.diameterM', design.slab.diameterM);
  requireDesignLimit('slab.thicknessM', design.slab.thicknessM);
  requireDesignLimit('windSpeedMPerS', design.windSpeedMPerS);
  if (design.seismic !== undefined) {
    requireDesignLimit('seismic.impulsiveCoefficient', design.seismic.impulsiveCoefficient);
    requireDesignLimit('seismic.convectiveCoefficient', design.seismic.convectiveCoefficient);
  }
  if (!SOIL_CLASSES.includes(design.soilClass)) {
    const limit = `must be one of ${SOIL_CLASSES.join(', ')}`;
    throw new EngineError('out-of-range', 'soilClass', design.soilClass, limit);
  }
  requireShape(design);
  return design;
}
