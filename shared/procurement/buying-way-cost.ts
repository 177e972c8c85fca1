import {
  cashBreaks,
  orderBreaks,
  type Purchase,
  roomBreaks,
  tripBreaks,
} from './buying-way-limits.ts';
import type { OrderPlanInput, PlanOffer } from './order-plan-types.ts';

export type { Purchase } from './buying-way-limits.ts';

export interface BuyingWay {
  /** Null when one of its needs cannot be served in that way. */
  readonly totalCost: number | null;
  readonly orderCount: number;
  readonly tripCount: number;
  /** Limits that it would not keep, in words. */
  readonly breaks: readonly string[];
}

const SLACK = 1e-9;

/**
 * What goods of an offer cost, without the cost of ordering.
 *
 * @source quantity-discounts
 */
export function priceOf(offer: PlanOffer, quantity: number): number {
  const reached = (offer.priceBreaks ?? []).filter(
    ({ fromQuantity }) => fromQuantity <= quantity + SLACK,
  );
  if (offer.breakRule !== 'incremental') {
    return quantity * (reached.at(-1)?.unitCost ?? offer.unitCost);
  }
  const steps = [{ fromQuantity: 0, unitCost: offer.unitCost }, ...reached];
  return steps.reduce((sum, { fromQuantity, unitCost }, index) => {
    const until = steps[index + 1]?.fromQuantity ?? quantity;
    return sum + (until - fromQuantity) * unitCost;
  }, 0);
}

/**
 * What an order costs that arrives in a period, by the period in which it is placed.
 *
 * @source order-plan-own
 */
export function orderCostOf({ orderCost, leadPeriods = 0 }: PlanOffer, arrives: number): number {
  return typeof orderCost === 'number' ? orderCost : (orderCost[arrives - leadPeriods - 1] ?? 0);
}

/**
 * Purchases counted like a plan: goods, orders, trips, and holding of what is not used yet or left over.
 *
 * @param found null for a need that cannot be served
 * @source order-plan-own
 */
export function costedWay(input: OrderPlanInput, found: readonly (Purchase | null)[]): BuyingWay {
  const purchases = found.filter((purchase) => purchase !== null);
  const trips = new Map((input.trips ?? []).map((trip) => [trip.id, trip]));
  const loads = new Map<string, { massKg: number; groupId: string; arrives: number }>();
  const spending = new Map<number, number>();
  let totalCost = 0;
  const spend = (period: number, cost: number) => {
    totalCost += cost;
    spending.set(period, (spending.get(period) ?? 0) + cost);
  };
  for (const { item, offer, arrives, quantity, buyer, uses } of purchases) {
    const placed = arrives - (offer.leadPeriods ?? 0);
    spend(placed, priceOf(offer, quantity) + orderCostOf(offer, arrives));
    const used = uses.reduce((sum, use) => sum + use.quantity, 0);
    const held = uses.reduce((sum, use) => sum + use.quantity * (use.period - arrives), 0);
    const left = Math.max(0, quantity - used) * (input.periodCount - arrives + 1);
    totalCost += item.holdingCostPerUnit * (held + left);
    if (offer.tripGroupId === undefined) continue;
    const key = `${buyer} ${arrives} ${offer.tripGroupId}`;
    const load = loads.get(key) ?? { massKg: 0, groupId: offer.tripGroupId, arrives };
    load.massKg += quantity * (item.massKgPerUnit ?? 0);
    loads.set(key, load);
  }
  let tripCount = 0;
  const made = new Map<string, number>();
  for (const { massKg, groupId, arrives } of loads.values()) {
    const trip = trips.get(groupId);
    if (!trip || massKg === 0) continue;
    const count = Math.max(1, Math.ceil(massKg / trip.payloadKg - SLACK));
    tripCount += count;
    const key = `${arrives} ${groupId}`;
    made.set(key, (made.get(key) ?? 0) + count);
    spend(arrives, count * trip.costPerTrip);
  }
  const breaks = [
    ...cashBreaks(input, spending),
    ...roomBreaks(input, purchases),
    ...tripBreaks(input, made),
    ...orderBreaks(purchases),
  ];
  return {
    totalCost: purchases.length < found.length ? null : totalCost,
    orderCount: purchases.length,
    tripCount,
    breaks,
  };
}
