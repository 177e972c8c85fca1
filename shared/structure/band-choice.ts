import { requirePositive } from '../errors.ts';
import { farthestBandDistanceM } from './band-distances.ts';
import { type BandZone, equalLoadBandZones, evenBandZones, MAX_BAND_COUNT } from './band-levels.ts';
import { bandTensionsN } from './band-loads.ts';
import { bandLimits, bandStress } from './band-stress.ts';
import { maxBandSpacingM } from './vertical-span.ts';

const STEEL_DENSITY_KG_PER_M3 = 7850;

/** Rounding that a count, a stress or a distance may overrun. */
const SLACK = 1e-9;

/**
 * Fewest bands that share a hoop force equally.
 *
 *   n = ⌈T / T_band⌉
 *
 * @param totalForceN T, @param capacityPerBandN T_band
 * @throws {EngineError} when a value is not above 0
 * @source lock-gate-girders
 */
export function fewestEqualLoadBands(totalForceN: number, capacityPerBandN: number): number {
  requirePositive({ totalForceN, capacityPerBandN });
  return Math.max(1, Math.ceil(totalForceN / capacityPerBandN - SLACK));
}

export interface BandSize {
  readonly widthMm: number;
  readonly thicknessMm: number;
}

export interface BandChoiceInput {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  readonly yieldStrengthMPa: number;
  readonly jointEfficiencyRatio: number;
  readonly spacing: 'even' | 'equal-load';
  readonly sizes: readonly BandSize[];
}

export interface BandOption extends BandSize {
  readonly count: number;
  readonly levelsBelowWaterM: readonly number[];
  readonly maxUtilisationRatio: number;
  /** Bands of the wall only, without laps, lugs and the band at the springing. */
  readonly steelMassKg: number;
}

export interface BandRefusal extends BandSize {
  readonly reason: string;
}

export interface BandChoice {
  readonly options: readonly BandOption[];
  readonly refused: readonly BandRefusal[];
}

function gapsM(zones: readonly BandZone[], waterDepthM: number): number[] {
  if (zones.length === 1) return [waterDepthM];
  return zones.slice(1).map((zone, i) => {
    const above = zones[i];
    return zone.levelBelowWaterM - (above?.levelBelowWaterM ?? 0);
  });
}

function fewestOf(size: BandSize, input: BandChoiceInput): BandOption | BandRefusal {
  const { waterDepthM, insideDiameterM, wallThicknessM } = input;
  const section = { ...input, ...size };
  bandLimits(section);
  const zonesOf = input.spacing === 'even' ? evenBandZones : equalLoadBandZones;
  for (let count = 1; count <= MAX_BAND_COUNT; count += 1) {
    const zones = zonesOf(waterDepthM, count);
    const gaps = gapsM(zones, waterDepthM);
    if (Math.min(...gaps) < size.widthMm / 1000) break;
    const stresses = bandTensionsN(zones, insideDiameterM / 2).map((tensionN) =>
      bandStress(tensionN, section),
    );
    const maxUtilisationRatio = Math.max(...stresses.map((stress) => stress.utilisationRatio));
    const levels = zones.map((zone) => zone.levelBelowWaterM);
    const farthestM = farthestBandDistanceM(levels, waterDepthM);
    const isTooFar = farthestM > maxBandSpacingM(wallThicknessM) + SLACK;
    if (maxUtilisationRatio > 1 + SLACK || isTooFar) continue;
    const lengthM = Math.PI * (insideDiameterM + 2 * wallThicknessM);
    const areaM2 = size.widthMm * size.thicknessMm * 1e-6;
    return {
      ...size,
      count,
      levelsBelowWaterM: levels,
      maxUtilisationRatio,
      steelMassKg: count * lengthM * areaM2 * STEEL_DENSITY_KG_PER_M3,
    };
  }
  return {
    ...size,
    reason: `no count up to ${MAX_BAND_COUNT} carries the load without bands that overlap`,
  };
}

/**
 * Fewest bands of each available size that carry the whole hoop load of a tank.
 *
 * A count is accepted when gross and net stress stay within their limits, neighbouring bands,
 * springing and floor are no farther apart than `maxBandSpacingM` and bands do not overlap. The lightest option comes first.
 *
 * @returns options by rising mass of steel [kg], and the sizes that no count can serve with a reason
 * @throws {EngineError} when a length, a section or the joint efficiency is out of range
 * @source tributary-load; lock-gate-girders; is-3370-2; is-800
 */
export function bandOptions(input: BandChoiceInput): BandChoice {
  const { insideDiameterM, waterDepthM, wallThicknessM } = input;
  requirePositive({ insideDiameterM, waterDepthM, wallThicknessM });
  const found = input.sizes.map((size) => fewestOf(size, input));
  const options = found.filter((one): one is BandOption => 'count' in one);
  return {
    options: options.sort((a, b) => a.steelMassKg - b.steelMassKg || a.count - b.count),
    refused: found.filter((one): one is BandRefusal => 'reason' in one),
  };
}
