import { requireNotNegative, requireWithin } from '../errors.ts';
import type { SphericalCap } from '../geometry/spherical-cap.ts';
import { cosine } from '../units/same-everywhere.ts';

/** Roof load with people on it, and without access, per plan area. */
export const ROOF_LIVE_LOAD_WITH_ACCESS_PA = 1500;
export const ROOF_LIVE_LOAD_WITHOUT_ACCESS_PA = 750;

/** Unit weight of dome mortar. */
export const DOME_UNIT_WEIGHT_N_PER_M3 = 24_000;

export interface DomeLoads {
  /** Weight of the shell per surface area. */
  readonly selfWeightPa: number;
  /** Live load per plan area. */
  readonly liveLoadPa: number;
}

export interface DomeForcesAt {
  readonly meridionalForceNPerM: number;
  readonly hoopForceNPerM: number;
}

export interface DomeEdge extends DomeForcesAt {
  readonly verticalReactionNPerM: number;
  readonly thrustNPerM: number;
  readonly ringTensionN: number;
  readonly totalLoadN: number;
}

/**
 * Membrane forces of a spherical dome at an angle from the crown.
 *
 *   self weight q:  N_φ = −q·Rs / (1 + cos φ),   N_θ = q·Rs · [1/(1 + cos φ) − cos φ]
 *   live load p:    N_φ = −p·Rs / 2,             N_θ = −(p·Rs / 2) · cos 2φ
 *
 * Assumes a thin shell held tangentially at its edge; edge bending is left out.
 *
 * @param angleRad φ from the crown, 0 to the edge angle
 * @returns forces per metre [N/m], compression negative
 * @throws {EngineError} when a load is negative or the angle lies outside the dome
 * @source garlock-domes membrane theory; timoshenko-1959
 */
export function domeForcesAt(cap: SphericalCap, loads: DomeLoads, angleRad: number): DomeForcesAt {
  const { selfWeightPa, liveLoadPa } = loads;
  requireNotNegative({ selfWeightPa, liveLoadPa });
  requireWithin('angleRad', angleRad, 0, cap.edgeAngleRad);
  const radius = cap.sphereRadiusM;
  const slope = cosine(angleRad);
  return {
    meridionalForceNPerM: (-selfWeightPa * radius) / (1 + slope) - (liveLoadPa * radius) / 2,
    hoopForceNPerM:
      selfWeightPa * radius * (1 / (1 + slope) - slope) -
      ((liveLoadPa * radius) / 2) * cosine(2 * angleRad),
  };
}

/**
 * Forces at the springing of a spherical dome and the tension of the ring that holds it.
 *
 *   V = −N_φ · sin φ₀,   Hₜ = −N_φ · cos φ₀,   T = Hₜ · r
 *
 * @returns membrane forces [N/m] compression negative; reaction and outward thrust [N/m] positive;
 *   ring tension and whole load [N]
 * @throws {EngineError} when a load is negative
 * @source garlock-domes membrane theory
 */
export function domeEdge(cap: SphericalCap, loads: DomeLoads): DomeEdge {
  const forces = domeForcesAt(cap, loads, cap.edgeAngleRad);
  const sine = cap.planRadiusM / cap.sphereRadiusM;
  const cosine = cap.centreDepthM / cap.sphereRadiusM;
  const thrustNPerM = -forces.meridionalForceNPerM * cosine;
  return {
    ...forces,
    verticalReactionNPerM: -forces.meridionalForceNPerM * sine,
    thrustNPerM,
    ringTensionN: thrustNPerM * cap.planRadiusM,
    totalLoadN: loads.selfWeightPa * cap.surfaceAreaM2 + loads.liveLoadPa * cap.planAreaM2,
  };
}
