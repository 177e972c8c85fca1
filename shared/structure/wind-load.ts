import { requireNotNegative, requirePositive } from '../errors.ts';
import { squared } from '../units/same-everywhere.ts';

/** Half the density of air, ½ · 1.226 kg/m³. */
const HALF_AIR_DENSITY_KG_PER_M3 = 0.613;
/** Force coefficient of a short rough cylinder. */
const CYLINDER_FORCE_COEFFICIENT = 0.7;
/** Side view of a shallow dome as a share of its width times rise. */
const DOME_SIDE_AREA_RATIO = 2 / 3;
/** Where the force on a shallow dome acts, as a share of its rise above the springing. */
const DOME_ARM_RATIO = 0.4;

/** Least factors of safety of the empty tank. The overturning factor is the upper usual value. */
export const REQUIRED_OVERTURNING_SAFETY_FACTOR = 2;
export const REQUIRED_SLIDING_SAFETY_FACTOR = 1.5;

/** Basic wind speed taken when none is given, the speed above which an engineer must look. Ours. */
export const DEFAULT_WIND_SPEED_M_PER_S = 44;

export interface WindLoadInput {
  readonly windSpeedMPerS: number;
  readonly outsideDiameterM: number;
  readonly wallHeightM: number;
  readonly domeRiseM: number;
  readonly slabThicknessM: number;
}

export interface WindLoad {
  readonly pressurePa: number;
  readonly forceN: number;
  /** About the underside of the slab. */
  readonly momentNm: number;
}

/**
 * Wind force and overturning moment on a tank that stands on the ground.
 *
 *   q = 0.613 · V²,   F = q · Cf · A,   M = Σ F · arm above the slab underside
 *
 * The dome counts as 2/3 of its width times rise, acting at 0.4 of the rise; Cf = 0.7.
 *
 * @returns pressure [Pa], force [N], moment [N·m]
 * @throws {EngineError} when the speed is negative or a length is not above 0
 * @source is-875-3
 */
export function windLoad(input: WindLoadInput): WindLoad {
  const { windSpeedMPerS, outsideDiameterM, wallHeightM, domeRiseM, slabThicknessM } = input;
  requireNotNegative({ windSpeedMPerS });
  requirePositive({ outsideDiameterM, wallHeightM, domeRiseM, slabThicknessM });
  const pressurePa = HALF_AIR_DENSITY_KG_PER_M3 * squared(windSpeedMPerS);
  const forcePerM2 = pressurePa * CYLINDER_FORCE_COEFFICIENT;
  const wallForceN = forcePerM2 * outsideDiameterM * wallHeightM;
  const domeForceN = forcePerM2 * outsideDiameterM * domeRiseM * DOME_SIDE_AREA_RATIO;
  const domeArmM = slabThicknessM + wallHeightM + DOME_ARM_RATIO * domeRiseM;
  return {
    pressurePa,
    forceN: wallForceN + domeForceN,
    momentNm: wallForceN * (slabThicknessM + wallHeightM / 2) + domeForceN * domeArmM,
  };
}
