import { requireNotNegative, requirePositive } from '../errors.ts';

/** Strain near which a bent bamboo strip begins to split. */
export const BAMBOO_STRIP_STRAIN_LIMIT = 0.005;

/**
 * Strain of a strip that is forced to a curve.
 *
 *   ε = ts / 2ρ
 *
 * @param stripThicknessM ts, @param arcRadiusM ρ
 * @throws {EngineError} when the thickness is negative or the radius not above 0
 * @source plane-geometry
 */
export function stripBendingStrain(stripThicknessM: number, arcRadiusM: number): number {
  requireNotNegative({ stripThicknessM });
  requirePositive({ arcRadiusM });
  return stripThicknessM / (2 * arcRadiusM);
}
