import { requireNotNegative, requirePositive } from '../errors.ts';

/**
 * Wet mortar of one coat per m² of finished face, with the allowance for joints and unevenness of
 * the ground it covers.
 *
 *   V/A = t · (1 + a)
 *
 * @param input t = thicknessM, a = allowanceRatio (0.20 at 12 mm, 0.12 at 20 mm)
 * @returns mortar [m³/m²]
 * @source cpwd-plaster-analysis
 */
export function coatMortarM3PerM2(input: {
  readonly thicknessM: number;
  readonly allowanceRatio: number;
}): number {
  requirePositive({ thicknessM: input.thicknessM });
  requireNotNegative({ allowanceRatio: input.allowanceRatio });
  return input.thicknessM * (1 + input.allowanceRatio);
}

/**
 * Liquid of a coating in several coats: area · coats / coverage.
 *
 * @param input coverageM2PerL: area that one litre covers in one coat
 * @returns paint, primer or emulsion [L]
 * @source covering-capacity
 */
export function coatingL(input: {
  readonly areaM2: number;
  readonly coatCount: number;
  readonly coverageM2PerL: number;
}): number {
  const { areaM2, coatCount, coverageM2PerL } = input;
  requireNotNegative({ areaM2 });
  requirePositive({ coatCount, coverageM2PerL });
  return (areaM2 * coatCount) / coverageM2PerL;
}
