import { requireNotNegative } from '../errors.ts';
import type { SourceId } from '../sources.ts';
import type { MixMaterials } from './mortar.ts';

export interface ConcreteMix {
  readonly cementKgPerM3: number;
  readonly sandM3PerM3: number;
  readonly coarseAggregateM3PerM3: number;
  readonly cementSource: SourceId;
  readonly aggregateSource: SourceId;
}

/** Cement, sand and stone per m³ of wet concrete, mixes by volume. */
export const CONCRETE_MIXES = {
  '1:1.5:3': {
    cementKgPerM3: 400,
    sandM3PerM3: 0.42,
    coarseAggregateM3PerM3: 0.84,
    cementSource: 'cpwd-dsr-2018',
    aggregateSource: 'dry-volume-rule',
  },
  '1:2:4': {
    cementKgPerM3: 320,
    sandM3PerM3: 0.445,
    coarseAggregateM3PerM3: 0.89,
    cementSource: 'cpwd-dsr-2018',
    aggregateSource: 'cpwd-recalled',
  },
  '1:3:6': {
    cementKgPerM3: 220,
    sandM3PerM3: 0.47,
    coarseAggregateM3PerM3: 0.94,
    cementSource: 'cpwd-recalled',
    aggregateSource: 'cpwd-recalled',
  },
  '1:4:8': {
    cementKgPerM3: 170,
    sandM3PerM3: 0.47,
    coarseAggregateM3PerM3: 0.94,
    cementSource: 'cpwd-recalled',
    aggregateSource: 'cpwd-recalled',
  },
} as const satisfies Readonly<Record<string, ConcreteMix>>;

export type ConcreteMixName = keyof typeof CONCRETE_MIXES;

/**
 * Cement, sand and coarse aggregate of a volume of wet concrete in place, before waste.
 *
 *   cement = V · c(mix),   sand = V · s(mix),   stone = V · g(mix)
 *
 * @throws {EngineError} `out-of-range` when the volume is negative
 * @source cpwd-dsr-2018 item 4.1
 */
export function concreteMaterials(mix: ConcreteMixName, volumeM3: number): MixMaterials {
  requireNotNegative({ volumeM3 });
  const { cementKgPerM3, sandM3PerM3, coarseAggregateM3PerM3 } = CONCRETE_MIXES[mix];
  return {
    cementKg: volumeM3 * cementKgPerM3,
    sandM3: volumeM3 * sandM3PerM3,
    coarseAggregateM3: volumeM3 * coarseAggregateM3PerM3,
  };
}
