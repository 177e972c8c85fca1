import { EngineError, requirePositive } from '../errors.ts';
import { angleOf, squared } from '../units/same-everywhere.ts';

export interface SphericalCap {
  readonly planRadiusM: number;
  readonly riseM: number;
  readonly sphereRadiusM: number;
  /** From the plane of the springing down to the centre of the sphere. */
  readonly centreDepthM: number;
  readonly edgeAngleRad: number;
  readonly surfaceAreaM2: number;
  readonly planAreaM2: number;
  readonly volumeM3: number;
}

/**
 * Spherical cap on a circular springing.
 *
 *   Rs = (r² + f²) / 2f,   sin φ₀ = r / Rs,   d = Rs − f
 *   surface = 2π · Rs · f,   volume = π · f² · (3Rs − f) / 3
 *
 * @param planRadiusM r, inside radius at the springing; @param riseM f
 * @returns lengths [m], edge angle from the crown [rad], areas [m²], volume under the cap [m³]
 * @throws {EngineError} `out-of-range` when a length is not above 0 or the rise exceeds the radius
 * @source plane-geometry
 */
export function sphericalCap(planRadiusM: number, riseM: number): SphericalCap {
  requirePositive({ planRadiusM, riseM });
  if (riseM > planRadiusM) {
    throw new EngineError(
      'out-of-range',
      'riseM',
      riseM,
      `must not exceed the plan radius ${planRadiusM}`,
    );
  }
  const sphereRadiusM = (squared(planRadiusM) + squared(riseM)) / (2 * riseM);
  return {
    planRadiusM,
    riseM,
    sphereRadiusM,
    centreDepthM: sphereRadiusM - riseM,
    // atan2 keeps a hemisphere at exactly a right angle, where asin(r / Rs) may leave its domain
    edgeAngleRad: angleOf(planRadiusM, sphereRadiusM - riseM),
    surfaceAreaM2: 2 * Math.PI * sphereRadiusM * riseM,
    planAreaM2: Math.PI * squared(planRadiusM),
    volumeM3: (Math.PI * squared(riseM) * (3 * sphereRadiusM - riseM)) / 3,
  };
}
