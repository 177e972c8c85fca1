import { EngineError, requireNotNegative } from '../errors.ts';
import { reliability, type StorageSummary } from './reliability.ts';
import { simulateStorage } from './storage-balance.ts';
import {
  PAIR_SLOT,
  PAIR_SLOTS,
  runPairAfterSpillage,
  runPairBeforeSpillage,
} from './storage-pair.ts';
import { runPairAtConstantDemand } from './storage-pair-constant.ts';
import {
  checkedDemand,
  checkedInflow,
  type StorageRun,
  spillageTheta,
  startVolume,
} from './storage-run.ts';

export interface StorageSummaryInput extends StorageRun {
  /** Usable capacities to compare [L]; the results keep their order. */
  readonly capacitiesL: readonly number[];
}

/**
 * Reliability of several tanks over the same daily record. The named rules carry the tanks through
 * the record in pairs without keeping a daily trace; the general rule goes by simulateStorage.
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
  const theta = spillageTheta(input.operatingRule);
  if (theta > 0 && theta < 1)
    return capacitiesL.map((capacityL) => summaryByTrace(input, capacityL));
  const inflowL = checkedInflow(input.dailyInflowL);
  const { runPair, totalDemandL } = pairRun(input.demandLPerDay, theta === 0, inflowL);
  const starts = capacitiesL.map((capacityL) => startVolume(input.initialVolumeL, capacityL));
  const summaries: StorageSummary[] = [];
  const pair = new Float64Array(PAIR_SLOTS);
  for (let first = 0; first < capacitiesL.length; first += 2) {
    // The last of an odd number runs beside itself.
    const second = Math.min(first + 1, capacitiesL.length - 1);
    [first, second].forEach((tank, place) => {
      pair[PAIR_SLOT.capacity + place] = capacitiesL[tank] as number;
      pair[PAIR_SLOT.volume + place] = starts[tank] as number;
    });
    runPair(pair);
    for (let place = 0; place <= second - first; place += 1) {
      summaries.push(summaryOfPlace(pair, place, inflowL.length, totalDemandL));
    }
  }
  return summaries;
}

/** The loop for a rule and a demand, and all that is asked. */
function pairRun(
  demandLPerDay: StorageRun['demandLPerDay'],
  isAfterSpillage: boolean,
  inflowL: Float64Array,
) {
  let totalDemandL = 0;
  if (isAfterSpillage && typeof demandLPerDay === 'number') {
    requireNotNegative({ demandLPerDay });
    // Added day by day, so that sums of either kind of demand round alike.
    for (let day = 0; day < inflowL.length; day += 1) totalDemandL += demandLPerDay;
    const runPair = (pair: Float64Array) => runPairAtConstantDemand(inflowL, demandLPerDay, pair);
    return { runPair, totalDemandL };
  }
  const demandL = checkedDemand(demandLPerDay, inflowL.length);
  for (let day = 0; day < demandL.length; day += 1) totalDemandL += demandL[day] as number;
  const carry = isAfterSpillage ? runPairAfterSpillage : runPairBeforeSpillage;
  return { runPair: (pair: Float64Array) => carry(inflowL, demandL, pair), totalDemandL };
}

function summaryOfPlace(
  pair: Float64Array,
  place: number,
  dayCount: number,
  totalDemandL: number,
): StorageSummary {
  const slot = (name: keyof typeof PAIR_SLOT) => pair[PAIR_SLOT[name] + place] as number;
  const totalYieldL = totalDemandL - slot('shortfall');
  const deficitDayCount = slot('deficitDays');
  const daysMetCount = dayCount - deficitDayCount;
  return {
    capacityL: slot('capacity'),
    volumetricReliabilityRatio: totalDemandL > 0 ? totalYieldL / totalDemandL : 1,
    daysMetRatio: daysMetCount / dayCount,
    daysMetCount,
    deficitDayCount,
    zeroYieldDayCount: slot('zeroDays'),
    longestDeficitRunDays: slot('longestRun'),
    totalYieldL,
    totalOverflowL: slot('overflow'),
    finalVolumeL: slot('volume'),
  };
}

function summaryByTrace(run: StorageRun, capacityL: number): StorageSummary {
  const found = reliability(simulateStorage({ ...run, capacityL }));
  return {
    capacityL,
    volumetricReliabilityRatio: found.volumetricReliabilityRatio,
    daysMetRatio: found.daysMetRatio,
    daysMetCount: found.daysMetCount,
    deficitDayCount: found.deficitDayCount,
    zeroYieldDayCount: found.zeroYieldDayCount,
    longestDeficitRunDays: found.longestDeficitRunDays,
    totalYieldL: found.totalYieldL,
    totalOverflowL: found.totalOverflowL,
    finalVolumeL: found.finalVolumeL,
  };
}
