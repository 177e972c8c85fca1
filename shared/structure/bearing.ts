import { requireNotNegative, requirePositive } from '../errors.ts';
import { circleAreaM2 } from '../geometry/cylinder.ts';

export interface SlabBearing {
  readonly eccentricityM: number;
  /** Largest eccentricity at which the whole slab still presses on the ground. */
  readonly kernM: number;
  /** True when a part of the slab lifts; the two pressures then do not occur. */
  readonly isLifting: boolean;
  readonly maxPressurePa: number | null;
  readonly minPressurePa: number | null;
}

/**
 * Ground pressure under a circular slab with a weight and a moment.
 *
 *   q = (W/A) · (1 ± 8e/Ds),   e = M/W,   no lift while e ≤ Ds/8
 *
 * @param weightN W, @param slabDiameterM Ds, @param momentNm M
 * @returns pressures [Pa], compression positive; null when the slab lifts
 * @throws {EngineError} when weight or diameter is not above 0 or the moment is negative
 * @source plane-geometry section modulus of a circle
 */
export function slabBearing(weightN: number, slabDiameterM: number, momentNm = 0): SlabBearing {
  requirePositive({ weightN, slabDiameterM });
  requireNotNegative({ momentNm });
  const meanPa = weightN / circleAreaM2(slabDiameterM);
  const eccentricityM = momentNm / weightN;
  const kernM = slabDiameterM / 8;
  const isLifting = eccentricityM > kernM;
  const swing = eccentricityM / kernM;
  return {
    eccentricityM,
    kernM,
    isLifting,
    maxPressurePa: isLifting ? null : meanPa * (1 + swing),
    minPressurePa: isLifting ? null : meanPa * (1 - swing),
  };
}

function finiteFactor(resistance: number, action: number): number | null {
  const factor = resistance / action;
  return action > 0 && Number.isFinite(factor) ? factor : null;
}

/**
 * Factor of safety against overturning about the edge of the slab.
 *
 *   FoS = W · Ds / (2M)
 *
 * @returns factor, or null when no moment worth the name acts
 * @throws {EngineError} when weight or diameter is not above 0 or the moment is negative
 * @source is-875-3
 */
export function overturningSafetyFactor(
  weightN: number,
  slabDiameterM: number,
  momentNm: number,
): number | null {
  requirePositive({ weightN, slabDiameterM });
  requireNotNegative({ momentNm });
  return finiteFactor((weightN * slabDiameterM) / 2, momentNm);
}

/**
 * Factor of safety against sliding on the ground.
 *
 * @param resistanceN friction or cohesion, @param forceN horizontal
 * @returns factor, or null when no force worth the name acts
 * @throws {EngineError} when a value is not finite or negative
 * @source is-875-3
 */
export function slidingSafetyFactor(resistanceN: number, forceN: number): number | null {
  requireNotNegative({ resistanceN, forceN });
  return finiteFactor(resistanceN, forceN);
}
