import { EngineError } from '../errors.ts';
import {
  STORAGE_TIE_L,
  type StorageRun,
  spillageTheta,
  startVolume,
  storageRecord,
} from './storage-run.ts';

export interface StorageSummaryInput extends StorageRun {
  /** Usable capacities to compare [L]; the results keep their order. */
  readonly capacitiesL: readonly number[];
}

/** How one tank served a demand over a daily record. */
export interface StorageSummary {
  readonly capacityL: number;
  /** Σ yield over Σ demand; 1 when nothing was asked. */
  readonly volumetricReliabilityRatio: number;
  /** Days on which the whole demand was met, over all days. */
  readonly daysMetRatio: number;
  readonly daysMetCount: number;
  readonly deficitDayCount: number;
  /** Days with a demand and no yield at all. */
  readonly zeroYieldDayCount: number;
  readonly longestDeficitRunDays: number;
  readonly totalYieldL: number;
  readonly totalOverflowL: number;
  readonly finalVolumeL: number;
}

/** Result slots of one tank in the shared result array of the inner loop. */
const SLOTS = 6;

/**
 * Reliability of several tanks over the same daily record, without keeping the daily trace.
 * The same balance as simulateStorage, arranged for speed.
 *
 * @param input Q = dailyInflowL, D = demandLPerDay, capacitiesL (at least one), V₀ = initialVolumeL
 *   (not above the smallest capacity); all volumes [L]
 * @returns one summary a capacity, in the order given
 * @throws {EngineError} `not-finite`, `out-of-range` or `inconsistent` for malformed input
 * @source jenkins-1978 yield after and before spillage
 * @source latham-1983 general rule
 */
export function summariseStorage(input: StorageSummaryInput): StorageSummary[] {
  const { capacitiesL } = input;
  if (capacitiesL.length === 0) {
    throw new EngineError('out-of-range', 'capacitiesL', '[]', 'must hold at least one capacity');
  }
  const { inflowL, demandL } = storageRecord(input);
  const theta = spillageTheta(input.operatingRule);
  const starts = capacitiesL.map((capacityL) => startVolume(input.initialVolumeL, capacityL));
  let totalDemandL = 0;
  for (const demand of demandL) totalDemandL += demand;
  const slots = new Float64Array(SLOTS);
  return capacitiesL.map((capacityL, index) => {
    runOneTank(inflowL, demandL, theta, capacityL, starts[index] as number, slots);
    return summaryOf(capacityL, inflowL.length, totalDemandL, slots);
  });
}

function summaryOf(
  capacityL: number,
  dayCount: number,
  totalDemandL: number,
  slots: Float64Array,
): StorageSummary {
  const [shortfallL, overflowL, deficitDays, zeroDays, longestRun, finalVolumeL] =
    slots as unknown as readonly [number, number, number, number, number, number];
  const totalYieldL = totalDemandL - shortfallL;
  const daysMetCount = dayCount - deficitDays;
  return {
    capacityL,
    volumetricReliabilityRatio: totalDemandL > 0 ? totalYieldL / totalDemandL : 1,
    daysMetRatio: daysMetCount / dayCount,
    daysMetCount,
    deficitDayCount: deficitDays,
    zeroYieldDayCount: zeroDays,
    longestDeficitRunDays: longestRun,
    totalYieldL,
    totalOverflowL: overflowL,
    finalVolumeL,
  };
}

function runOneTank(
  inflowL: Float64Array,
  demandL: Float64Array,
  theta: number,
  capacityL: number,
  startL: number,
  slots: Float64Array,
): void {
  const keep = 1 - theta;
  let volume = startL;
  let shortfall = 0;
  let overflow = 0;
  let deficitDays = 0;
  let zeroDays = 0;
  let longestRun = 0;
  let runBegan = 0;
  let lastDeficit = -2;
  for (let day = 0; day < inflowL.length; day += 1) {
    const q = inflowL[day] as number;
    const d = demandL[day] as number;
    const available = volume + theta * q;
    let room = capacityL - keep * d;
    if (available < d) {
      shortfall += d - available;
      room = capacityL - keep * available;
      volume = keep * q;
      if (available < d - STORAGE_TIE_L) {
        deficitDays += 1;
        if (lastDeficit !== day - 1) runBegan = day;
        lastDeficit = day;
        if (day - runBegan >= longestRun) longestRun = day - runBegan + 1;
        if (available <= STORAGE_TIE_L) zeroDays += 1;
      }
    } else {
      volume = volume + q - d;
    }
    if (volume > room) {
      const kept = room > 0 ? room : 0;
      overflow += volume - kept;
      volume = kept;
    }
  }
  slots[0] = shortfall;
  slots[1] = overflow;
  slots[2] = deficitDays;
  slots[3] = zeroDays;
  slots[4] = longestRun;
  slots[5] = volume;
}
