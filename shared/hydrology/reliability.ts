import { monthSpans } from '../units/calendar.ts';
import type { StorageTrace } from './storage-balance.ts';
import { STORAGE_TIE_L } from './storage-run.ts';

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

export interface StorageReliabilityMeasures extends StorageSummary {
  readonly totalInflowL: number;
  readonly totalDemandL: number;
  /** Σ yield over Σ inflow; null when no water came. */
  readonly rainwaterUseEfficiencyRatio: number | null;
  /** Σ overflow over Σ inflow; null when no water came. */
  readonly overflowRatio: number | null;
  /** V₀ + ΣQ − ΣY − ΣO − V at the end [L]: nothing but rounding. */
  readonly balanceErrorL: number;
}

export interface SupplyOfPeriod {
  readonly dayCount: number;
  readonly inflowL: number;
  readonly demandL: number;
  readonly yieldL: number;
  readonly overflowL: number;
  readonly deficitDayCount: number;
  readonly zeroYieldDayCount: number;
  /** Yield over demand; 1 when nothing was asked. */
  readonly volumetricReliabilityRatio: number;
}

export interface SupplyOfYear extends SupplyOfPeriod {
  readonly year: number;
}

export interface SupplyOfMonth extends SupplyOfPeriod {
  readonly year: number;
  readonly month: number;
}

/**
 * Reliability measures of a simulated tank.
 *
 * A day is met when Y ≥ D − 1e-9 L. A zero-yield day had a demand and no yield. A deficit run is a
 * run of consecutive days that were not met in full.
 *
 * @returns ratios 0 to 1, counts of days, volumes [L]
 * @source imteaz-2011 time reliability
 * @source own-reliability-measures
 */
export function reliability(trace: StorageTrace): StorageReliabilityMeasures {
  const whole = supplyOfDays(trace, 0, trace.dailyYieldL.length);
  const finalVolumeL = trace.endOfDayVolumeL[whole.dayCount - 1] ?? trace.initialVolumeL;
  const daysMetCount = whole.dayCount - whole.deficitDayCount;
  const { inflowL } = whole;
  return {
    capacityL: trace.capacityL,
    volumetricReliabilityRatio: whole.volumetricReliabilityRatio,
    daysMetRatio: daysMetCount / whole.dayCount,
    daysMetCount,
    deficitDayCount: whole.deficitDayCount,
    zeroYieldDayCount: whole.zeroYieldDayCount,
    longestDeficitRunDays: longestDeficitRun(trace),
    totalYieldL: whole.yieldL,
    totalOverflowL: whole.overflowL,
    finalVolumeL,
    totalInflowL: inflowL,
    totalDemandL: whole.demandL,
    rainwaterUseEfficiencyRatio: inflowL > 0 ? whole.yieldL / inflowL : null,
    overflowRatio: inflowL > 0 ? whole.overflowL / inflowL : null,
    balanceErrorL: trace.initialVolumeL + inflowL - whole.yieldL - whole.overflowL - finalVolumeL,
  };
}

/**
 * Supply and shortage of every calendar month of the record, in order.
 *
 * @param startsOn date of the first day of the record
 * @throws {EngineError} `out-of-range` for a malformed date
 * @source own-reliability-measures
 */
export function reliabilityByMonth(trace: StorageTrace, startsOn: string): SupplyOfMonth[] {
  return monthSpans(startsOn, trace.dailyYieldL.length).map((span) => ({
    year: span.year,
    month: span.month,
    ...supplyOfDays(trace, span.firstDayIndex, span.dayCount),
  }));
}

/**
 * Supply and shortage of every calendar year of the record, in order.
 *
 * @param startsOn date of the first day of the record
 * @throws {EngineError} `out-of-range` for a malformed date
 * @source own-reliability-measures
 */
export function reliabilityByYear(trace: StorageTrace, startsOn: string): SupplyOfYear[] {
  const years: SupplyOfYear[] = [];
  let firstDayIndex = 0;
  let dayCount = 0;
  const spans = monthSpans(startsOn, trace.dailyYieldL.length);
  spans.forEach((span, index) => {
    dayCount += span.dayCount;
    if (spans[index + 1]?.year === span.year) return;
    years.push({ year: span.year, ...supplyOfDays(trace, firstDayIndex, dayCount) });
    firstDayIndex += dayCount;
    dayCount = 0;
  });
  return years;
}

function supplyOfDays(trace: StorageTrace, firstDay: number, dayCount: number): SupplyOfPeriod {
  let inflowL = 0;
  let demandL = 0;
  let yieldL = 0;
  let overflowL = 0;
  let deficitDayCount = 0;
  let zeroYieldDayCount = 0;
  const { dailyInflowL, dailyDemandL, dailyYieldL, dailyOverflowL } = trace;
  const endDay = firstDay + dayCount;
  for (let day = firstDay; day < endDay; day += 1) {
    const d = dailyDemandL[day] as number;
    const y = dailyYieldL[day] as number;
    inflowL += dailyInflowL[day] as number;
    demandL += d;
    yieldL += y;
    overflowL += dailyOverflowL[day] as number;
    if (isShort(y, d)) {
      deficitDayCount += 1;
      if (y <= STORAGE_TIE_L) zeroYieldDayCount += 1;
    }
  }
  const volumetricReliabilityRatio = demandL > 0 ? yieldL / demandL : 1;
  return {
    dayCount,
    inflowL,
    demandL,
    yieldL,
    overflowL,
    deficitDayCount,
    zeroYieldDayCount,
    volumetricReliabilityRatio,
  };
}

function isShort(yieldL: number, demandL: number): boolean {
  return yieldL < demandL - STORAGE_TIE_L;
}

function longestDeficitRun({ dailyYieldL, dailyDemandL }: StorageTrace): number {
  let longest = 0;
  let run = 0;
  for (let day = 0; day < dailyYieldL.length; day += 1) {
    run = isShort(dailyYieldL[day] as number, dailyDemandL[day] as number) ? run + 1 : 0;
    if (run > longest) longest = run;
  }
  return longest;
}
