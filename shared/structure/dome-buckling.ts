import { requirePositive } from '../errors.ts';
import { squared } from '../units/same-everywhere.ts';

/** Classical factor for ν near 0.2, 2 / √(3(1 − ν²)) rounded down. */
const CLASSICAL_FACTOR = 1.16;

/** Divisor for real, cracked, hand-made shells. Ours. */
const KNOCKDOWN_DIVISOR = 20;

export interface DomeBuckling {
  readonly classicalPressurePa: number;
  readonly allowedPressurePa: number;
}

/**
 * Pressure at which a spherical dome buckles, and the part of it that may be used.
 *
 *   p = 1.16 · E · (t / Rs)²,   allowed p / 20
 *
 * @param modulusPa E, @param thicknessM t, @param sphereRadiusM Rs
 * @returns pressures [Pa]
 * @throws {EngineError} when a value is not above 0
 * @source zoelly-1915
 */
export function domeBuckling(
  modulusPa: number,
  thicknessM: number,
  sphereRadiusM: number,
): DomeBuckling {
  requirePositive({ modulusPa, thicknessM, sphereRadiusM });
  const classicalPressurePa = CLASSICAL_FACTOR * modulusPa * squared(thicknessM / sphereRadiusM);
  return { classicalPressurePa, allowedPressurePa: classicalPressurePa / KNOCKDOWN_DIVISOR };
}
