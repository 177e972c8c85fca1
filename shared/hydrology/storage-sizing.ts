import { EngineError, requireWithin } from '../errors.ts';
import type { StorageSummary } from './reliability.ts';
import { type StorageRun, storageRecord } from './storage-run.ts';
import { summariseStorage } from './storage-summary.ts';

/** Which reliability a target speaks of: water supplied over water asked, or days met in full. */
export type ReliabilityMeasure = 'volumetric' | 'days-met';

export interface StandardTank {
  readonly id: string;
  /** Usable capacity, between the tap and the overflow. */
  readonly capacityL: number;
}

export interface EvaluatedTank extends StorageSummary {
  readonly id: string;
  readonly meetsTarget: boolean;
}

export interface StandardTankInput extends Omit<StorageRun, 'initialVolumeL'> {
  readonly standardTanks: readonly StandardTank[];
  /** 0 to 1. */
  readonly targetReliabilityRatio: number;
  /** `volumetric` by default. */
  readonly reliabilityMeasure?: ReliabilityMeasure;
  /** Water in the tank at the start [L]; 0 by default, as in a new tank. */
  readonly initialVolumeL?: number;
}

interface Choice {
  readonly reliabilityMeasure: ReliabilityMeasure;
  /** Every standard tank, smallest first. */
  readonly evaluated: readonly EvaluatedTank[];
  readonly totalInflowL: number;
  readonly totalDemandL: number;
}

export type StandardTankChoice =
  | (Choice & { readonly status: 'chosen'; readonly tank: EvaluatedTank })
  | (Choice & { readonly status: 'roof-too-small' | 'target-not-reachable'; readonly tank: null });

/** A reliability this close below its target is a tie of floating-point sums. */
const RATIO_TIE = 1e-12;

/**
 * The smallest standard tank that meets a target reliability over a daily record.
 *
 * Not chosen for one of two reasons: `roof-too-small`, the runoff of the record is below the demand
 * of the record times the target, so no tank can help; `target-not-reachable`, the roof gives
 * enough but the largest tank offered still misses the target.
 *
 * @param input dailyInflowL, demandLPerDay [L]; standardTanks with different ids; the target is
 *   volumetric reliability unless reliabilityMeasure is `days-met`
 * @returns status, the chosen tank or null, and every tank evaluated, smallest first
 * @throws {EngineError} `out-of-range` for no tanks, a repeated id or a target outside 0 to 1
 * @source own-standard-tank-choice
 */
export function chooseStandardTank(input: StandardTankInput): StandardTankChoice {
  const { targetReliabilityRatio, reliabilityMeasure = 'volumetric' } = input;
  requireWithin('targetReliabilityRatio', targetReliabilityRatio, 0, 1);
  requireStandardTanks(input.standardTanks);
  const tanks = input.standardTanks.toSorted((a, b) => a.capacityL - b.capacityL);
  const summaries = summariseStorage({ ...input, capacitiesL: tanks.map((t) => t.capacityL) });
  const evaluated = summaries.map((summary, index): EvaluatedTank => {
    const { id } = tanks[index] as StandardTank;
    const meetsTarget = reachesTarget(summary, reliabilityMeasure, targetReliabilityRatio);
    return { id, ...summary, meetsTarget };
  });
  const { inflowL, demandL } = storageRecord(input);
  const totalInflowL = sumOf(inflowL);
  const totalDemandL = sumOf(demandL);
  const found = { reliabilityMeasure, evaluated, totalInflowL, totalDemandL };
  const isRoofTooSmall = totalInflowL < targetReliabilityRatio * totalDemandL * (1 - RATIO_TIE);
  const tank = evaluated.find((one) => one.meetsTarget);
  // With an unequal demand, days can be met although the volume asked cannot.
  const canDaysBeMet = reliabilityMeasure === 'days-met' && tank !== undefined;
  if (isRoofTooSmall && !canDaysBeMet) return { status: 'roof-too-small', tank: null, ...found };
  if (tank === undefined) return { status: 'target-not-reachable', tank: null, ...found };
  return { status: 'chosen', tank, ...found };
}

/**
 * Whether a tank reaches a target, taking a tie of floating-point sums as reached.
 *
 * @param targetReliabilityRatio 0 to 1
 * @source own-reliability-measures
 */
export function reachesTarget(
  summary: StorageSummary,
  measure: ReliabilityMeasure,
  targetReliabilityRatio: number,
): boolean {
  const { volumetricReliabilityRatio, daysMetRatio } = summary;
  const reached = measure === 'volumetric' ? volumetricReliabilityRatio : daysMetRatio;
  return reached >= targetReliabilityRatio - RATIO_TIE;
}

function requireStandardTanks(tanks: readonly StandardTank[]): void {
  if (tanks.length === 0) {
    throw new EngineError('out-of-range', 'standardTanks', '[]', 'must hold at least one tank');
  }
  const seen = new Set<string>();
  tanks.forEach(({ id }, index) => {
    if (seen.has(id)) {
      throw new EngineError(
        'inconsistent',
        `standardTanks[${index}].id`,
        id,
        'must not be repeated',
      );
    }
    seen.add(id);
  });
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum;
}
