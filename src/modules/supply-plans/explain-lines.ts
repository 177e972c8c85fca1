import type { SupplyLineExplanation } from '../../../shared/contract/supply-plan.ts';
import { compareMoney, type Money, money, subtractMoney } from '../../../shared/costing/money.ts';
import { orderAmount, type PackPricing } from '../../../shared/costing/offer-amount.ts';
import type { PlannedOrder } from '../../../shared/procurement/order-plan-types.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { SeasonWeeks } from './delivery-weeks.ts';
import type { SeasonOffer } from './market-repository.ts';
import type { OfferAtVillage, SeasonItem } from './season-problem.ts';

export type LineExplanation = Pick<
  SupplyLineExplanation,
  'covers' | 'leftOver' | 'supplierReason' | 'weekReason' | 'quantityReason' | 'alternatives'
>;

export interface LineToExplain {
  readonly item: SeasonItem;
  readonly order: PlannedOrder;
  readonly at: OfferAtVillage;
  readonly packCount: number;
  /** Needs that this order serves: period and quantity. */
  readonly covers: readonly { readonly period: number; readonly quantity: number }[];
  /** Other lines that come on the same lorry. */
  readonly sharedTripLines: number;
  readonly currency: string;
}

/** How an offer prices packs. */
export const pricingOf = (offer: SeasonOffer): PackPricing => ({
  packPrice: { amount: offer.pricePerPack, currency: offer.currency },
  minimumPacks: offer.minimumPacks,
  maximumPacks: offer.maximumPacks ?? undefined,
  orderCost: offer.orderCost,
  priceBreaks: offer.priceBreaks,
  breakRule: offer.breakRule,
});

const round = (quantity: number) => String(Number(quantity.toFixed(6)));

/** Why this supplier, this week and this quantity: what was compared, in figures and in words. */
export function explainLine(line: LineToExplain, weeks: SeasonWeeks): LineExplanation {
  const { item, order, at, packCount, covers, currency } = line;
  const amount = orderAmount(pricingOf(at.offer), packCount);
  const covered = covers.reduce((sum, { quantity }) => sum + quantity, 0);
  const alternatives = [
    ...[...item.offers.values()]
      .filter(({ offer }) => offer.id !== at.offer.id)
      .map((other) => alternative(other, order, amount)),
    ...item.refused.map(({ offer, reason }) => ({
      offerId: offer.id,
      supplierCode: offer.supplierCode,
      packCode: offer.packCode as LineExplanation['alternatives'][number]['packCode'],
      amount: null,
      dearerBy: null,
      reason,
    })),
  ];
  return {
    covers: covers.map(({ period, quantity }) => ({
      periodStartsOn: addDays(weeks.startsOn, (period - 1) * weeks.periodDays),
      quantity: round(quantity),
    })),
    leftOver: round(Math.max(0, order.quantity - covered)),
    supplierReason: supplierReason(at, amount, alternatives, line.sharedTripLines, currency),
    weekReason: weekReason(line, weeks),
    quantityReason: quantityReason(line, covered),
    alternatives,
  };
}

function alternative(other: OfferAtVillage, order: PlannedOrder, chosen: Money) {
  const { offer, weeks } = other;
  const packs = Math.max(
    Math.ceil(order.quantity / Number(offer.packContent) - 1e-9),
    offer.minimumPacks,
  );
  const base = {
    offerId: offer.id,
    supplierCode: offer.supplierCode,
    packCode: offer.packCode as LineExplanation['alternatives'][number]['packCode'],
  };
  const isBlocked =
    weeks.blockedPeriods.includes(order.arrivesInPeriod) ||
    order.arrivesInPeriod - weeks.leadPeriods < 1;
  if (isBlocked) {
    return { ...base, amount: null, dearerBy: null, reason: 'cannot come in that week' };
  }
  if (offer.maximumPacks !== null && packs > offer.maximumPacks) {
    const reason = `gives at most ${offer.maximumPacks} packs`;
    return { ...base, amount: null, dearerBy: null, reason };
  }
  const amount = orderAmount(pricingOf(offer), packs);
  const isDearer = compareMoney(amount, chosen) >= 0;
  return {
    ...base,
    amount,
    dearerBy: subtractMoney(amount, chosen),
    reason: isDearer
      ? `${packs} packs and the order cost as much or more`
      : `${packs} packs and the order cost less, but the lorry or the week do not fit`,
  };
}

