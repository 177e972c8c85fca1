import { deliveryItemOrders, type ItemOrders, openNeeds } from './delivery-item-orders.ts';
import { type PlanPart, tripKey } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import type { PlanSlot } from './order-plan-slots.ts';
import { costOf, type PartOrders, partUsage } from './order-plan-usage.ts';

/** Rounds of improvement; ours, far above what comes to rest. */
const MAX_ROUNDS = 60;
/** Begin with a delivery in every week, and with one in every fourth. */
const BEGINNINGS = [1, 4] as const;

/**
 * A good plan for goods that share lorries. Which lorry comes in which period is changed one delivery at
 * a time (left out, added, moved by one period), the items that it carries are ordered anew for the
 * deliveries there are, and a change that lowers the cost stays.
 *
 * Cash and room are not looked at: whether a plan keeps them is to be asked afterwards.
 *
 * @param isOver ends the search before it comes to rest
 * @returns null for a part without trips, or when a need is not reached
 * @source joint-replenishment
 */
export function deliveryCalendarPlan(part: PlanPart, isOver: () => boolean): PartOrders | null {
  const groups = new Set(
    part.items.flatMap(({ slots }) => slots.flatMap(({ tripIndex }) => tripIndex ?? [])),
  );
  if (groups.size === 0) return null;
  const deliveries = [...groups].flatMap((tripIndex) =>
    Array.from({ length: part.periodCount }, (_, index) => ({ tripIndex, period: index + 1 })),
  );
  let best: PartOrders | null = null;
  let bestCost = Number.POSITIVE_INFINITY;
  for (const every of BEGINNINGS) {
    const open = new Set(
      deliveries
        .filter(({ period }) => (period - 1) % every === 0)
        .map(({ tripIndex, period }) => tripKey(tripIndex, period)),
    );
    const orders = improved(part, deliveries, open, isOver);
    if (orders.some(({ cost }) => !Number.isFinite(cost))) continue;
    const plan = orders.map((own) => own.orders);
    const cost = costOf(partUsage(part, plan));
    if (cost < bestCost) [best, bestCost] = [plan, cost];
  }
  return best;
}

interface Delivery {
  readonly tripIndex: number;
  readonly period: number;
}

function improved(
  part: PlanPart,
  deliveries: readonly Delivery[],
  open: Set<string>,
  isOver: () => boolean,
): ItemOrders[] {
  const needs = part.items.map(openNeeds);
  const ordersOf = (item: PlanItem, at: number): ItemOrders =>
    deliveryItemOrders(
      item,
      needs[at] ?? [],
      ({ tripIndex, arrives }) => tripIndex === null || open.has(tripKey(tripIndex, arrives)),
      (slot) => carriage(part, item, slot),
    );
  let orders = part.items.map(ordersOf);
  let cost = wholeCost(part, orders);
  for (let round = 0; round < MAX_ROUNDS; round += 1) {
    let isBetter = false;
    for (const delivery of deliveries) {
      if (isOver()) return orders;
      for (const keys of changesOf(delivery, open)) {
        for (const key of keys) toggle(open, key);
        const next = part.items.map((item, at) =>
          isCarried(item, delivery) ? ordersOf(item, at) : (orders[at] as ItemOrders),
        );
        const nextCost = wholeCost(part, next);
        if (nextCost < cost - 1e-9 * Math.max(1, cost)) {
          [cost, orders, isBetter] = [nextCost, next, true];
          break;
        }
        for (const key of keys) toggle(open, key);
      }
    }
    if (!isBetter) break;
  }
  return orders;
}

/** A unit's share of a full lorry, by mass. */
function carriage(part: PlanPart, item: PlanItem, { tripIndex }: PlanSlot): number {
  const trip = tripIndex === null ? undefined : part.limits.trips[tripIndex];
  return trip === undefined ? 0 : (item.massKgPerUnit * trip.costPerTrip) / trip.payloadKg;
}

const isCarried = ({ slots }: PlanItem, { tripIndex }: Delivery): boolean =>
  slots.some((slot) => slot.tripIndex === tripIndex);

function changesOf({ tripIndex, period }: Delivery, open: ReadonlySet<string>): string[][] {
  const own = tripKey(tripIndex, period);
  if (!open.has(own)) return [[own]];
  const moved = [tripKey(tripIndex, period - 1), tripKey(tripIndex, period + 1)];
  return [[own], ...moved.filter((key) => !open.has(key)).map((key) => [own, key])];
}

/** Cost of the orders with whole lorries; ∞ where a need is not reached. */
function wholeCost(part: PlanPart, orders: readonly ItemOrders[]): number {
  if (orders.some(({ cost }) => !Number.isFinite(cost))) return Number.POSITIVE_INFINITY;
  let cost = 0;
  const loadsKg = new Map<string, number>();
  for (const [at, item] of part.items.entries()) {
    const own = orders[at] as ItemOrders;
    cost += own.cost;
    for (const [index, slot] of item.slots.entries()) {
      const micro = own.orders[index] ?? 0;
      if (micro === 0 || slot.tripIndex === null) continue;
      const units = micro / 1e6;
      cost -= units * carriage(part, item, slot);
      const key = tripKey(slot.tripIndex, slot.arrives);
      loadsKg.set(key, (loadsKg.get(key) ?? 0) + units * item.massKgPerUnit);
    }
  }
  for (const [key, massKg] of loadsKg) {
    const trip = part.limits.trips[Number(key.split(' ')[0])];
    if (trip) cost += Math.ceil(massKg / trip.payloadKg - 1e-6) * trip.costPerTrip;
  }
  return cost;
}

function toggle(open: Set<string>, key: string): void {
  if (!open.delete(key)) open.add(key);
}
