import { addDays, calendarDay, daysBetween, isoWeekday } from '../../../shared/units/calendar.ts';
import type { SeasonDelivery, SeasonOffer, SeasonVillage } from './market-repository.ts';

export interface SeasonWeeks {
  readonly startsOn: string;
  /** First day on which an order can be placed: today, once the season has begun. */
  readonly ordersFrom: string;
  readonly periodDays: number;
  readonly periodCount: number;
  isWorkingDay(isoDate: string): boolean;
}

/** How an offer can reach a village: when it comes in each week, and when it must be placed. */
export interface DeliveryWeeks {
  /** Weeks from placing to arrival, as few as the calendar allows. */
  readonly leadPeriods: number;
  /** Weeks in which nothing can come. */
  readonly blockedPeriods: readonly number[];
  /** Blocked weeks in which it could come if only the road to the village were open. */
  readonly cutOffPeriods: readonly number[];
  arrivesOn(period: number): string;
  placeBy(period: number): string;
}

/**
 * Goods come on the last delivery day of a week, so that they may be ordered as late as possible and are
 * there by its end; they are ordered the lead time before, counted in working days.
 */
export function deliveryWeeks(
  offer: Pick<SeasonOffer, 'leadDays' | 'validFrom' | 'validUntil'>,
  delivery: SeasonDelivery | null,
  village: SeasonVillage,
  weeks: SeasonWeeks,
): DeliveryWeeks {
  const { startsOn, periodDays, periodCount } = weeks;
  const reachable = new Set(village.reachableMonths);
  const weekdays = new Set(delivery?.deliveryWeekdays ?? [1, 2, 3, 4, 5, 6, 7]);
  const found = Array.from({ length: periodCount }, (_, index) => {
    const first = addDays(startsOn, index * periodDays);
    const day = Array.from({ length: periodDays }, (_unused, back) =>
      addDays(first, periodDays - 1 - back),
    ).find((date) => weekdays.has(isoWeekday(date)) && weeks.isWorkingDay(date));
    if (day === undefined) return null;
    const placeBy = placedBefore(day, offer.leadDays, weeks);
    const isReachable = reachable.has(calendarDay(day).month);
    const isValid =
      placeBy >= offer.validFrom &&
      placeBy <= offer.validUntil &&
      (delivery === null || (day >= delivery.validFrom && day <= delivery.validUntil));
    return { day, placeBy, isReachable, isValid, isInTime: placeBy >= weeks.ordersFrom };
  });
  const leads = found.flatMap((week, index) =>
    week ? [index - Math.floor(daysBetween(startsOn, week.placeBy) / periodDays)] : [],
  );
  const blockedPeriods = found.flatMap((week, index) =>
    week?.isReachable && week.isValid && week.isInTime ? [] : [index + 1],
  );
  const cutOffPeriods = found.flatMap((week, index) =>
    week?.isValid && week.isInTime && !week.isReachable ? [index + 1] : [],
  );
  return {
    leadPeriods: Math.max(0, Math.min(...leads, periodCount)),
    blockedPeriods,
    cutOffPeriods,
    arrivesOn: (period) => found[period - 1]?.day ?? addDays(startsOn, period * periodDays - 1),
    placeBy: (period) => found[period - 1]?.placeBy ?? addDays(startsOn, (period - 1) * periodDays),
  };
}

function placedBefore(day: string, leadDays: number, { isWorkingDay }: SeasonWeeks): string {
  let date = day;
  for (let passed = 0, tries = 0; passed < leadDays && tries < 4_000; tries += 1) {
    date = addDays(date, -1);
    if (isWorkingDay(date)) passed += 1;
  }
  return date;
}
