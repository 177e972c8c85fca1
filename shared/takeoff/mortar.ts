import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import type { SourceId } from '../sources.ts';

export interface MortarMix {
  readonly cementKgPerM3: number;
  readonly sandM3PerM3: number;
  readonly cementSource: SourceId;
  readonly sandSource: SourceId;
}

/** Loose bulk density of cement on which the volume mixes rest. */
export const LOOSE_CEMENT_KG_PER_M3 = 1440;

const found = { cementSource: 'cpwd-dsr-2018', sandSource: 'cpwd-basic-analysis' } as const;

/** Cement and sand per m³ of wet mortar, mixes by volume, from public-works coefficients. */
export const MORTAR_MIXES = {
  '1:2': {
    cementKgPerM3: 680,
    sandM3PerM3: 0.95,
    cementSource: 'cpwd-dsr-2018',
    sandSource: 'cpwd-recalled',
  },
  '1:3': { cementKgPerM3: 510, sandM3PerM3: 1.07, ...found },
  '1:4': { cementKgPerM3: 380, sandM3PerM3: 1.07, ...found },
  '1:5': { cementKgPerM3: 310, sandM3PerM3: 1.07, ...found },
  '1:6': { cementKgPerM3: 250, sandM3PerM3: 1.07, ...found },
} as const satisfies Readonly<Record<string, MortarMix>>;

export type MortarMixName = keyof typeof MORTAR_MIXES;

export interface MixMaterials {
  readonly cementKg: number;
  readonly sandM3: number;
  readonly coarseAggregateM3: number;
}

/**
 * Cement and sand of a volume of wet mortar in place, before waste.
 *
 *   cement = V · c(mix),   sand = V · s(mix)
 *
 * Sand is measured dry; see `dampSandM3` for batching by volume with damp sand.
 *
 * @throws {EngineError} `out-of-range` when the volume is negative
 * @source cpwd-dsr-2018 items 3.2 to 3.6
 */
export function mortarMaterials(mix: MortarMixName, volumeM3: number): MixMaterials {
  requireNotNegative({ volumeM3 });
  const { cementKgPerM3, sandM3PerM3 } = MORTAR_MIXES[mix];
  return {
    cementKg: volumeM3 * cementKgPerM3,
    sandM3: volumeM3 * sandM3PerM3,
    coarseAggregateM3: 0,
  };
}

/**
 * Cement by the volume rule, V·f/(1 + s + g)·1440, for comparison with the coefficients only: with
 * f = 1.33 it is 6 % short for 1:3 mortar.
 *
 * @param input f = dryVolumeRatio, s = sandParts, g = coarseParts
 * @returns cement [kg per m³ of wet work]
 * @source dry-volume-rule
 */
export function cementByVolumeRuleKgPerM3(input: {
  readonly dryVolumeRatio: number;
  readonly sandParts: number;
  readonly coarseParts?: number | undefined;
}): number {
  const { dryVolumeRatio, sandParts, coarseParts = 0 } = input;
  requirePositive({ dryVolumeRatio, sandParts });
  requireNotNegative({ coarseParts });
  return (dryVolumeRatio / (1 + sandParts + coarseParts)) * LOOSE_CEMENT_KG_PER_M3;
}

/**
 * Loose damp sand that holds a dry volume of sand: dry · (1 + bulking). Damp sand bulks by 20 to
 * 30 % at 4 to 6 % moisture.
 *
 * @throws {EngineError} `out-of-range` when the volume is negative or bulking is outside 0 to 0.5
 * @source coat-practice
 */
export function dampSandM3(drySandM3: number, bulkingRatio: number): number {
  requireNotNegative({ drySandM3, bulkingRatio });
  if (bulkingRatio > 0.5) {
    throw new EngineError('out-of-range', 'bulkingRatio', bulkingRatio, 'must be at most 0.5');
  }
  return drySandM3 * (1 + bulkingRatio);
}

/**
 * Mixing water of a mass of cement: w/c · cement; 1 kg of water is 1 L.
 *
 * @throws {EngineError} `out-of-range` when the ratio is outside 0.3 to 0.7
 * @source coat-practice
 */
export function mixingWaterL(cementKg: number, waterCementRatio: number): number {
  requireNotNegative({ cementKg });
  if (!(waterCementRatio >= 0.3 && waterCementRatio <= 0.7)) {
    throw new EngineError(
      'out-of-range',
      'waterCementRatio',
      waterCementRatio,
      'must lie between 0.3 and 0.7',
    );
  }
  return cementKg * waterCementRatio;
}
