import type { StorageSummary } from './reliability.ts';
import { dailyInflow } from './runoff.ts';
import { sequentPeak } from './sequent-peak.ts';
import type { NamedOperatingRule } from './storage-run.ts';
import { summariseStorage } from './storage-summary.ts';

export interface StorageReliabilityInput {
  readonly roofAreaM2: number;
  readonly runoffCoefficient: number;
  readonly firstFlushMm?: number;
  readonly dailyRainMm: readonly number[];
  readonly demandLPerDay: number;
  readonly capacitiesL: readonly number[];
  readonly operatingRule: NamedOperatingRule;
  readonly initialVolumeL?: number;
}

export interface StorageReliability {
  readonly results: readonly StorageSummary[];
  readonly sequentPeak: { readonly onePassL: number; readonly cyclicL: number | null };
}

/**
 * From daily rain on one roof to the reliability of several tank sizes.
 *
 * @param input one roof (plan area, runoff coefficient, first flush [mm] on each wet day), complete
 *   daily rain [mm], a constant demand [L/d], capacities [L], start volume [L] (0 by default)
 * @returns one summary a capacity in the order given, and the storage that would never fail [L],
 *   cyclicL null when the demand exceeds the inflow of the record
 * @throws {EngineError} `not-finite` or `out-of-range` for malformed input
 * @source jenkins-1978
 * @source thomas-burden-1963
 */
export function storageReliability(input: StorageReliabilityInput): StorageReliability {
  const { roofAreaM2: planAreaM2, runoffCoefficient, firstFlushMm = 0, demandLPerDay } = input;
  const dailyInflowL = dailyInflow({
    roofs: [{ planAreaM2, runoffCoefficient }],
    dailyRainMm: input.dailyRainMm,
    firstFlushMm,
  });
  const results = summariseStorage({
    dailyInflowL,
    demandLPerDay,
    capacitiesL: input.capacitiesL,
    operatingRule: input.operatingRule,
    initialVolumeL: input.initialVolumeL ?? 0,
  });
  const { onePassL, cyclicL } = sequentPeak({ dailyInflowL, demandLPerDay });
  return { results, sequentPeak: { onePassL, cyclicL } };
}
