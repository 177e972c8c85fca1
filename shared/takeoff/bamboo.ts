import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

/**
 * Strips of one width that split out of a culm: ⌊π·D / (w + loss)⌋, thin-wall estimate at the thin
 * end.
 *
 * @param input D = culmDiameterMm at the thin end, w = stripWidthMm, loss = splittingLossMm per strip
 * @throws {EngineError} `out-of-range` when the culm is too thin for one strip
 * @source bamboo-geometry
 */
export function stripsPerCulm(input: {
  readonly culmDiameterMm: number;
  readonly stripWidthMm: number;
  readonly splittingLossMm: number;
}): number {
  const { culmDiameterMm, stripWidthMm, splittingLossMm } = input;
  requirePositive({ culmDiameterMm, stripWidthMm });
  requireNotNegative({ splittingLossMm });
  const count = Math.floor((Math.PI * culmDiameterMm) / (stripWidthMm + splittingLossMm));
  if (count < 1) {
    throw new EngineError(
      'out-of-range',
      'culmDiameterMm',
      culmDiameterMm,
      `gives no strip of ${stripWidthMm} mm`,
    );
  }
  return count;
}

/**
 * Width of a culm opened and flattened to a board: about its girth π·D at the thin end.
 *
 * @source bamboo-geometry
 */
export function flattenedBoardWidthM(culmDiameterMm: number): number {
  requirePositive({ culmDiameterMm });
  return (Math.PI * culmDiameterMm) / 1000;
}

/**
 * Length of a culm left after the butt is trimmed and the top is cut where it grows too thin.
 *
 * @throws {EngineError} `out-of-range` when nothing is left
 * @source bamboo-geometry
 */
export function usableCulmLengthM(input: {
  readonly culmLengthM: number;
  readonly buttTrimM: number;
  readonly topCutM: number;
}): number {
  const { culmLengthM, buttTrimM, topCutM } = input;
  requirePositive({ culmLengthM });
  requireNotNegative({ buttTrimM, topCutM });
  const usable = culmLengthM - buttTrimM - topCutM;
  if (usable <= 0) {
    throw new EngineError('out-of-range', 'culmLengthM', culmLengthM, 'leaves nothing after trims');
  }
  return usable;
}

/**
 * Wood of a hollow culm: π/4·(D² − (D − 2t)²)·L, for the mass of preservative.
 *
 * @param input D = culmDiameterMm, t = culmWallMm, L = lengthM
 * @returns wood [m³]
 * @throws {EngineError} `out-of-range` when the wall is thicker than the radius
 * @source bamboo-geometry
 */
export function culmWoodM3(input: {
  readonly culmDiameterMm: number;
  readonly culmWallMm: number;
  readonly lengthM: number;
}): number {
  const { culmDiameterMm, culmWallMm, lengthM } = input;
  requirePositive({ culmDiameterMm, culmWallMm, lengthM });
  if (2 * culmWallMm > culmDiameterMm) {
    throw new EngineError(
      'out-of-range',
      'culmWallMm',
      culmWallMm,
      `must be at most half of ${culmDiameterMm} mm`,
    );
  }
  const outer = culmDiameterMm / 1000;
  const inner = outer - (2 * culmWallMm) / 1000;
  return (Math.PI / 4) * (outer * outer - inner * inner) * lengthM;
}

/**
 * Pieces of one length that come out of a usable length in one line, with a saw cut between pieces:
 * ⌊(U + s) / (l + s)⌋.
 *
 * @param input U = usableLengthM, l = pieceLengthM, s = kerfM
 * @throws {EngineError} `out-of-range` when the piece is longer than the usable length
 * @source bamboo-geometry
 */
export function piecesPerLength(input: {
  readonly usableLengthM: number;
  readonly pieceLengthM: number;
  readonly kerfM: number;
}): number {
  const { usableLengthM, pieceLengthM, kerfM } = input;
  requirePositive({ usableLengthM, pieceLengthM });
  requireNotNegative({ kerfM });
  // A piece that equals the stock to a micrometre must fit in spite of binary fractions.
  const count = Math.floor((usableLengthM + kerfM + 1e-9) / (pieceLengthM + kerfM));
  if (count < 1) {
    throw new EngineError(
      'out-of-range',
      'pieceLengthM',
      pieceLengthM,
      `must be at most the usable length ${usableLengthM} m`,
    );
  }
  return count;
}

export interface StripHoop {
  readonly pieceCount: number;
  readonly pieceLengthM: number;
  /** All pieces of the hoop end to end, laps included. */
  readonly stripLengthM: number;
}

/**
 * A closed hoop made of equal strips that each lap the next: with circumference C, usable length U
 * and lap a, n = ⌈C / (U − a)⌉ pieces of C/n + a.
 *
 * @param input diameterM: at the middle of the strip's thickness
 * @throws {EngineError} `out-of-range` when the lap is as long as the usable length
 * @source bamboo-geometry
 */
export function stripHoop(input: {
  readonly diameterM: number;
  readonly usableLengthM: number;
  readonly lapM: number;
}): StripHoop {
  const { diameterM, usableLengthM, lapM } = input;
  requirePositive({ diameterM, usableLengthM });
  requireNotNegative({ lapM });
  if (lapM >= usableLengthM) {
    throw new EngineError('out-of-range', 'lapM', lapM, `must be below ${usableLengthM} m`);
  }
  const circumference = Math.PI * diameterM;
  const pieceCount = Math.ceil(circumference / (usableLengthM - lapM) - 1e-9);
  return {
    pieceCount,
    pieceLengthM: circumference / pieceCount + lapM,
    stripLengthM: circumference + pieceCount * lapM,
  };
}

export interface BorateSalts {
  readonly boraxKg: number;
  readonly boricAcidKg: number;
}

/**
 * Borax and boric acid that a volume of bamboo takes up: V · retention, 1.5 : 1 by mass.
 * Borates wash out, so treated bamboo stays behind mortar and out of the water.
 *
 * @param input retentionKgPerM3: 21.5 to 25.5 for strips soaked 3 days in 10 % solution
 * @source irg-wp-08-30478
 * @source borax-boric-recipe
 */
export function borateSalts(input: {
  readonly woodM3: number;
  readonly retentionKgPerM3: number;
}): BorateSalts {
  const { woodM3, retentionKgPerM3 } = input;
  requireNotNegative({ woodM3 });
  requirePositive({ retentionKgPerM3 });
  const totalKg = woodM3 * retentionKgPerM3;
  return { boraxKg: totalKg * 0.6, boricAcidKg: totalKg * 0.4 };
}
