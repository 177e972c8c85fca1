import { requirePositive } from '../errors.ts';

/** Scales of the views, 1 : n, largest view first; the last is for slabs wider than any tank needs. */
export const DRAWING_SCALES = [10, 20, 25, 50, 100] as const;

/**
 * The scale that draws a thing largest within a space.
 *
 * @param thing width and height as built [m]; @param space on the sheet [mm]
 * @returns n of 1 : n; the smallest scale when none fits
 * @source iso-5455
 */
export function largestScale(
  thing: { readonly widthM: number; readonly heightM: number },
  space: { readonly widthMm: number; readonly heightMm: number },
): number {
  requirePositive({ widthM: thing.widthM, heightM: thing.heightM });
  const fits = (scale: number) =>
    (thing.widthM * 1000) / scale <= space.widthMm &&
    (thing.heightM * 1000) / scale <= space.heightMm;
  return DRAWING_SCALES.find(fits) ?? DRAWING_SCALES[DRAWING_SCALES.length - 1] ?? 100;
}

/** A round length as built whose bar is 20 to 50 mm long on the sheet. */
export function scaleBarLengthMm(scale: number): number {
  return [500, 1000, 2000, 5000].find((lengthMm) => lengthMm / scale >= 20) ?? 5000;
}
