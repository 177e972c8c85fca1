import { requireNotNegative, requirePositive } from '../errors.ts';

/**
 * Direct tension permitted in hand-mixed mortar of the wall, half of the 1.2 MPa that the concrete
 * code gives for M20. No source for site mortar was found.
 */
export const MORTAR_DIRECT_TENSION_LIMIT_PA = 600_000;

/** Tension in bending permitted in hand-mixed mortar, half of the 1.7 MPa of M20. Ours. */
export const MORTAR_BENDING_TENSION_LIMIT_PA = 850_000;

/** Compressive strength taken for hand-mixed mortar. Ours. */
export const MORTAR_STRENGTH_PA = 15_000_000;

/** Share of the compressive strength that may be used. */
export const MORTAR_COMPRESSION_RATIO = 0.45;

export interface ConcreteTensionLimit {
  readonly grade: string;
  readonly directMPa: number;
  readonly bendingMPa: number;
  /** Whether the pair was seen quoted or is recalled. */
  readonly seen: 'quoted' | 'from-memory';
}

/** Tension permitted in concrete that must stay watertight, by grade. */
export const CONCRETE_TENSION_LIMITS: readonly ConcreteTensionLimit[] = [
  { grade: 'M20', directMPa: 1.2, bendingMPa: 1.7, seen: 'from-memory' },
  { grade: 'M25', directMPa: 1.3, bendingMPa: 1.8, seen: 'quoted' },
  { grade: 'M30', directMPa: 1.5, bendingMPa: 2.0, seen: 'quoted' },
  { grade: 'M35', directMPa: 1.6, bendingMPa: 2.2, seen: 'from-memory' },
  { grade: 'M40', directMPa: 1.7, bendingMPa: 2.4, seen: 'from-memory' },
];

/**
 * Modulus of concrete or mortar from its characteristic strength.
 *
 *   E = 5000 · √f_ck   [MPa]
 *
 * @returns modulus [Pa]
 * @throws {EngineError} when the strength is not above 0
 * @source is-456 clause 6.2.3.1
 */
export function mortarModulusPa(strengthMPa: number): number {
  requirePositive({ strengthMPa });
  return 5000 * Math.sqrt(strengthMPa) * 1e6;
}

const SHRINKAGE_STRAIN = 0.0003;
const STEEL_MODULUS_PA = 200e9;

/**
 * Hoop tension of a wall with bonded steel, shrinkage included.
 *
 *   f = (C·E_s·A_s + N) / (A_c + n·A_s),   C = 0.0003
 *
 * For bands outside the mortar the steel area is 0 and f = N / t.
 *
 * @param hoopForceNPerM N, @param wallThicknessM gives A_c, @param bondedSteelMm2PerM A_s
 * @param modularRatio n
 * @returns stress [Pa], tension positive
 * @throws {EngineError} when the thickness or ratio is not above 0 or a value is negative
 * @source pca-1993 section 4
 */
export function wallTensionWithShrinkagePa(
  hoopForceNPerM: number,
  wallThicknessM: number,
  bondedSteelMm2PerM: number,
  modularRatio = 10,
): number {
  requireNotNegative({ hoopForceNPerM, bondedSteelMm2PerM });
  requirePositive({ wallThicknessM, modularRatio });
  const steelM2PerM = bondedSteelMm2PerM * 1e-6;
  const shrinkageNPerM = SHRINKAGE_STRAIN * STEEL_MODULUS_PA * steelM2PerM;
  return (shrinkageNPerM + hoopForceNPerM) / (wallThicknessM + modularRatio * steelM2PerM);
}
