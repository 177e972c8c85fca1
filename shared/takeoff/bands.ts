import { requireNotNegative, requirePositive } from '../errors.ts';

/**
 * Cut length of a flat steel band round a drum, with its lap: π·(D + t) + overlap.
 *
 * @param input D = drumDiameterM (the face the band lies on), t = thicknessMm, overlap = lapM
 * @source steel-density
 */
export function bandCutLengthM(input: {
  readonly drumDiameterM: number;
  readonly thicknessMm: number;
  readonly lapM: number;
}): number {
  const { drumDiameterM, thicknessMm, lapM } = input;
  requirePositive({ drumDiameterM, thicknessMm });
  requireNotNegative({ lapM });
  return Math.PI * (drumDiameterM + thicknessMm / 1000) + lapM;
}

/**
 * Mass of flat steel per metre: 7.85·w·t grams, w and t in mm.
 *
 * @source steel-density
 */
export function bandMassKgPerM(widthMm: number, thicknessMm: number): number {
  requirePositive({ widthMm, thicknessMm });
  return (7.85 * widthMm * thicknessMm) / 1000;
}
