import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import { type BandSection, bandStress } from './band-stress.ts';

/**
 * Loss of bare carbon steel from one face, the upper end of the range of each atmosphere:
 * moderate (C3) 0.025 to 0.050 mm a year, harsh (C4) 0.050 to 0.080 mm a year.
 */
export const CORROSION_RATE_MM_PER_YEAR = { moderate: 0.05, harsh: 0.08 } as const;

export type Atmosphere = keyof typeof CORROSION_RATE_MM_PER_YEAR;

/** Loss of section at which a tank is drawn down and the engineer called. Ours. */
export const MAX_SECTION_LOSS_RATIO = 0.2;

export interface BandExposure {
  readonly ratePerFaceMmPerYear: number;
  /** 2 for a bare band, 1 when one face lies in sound mortar, 0 when wholly protected. */
  readonly exposedFaces: number;
}

export interface CorrodedBand {
  readonly lostThicknessMm: number;
  readonly remainingThicknessMm: number;
  readonly sectionLossRatio: number;
  readonly isSectionLossAcceptable: boolean;
}

function thicknessLossMmPerYear(exposure: BandExposure): number {
  const { ratePerFaceMmPerYear, exposedFaces } = exposure;
  requireNotNegative({ ratePerFaceMmPerYear, exposedFaces });
  if (exposedFaces !== 0 && exposedFaces !== 1 && exposedFaces !== 2) {
    throw new EngineError('out-of-range', 'exposedFaces', exposedFaces, 'must be 0, 1 or 2');
  }
  return ratePerFaceMmPerYear * exposedFaces;
}

/**
 * What is left of a steel band after years of corrosion at an even rate.
 *
 *   t = t₀ − faces · rate · years, not below 0
 *
 * Assumes an even loss on the flat faces; pitting and the narrow edges are left out.
 *
 * @returns thicknesses [mm] and the share of the section that is gone
 * @throws {EngineError} when a value is negative, the thickness not above 0 or faces not 0, 1, 2
 * @source iso-9223
 */
export function corrodedBand(
  thicknessMm: number,
  exposure: BandExposure,
  years: number,
): CorrodedBand {
  requirePositive({ thicknessMm });
  requireNotNegative({ years });
  const lostThicknessMm = Math.min(thicknessMm, thicknessLossMmPerYear(exposure) * years);
  const sectionLossRatio = lostThicknessMm / thicknessMm;
  return {
    lostThicknessMm,
    remainingThicknessMm: thicknessMm - lostThicknessMm,
    sectionLossRatio,
    isSectionLossAcceptable: sectionLossRatio <= MAX_SECTION_LOSS_RATIO,
  };
}

/**
 * Thickness to order so that a band still has the thickness it needs at the end of its life.
 *
 * @param neededThicknessMm by stress alone
 * @returns thickness [mm]
 * @throws {EngineError} as `corrodedBand`
 * @source iso-9223
 */
export function thicknessWithAllowanceMm(
  neededThicknessMm: number,
  exposure: BandExposure,
  years: number,
): number {
  requirePositive({ neededThicknessMm });
  requireNotNegative({ years });
  return neededThicknessMm + thicknessLossMmPerYear(exposure) * years;
}

/**
 * Years until corrosion brings the stress of a band to its limit.
 *
 *   years = t₀ · (1 − u) / (faces · rate), u the utilisation of the new band
 *
 * @param tensionN load of the band
 * @returns years, 0 when the new band is already over its limit, null when nothing corrodes
 * @throws {EngineError} as `corrodedBand`, or when tension or section is out of range
 * @source iso-9223; is-3370-2; is-800
 */
export function bandLifeYears(
  tensionN: number,
  section: BandSection,
  exposure: BandExposure,
): number | null {
  const { utilisationRatio } = bandStress(tensionN, section);
  const lossMmPerYear = thicknessLossMmPerYear(exposure);
  if (utilisationRatio >= 1) return 0;
  if (lossMmPerYear === 0) return null;
  return (section.thicknessMm * (1 - utilisationRatio)) / lossMmPerYear;
}
