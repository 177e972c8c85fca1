import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import type { SphericalCap } from '../geometry/spherical-cap.ts';
import { squared } from '../units/same-everywhere.ts';
import type { DomeForcesAt } from './dome-membrane.ts';

/** One person with tools at the crown. */
export const PERSON_LOAD_N = 1000;

/** Radius of the patch under a person on a board; the formula is singular inside it. Ours. */
export const PERSON_PATCH_RADIUS_M = 0.15;

/**
 * Membrane forces of a spherical dome under a load at its crown, outside the loaded patch.
 *
 *   N_φ = −W / (2π·Rs·sin²φ),   N_θ = +W / (2π·Rs·sin²φ)
 *
 * @param loadN W; @param distanceFromCrownM horizontal, Rs·sin φ
 * @returns forces per metre [N/m], compression negative
 * @throws {EngineError} when the load is negative or the distance is not within the plan radius
 * @source timoshenko-1959 dome under a load at the crown
 */
export function domePointLoadForces(
  cap: SphericalCap,
  loadN: number,
  distanceFromCrownM: number,
): DomeForcesAt {
  requireNotNegative({ loadN });
  requirePositive({ distanceFromCrownM });
  if (distanceFromCrownM > cap.planRadiusM) {
    const limit = `must not exceed the plan radius ${cap.planRadiusM}`;
    throw new EngineError('out-of-range', 'distanceFromCrownM', distanceFromCrownM, limit);
  }
  const forceNPerM = (loadN * cap.sphereRadiusM) / (2 * Math.PI * squared(distanceFromCrownM));
  return { meridionalForceNPerM: -forceNPerM, hoopForceNPerM: forceNPerM };
}

/**
 * Ring tension that any load on a dome adds, by statics alone.
 *
 *   T = W · cot φ₀ / 2π
 *
 * @param loadN W, whole vertical load, symmetrical about the axis
 * @returns tension [N]
 * @throws {EngineError} when the load is negative
 * @source garlock-domes statics of the ring
 */
export function domeRingTensionN(cap: SphericalCap, loadN: number): number {
  requireNotNegative({ loadN });
  return (loadN * cap.centreDepthM) / cap.planRadiusM / (2 * Math.PI);
}
