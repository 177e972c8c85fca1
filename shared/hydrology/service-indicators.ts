import { requirePositive, requireWithin } from '../errors.ts';
import type { SupplyOfMonth } from './reliability.ts';
import { requireCount } from './require-count.ts';

export interface PeopleDays {
  /** People times the days on which the whole demand was met. */
  readonly fullServicePeopleDays: number;
  /** Water supplied over the daily quantity of one person. */
  readonly volumeEquivalentPeopleDays: number;
  /** People times all days of the record. */
  readonly potentialPeopleDays: number;
}

/**
 * People-days of modelled supply. Report them as modelled, apart from people registered and from
 * measured use; a person who draws from several tanks counts once.
 *
 *   full = N·(days met), volume-equivalent = ΣY / q, potential = N·(all days)
 *
 * @param input N = people, q = litresPerPersonPerDay; daysMetCount, dayCount, ΣY = totalYieldL [L]
 * @returns people-days
 * @throws {EngineError} `out-of-range` for people not whole from 0, q not above 0, or more days met
 *   than days
 * @source own-service-indicators
 */
export function peopleDays(input: {
  readonly people: number;
  readonly litresPerPersonPerDay: number;
  readonly dayCount: number;
  readonly daysMetCount: number;
  readonly totalYieldL: number;
}): PeopleDays {
  const { people, litresPerPersonPerDay, dayCount, daysMetCount, totalYieldL } = input;
  requireCount('people', people);
  requirePositive({ litresPerPersonPerDay, dayCount });
  requireWithin('daysMetCount', daysMetCount, 0, dayCount);
  requireWithin('totalYieldL', totalYieldL, 0, Number.MAX_VALUE);
  return {
    fullServicePeopleDays: people * daysMetCount,
    volumeEquivalentPeopleDays: totalYieldL / litresPerPersonPerDay,
    potentialPeopleDays: people * dayCount,
  };
}

export interface CalendarMonthShortage {
  /** 1 to 12. */
  readonly month: number;
  readonly dayCount: number;
  readonly deficitDayCount: number;
  /** Days short over all days of this month in the record; null when the record lacks the month. */
  readonly deficitShareRatio: number | null;
  readonly isDry: boolean;
}

/**
 * Dry months: calendar months of which, averaged over the years of the record, more than a given
 * share of days was short of the full demand.
 *
 * @param months supply by month, as reliabilityByMonth gives it
 * @param moreThanShareRatio share of days, 0 to 1
 * @returns the twelve calendar months, January first
 * @throws {EngineError} `out-of-range` for a share outside 0 to 1
 * @source own-service-indicators
 */
export function dryMonths(
  months: readonly SupplyOfMonth[],
  moreThanShareRatio: number,
): CalendarMonthShortage[] {
  requireWithin('moreThanShareRatio', moreThanShareRatio, 0, 1);
  return Array.from({ length: 12 }, (_, index) => {
    const month = index + 1;
    let dayCount = 0;
    let deficitDayCount = 0;
    for (const one of months) {
      if (one.month !== month) continue;
      dayCount += one.dayCount;
      deficitDayCount += one.deficitDayCount;
    }
    const deficitShareRatio = dayCount > 0 ? deficitDayCount / dayCount : null;
    const isDry = deficitShareRatio !== null && deficitShareRatio > moreThanShareRatio;
    return { month, dayCount, deficitDayCount, deficitShareRatio, isDry };
  });
}
