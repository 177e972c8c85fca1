import { requireWithin } from '../errors.ts';
import {
  type Rationing,
  type StorageRun,
  spillageTheta,
  startVolume,
  storageRecord,
} from './storage-run.ts';

export interface StorageTraceInput extends StorageRun {
  /** Usable capacity, between the tap and the overflow [L]. */
  readonly capacityL: number;
  readonly rationing?: Rationing;
}

/** What happened in the tank on every day; all arrays have one entry a day. */
export interface StorageTrace {
  readonly capacityL: number;
  readonly initialVolumeL: number;
  readonly dailyInflowL: Float64Array;
  readonly dailyDemandL: Float64Array;
  /** Water drawn. */
  readonly dailyYieldL: Float64Array;
  readonly dailyOverflowL: Float64Array;
  /** Water in the tank in the evening. */
  readonly endOfDayVolumeL: Float64Array;
  /** Days on which rationing held back part of the demand. */
  readonly rationedDayCount: number;
}

/**
 * Daily water balance of one tank, day by day.
 *
 *   Y = min(D, V₋₁ + θ·Q)
 *   V = min(V₋₁ + Q − Y, S − (1 − θ)·Y), never below 0
 *   O = V₋₁ + Q − Y − V
 *
 * θ = 0 is yield after spillage (conservative), θ = 1 yield before spillage. With rationing,
 * D is replaced by β·D on days that begin with less than α·S.
 *
 * *Assumes* no evaporation, no leak, rain of a day entering on that day. The floor at 0 is ours; it
 * acts only when 0 < θ < 1 and one day's yield exceeds the capacity.
 *
 * @param input Q = dailyInflowL, D = demandLPerDay, S = capacityL, V₀ = initialVolumeL,
 *   α = rationing.belowVolumeRatio, β = rationing.demandRatio; all volumes [L]
 * @returns Y, O, V [L] for every day
 * @throws {EngineError} `not-finite`, `out-of-range` or `inconsistent` for malformed input
 * @source jenkins-1978 yield after and before spillage
 * @source latham-1983 general rule
 */
export function simulateStorage(input: StorageTraceInput): StorageTrace {
  const { inflowL, demandL } = storageRecord(input);
  const theta = spillageTheta(input.operatingRule);
  const { capacityL, rationing } = input;
  const initialVolumeL = startVolume(input.initialVolumeL, capacityL);
  if (rationing) {
    requireWithin('rationing.belowVolumeRatio', rationing.belowVolumeRatio, 0, 1);
    requireWithin('rationing.demandRatio', rationing.demandRatio, 0, 1);
  }
  const rationBelowL = rationing ? rationing.belowVolumeRatio * capacityL : 0;
  const rationRatio = rationing ? rationing.demandRatio : 1;
  const dayCount = inflowL.length;
  const dailyYieldL = new Float64Array(dayCount);
  const dailyOverflowL = new Float64Array(dayCount);
  const endOfDayVolumeL = new Float64Array(dayCount);
  let rationedDayCount = 0;
  let volumeL = initialVolumeL;
  for (let day = 0; day < dayCount; day += 1) {
    const q = inflowL[day] as number;
    const isRationed = volumeL < rationBelowL;
    if (isRationed) rationedDayCount += 1;
    const asked = isRationed ? rationRatio * (demandL[day] as number) : (demandL[day] as number);
    const y = Math.min(asked, volumeL + theta * q);
    const leftL = volumeL + q - y;
    volumeL = Math.min(leftL, Math.max(0, capacityL - (1 - theta) * y));
    dailyYieldL[day] = y;
    dailyOverflowL[day] = leftL - volumeL;
    endOfDayVolumeL[day] = volumeL;
  }
  return {
    capacityL,
    initialVolumeL,
    // The record may be the caller's own; the trace keeps what was run.
    dailyInflowL: inflowL.slice(),
    dailyDemandL: demandL.slice(),
    dailyYieldL,
    dailyOverflowL,
    endOfDayVolumeL,
    rationedDayCount,
  };
}