function supplierReason(
  { offer }: OfferAtVillage,
  amount: Money,
  alternatives: LineExplanation['alternatives'],
  sharedTripLines: number,
  currency: string,
): string {
  const open = alternatives.filter((other) => other.amount !== null);
  const paid = `${offer.supplierCode} asks ${amount.amount} ${currency} for the goods and the order`;
  if (alternatives.length === 0) return `${paid}; nobody else offers it.`;
  if (open.length === 0) return `${paid}; no other offer can serve this village in that week.`;
  const cheaper = open.filter(({ dearerBy }) => Number(dearerBy?.amount) < 0);
  if (cheaper.length === 0) {
    const next = open.reduce((a, b) =>
      Number(a.dearerBy?.amount) <= Number(b.dearerBy?.amount) ? a : b,
    );
    return `${paid}; the next best, ${next.supplierCode}, is dearer by ${next.dearerBy?.amount}.`;
  }
  return sharedTripLines > 0
    ? `${paid}; another offer has a lower price, but these goods share a lorry with ${sharedTripLines} other lines.`
    : `${paid}; another offer has a lower price, but not for the season as a whole: trips and orders decide.`;
}

function weekReason(
  { order, covers, at, sharedTripLines }: LineToExplain,
  weeks: SeasonWeeks,
): string {
  const comes = at.weeks.arrivesOn(order.arrivesInPeriod);
  const place = at.weeks.placeBy(order.arrivesInPeriod);
  const first = covers[0]?.period ?? order.arrivesInPeriod;
  const due = addDays(weeks.startsOn, first * weeks.periodDays - 1);
  const ahead = first - order.arrivesInPeriod;
  const timing = `To be placed by ${place} (${at.offer.leadDays} working days), it comes on ${comes}`;
  if (ahead === 0) return `${timing}, as late as the need of the week until ${due} allows.`;
  const why = at.weeks.blockedPeriods.some((p) => p > order.arrivesInPeriod && p <= first)
    ? 'later weeks are closed to it'
    : sharedTripLines > 0
      ? `it shares a lorry with ${sharedTripLines} other lines`
      : 'one order for several weeks costs less than holding it';
  return `${timing}, ${ahead} ${ahead === 1 ? 'week' : 'weeks'} before the need of the week until ${due}: ${why}.`;
}

function quantityReason({ order, at, packCount, covers }: LineToExplain, covered: number): string {
  const { offer } = at;
  const left = Math.max(0, order.quantity - covered);
  const parts = [
    `${packCount} packs of ${offer.packContent} for ${round(covered)} needed in ${covers.length} ${covers.length === 1 ? 'week' : 'weeks'}`,
  ];
  if (left > 1e-6) parts.push(`${round(left)} left over by whole packs`);
  const reached = offer.priceBreaks.filter(({ fromPacks }) => fromPacks <= packCount).at(-1);
  if (reached)
    parts.push(`from ${reached.fromPacks} packs on a pack costs ${reached.pricePerPack}`);
  if (packCount === offer.minimumPacks && packCount > 1) parts.push('the least that is sold');
  return `${parts.join('; ')}.`;
}

/** Which needs each order of an item serves: what expires first goes first. */
export function coveredNeeds(
  item: SeasonItem,
  orders: readonly PlannedOrder[],
): Map<PlannedOrder, { period: number; quantity: number }[]> {
  const shelf = item.input.shelfLifePeriods ?? Number.POSITIVE_INFINITY;
  const left = orders
    .map((order) => ({ order, rest: order.quantity, until: order.arrivesInPeriod + shelf }))
    .sort((a, b) => a.order.arrivesInPeriod - b.order.arrivesInPeriod);
  const covers = new Map(
    orders.map((order) => [order, [] as { period: number; quantity: number }[]]),
  );
  for (const [index, need] of item.input.demand.entries()) {
    let open = need;
    for (const batch of left) {
      if (batch.order.arrivesInPeriod > index + 1 || batch.until < index + 1) continue;
      const taken = Math.min(open, batch.rest);
      if (taken <= 1e-9) continue;
      batch.rest -= taken;
      open -= taken;
      covers.get(batch.order)?.push({ period: index + 1, quantity: taken });
    }
  }
  return covers;
}

export const moneyOfNumber = (amount: number, currency: string, exponent: number): Money =>
  money(amount.toFixed(exponent), currency);
