import type { PlannedReceipt } from '../../../shared/contract/material-needs.ts';
import { wholePackReceipts } from '../../../shared/procurement/whole-pack-receipts.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { BuyableOffer } from './labels-repository.ts';
import type { NetNeed } from './net-needs.ts';
import type { SeasonNeeds } from './use-cases.ts';

/**
 * What buying week by week in whole packs of the cheapest offer would bring for each need, and the last
 * day to order it. The order plan of the season weighs more; this is the plain answer to "what next?".
 */
export function plannedReceipts(
  { needs, horizon, isWorkingDay }: SeasonNeeds,
  offers: ReadonlyMap<string, BuyableOffer>,
  today: string,
): (need: NetNeed) => PlannedReceipt | null {
  const { startsOn, periodDays, periodCount } = horizon;
  const byCard = new Map<string, NetNeed[]>();
  for (const need of needs) {
    const key = `${need.materialId} ${need.villageId}`;
    byCard.set(key, [...(byCard.get(key) ?? []), need]);
  }
  const found = new Map<NetNeed, PlannedReceipt>();
  for (const card of byCard.values()) {
    const offer = offers.get(card[0]?.materialId ?? '');
    if (!offer) continue;
    const byPeriod = Array.from({ length: periodCount }, () => '0');
    for (const { period, netQuantity } of card) byPeriod[period - 1] = netQuantity;
    const receipts = wholePackReceipts(byPeriod, offer.packContent, offer.minimumPacks);
    for (const need of card) {
      const receipt = receipts[need.period - 1];
      if (!receipt || receipt.packCount === 0) continue;
      const lastDay = addDays(startsOn, need.period * periodDays - 1);
      const arrivesOn = workingDayBefore(addDays(lastDay, 1), 1, isWorkingDay);
      const placeBy = workingDayBefore(arrivesOn, offer.leadDays, isWorkingDay);
      found.set(need, {
        offerId: offer.id,
        packCode: offer.packCode as PlannedReceipt['packCode'],
        packCount: receipt.packCount,
        quantity: receipt.quantity,
        arrivesOn,
        placeBy,
        isLate: placeBy < today,
      });
    }
  }
  return (need) => found.get(need) ?? null;
}

/** The day that lies a number of working days before another. */
export function workingDayBefore(
  isoDate: string,
  workingDayCount: number,
  isWorkingDay: (isoDate: string) => boolean,
): string {
  let day = isoDate;
  let tries = 0;
  for (let passed = 0; passed < workingDayCount && tries < 4_000; tries += 1) {
    day = addDays(day, -1);
    if (isWorkingDay(day)) passed += 1;
  }
  return day;
}
