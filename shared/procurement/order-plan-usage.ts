import { serveFirstExpiring } from './first-expiring.ts';
import { MICRO } from './order-plan-limits.ts';
import { type PlanPart, tripKey } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import { goodsCost, orderableMicro } from './order-plan-slots.ts';
import type { PlanCosts, TripGroup } from './order-plan-types.ts';

/** Orders of a part: millionths by item and by possible order; 0 for none. */
export type PartOrders = readonly (readonly number[])[];

/** Part of a limit by which it may be exceeded: what a solver's tolerance leaves. Ours. */
export const LIMIT_SLACK = 1e-6;

export interface TripLoad {
  readonly tripIndex: number;
  readonly arrives: number;
  readonly massKg: number;
  /** Trips beyond those made anyway. */
  readonly tripCount: number;
}

export interface PartUsage {
  /** Orders and trips, by period. */
  readonly spending: readonly number[];
  /** Room taken in each storage class at the end of each period. */
  readonly room: readonly (readonly number[])[];
  readonly tripLoads: readonly TripLoad[];
  readonly costs: PlanCosts;
  readonly changeCost: number;
}

export const costOf = ({ costs, changeCost }: PartUsage): number =>
  costs.goods + costs.ordering + costs.holding + costs.trips + changeCost;

/**
 * Millionths on hand at the end of each period: what came less what was asked for.
 *
 * @source order-plan-own
 */
export function stockMicro(item: PlanItem, orders: readonly number[]): number[] {
  const arrivals = [...item.fixedMicro];
  for (const [index, slot] of item.slots.entries()) {
    arrivals[slot.arrives - 1] = (arrivals[slot.arrives - 1] ?? 0) + (orders[index] ?? 0);
  }
  let stock = 0;
  return arrivals.map((micro, index) => {
    stock += micro - (item.demandMicro[index] ?? 0);
    return stock;
  });
}

function tripsFor({ payloadKg }: TripGroup, massKg: number, spareKg: number): number {
  const load = Math.max(0, massKg - spareKg) / payloadKg;
  return Math.max(0, Math.ceil(load - LIMIT_SLACK * Math.max(1, load)));
}

function tripLoads(part: PlanPart, orders: PartOrders): TripLoad[] {
  const masses = new Map<string, { tripIndex: number; arrives: number; massKg: number }>();
  for (const [at, item] of part.items.entries()) {
    for (const [index, slot] of item.slots.entries()) {
      const micro = orders[at]?.[index] ?? 0;
      if (micro === 0 || slot.tripIndex === null) continue;
      const key = tripKey(slot.tripIndex, slot.arrives);
      const massKg = (masses.get(key)?.massKg ?? 0) + (item.massKgPerUnit * micro) / MICRO;
      masses.set(key, { tripIndex: slot.tripIndex, arrives: slot.arrives, massKg });
    }
  }
  return [...masses].flatMap(([key, load]) => {
    const group = part.limits.trips[load.tripIndex];
    const spareKg = part.limits.tripsMade.get(key)?.spareKg ?? 0;
    return group === undefined
      ? []
      : [{ ...load, tripCount: tripsFor(group, load.massKg, spareKg) }];
  });
}

/**
 * What orders cost and take of everything shared: money, trips and room.
 *
 * @source order-plan-own
 */
export function partUsage(part: PlanPart, orders: PartOrders): PartUsage {
  const spending = Array.from({ length: part.periodCount }, () => 0);
  const room = part.limits.storage.map(() => Array.from({ length: part.periodCount }, () => 0));
  const costs = { goods: 0, ordering: 0, holding: 0, trips: 0 };
  let changeCost = 0;
  const spend = (period: number, cost: number) => {
    spending[period - 1] = (spending[period - 1] ?? 0) + cost;
  };
  for (const [at, item] of part.items.entries()) {
    const own = orders[at] ?? [];
    for (const [index, slot] of item.slots.entries()) {
      const micro = own[index] ?? 0;
      changeCost += (part.changePerUnit * Math.abs(micro - slot.keptMicro)) / MICRO;
      if (micro > 0 !== slot.keptMicro > 0) changeCost += part.changePerOrder;
      if (micro === 0) continue;
      const goods = goodsCost(slot, micro);
      costs.goods += goods;
      costs.ordering += slot.orderCost;
      spend(slot.placed, goods + slot.orderCost);
    }
    for (const [index, micro] of stockMicro(item, own).entries()) {
      costs.holding += (item.holdingCostPerUnit * micro) / MICRO;
      const taken = item.storageIndex === null ? undefined : room[item.storageIndex];
      if (taken) taken[index] = (taken[index] ?? 0) + (item.storagePerUnit * micro) / MICRO;
    }
  }
  const loads = tripLoads(part, orders);
  for (const { tripIndex, arrives, tripCount } of loads) {
    const cost = tripCount * (part.limits.trips[tripIndex]?.costPerTrip ?? 0);
    costs.trips += cost;
    spend(arrives, cost);
  }
  return { spending, room, tripLoads: loads, costs, changeCost };
}

const isWithin = (value: number, limit: number, scale = limit): boolean =>
  value <= limit + LIMIT_SLACK * Math.max(1, scale);

/**
 * Whether orders meet every need, are such that they can be placed, and keep to everything shared.
 *
 * @source order-plan-own
 */
export function isAllowed(part: PlanPart, orders: PartOrders): boolean {
  const { cash, doesCashCarryOver, storage, trips, tripsMade } = part.limits;
  const isServed = part.items.every((item, at) => {
    const supplies = item.slots.map(({ arrives, lastPeriod }, index) => ({
      arrives,
      lastPeriod,
      quantity: orders[at]?.[index] ?? 0,
    }));
    const { uncovered } = serveFirstExpiring(item.netMicro, [...item.supplies, ...supplies]);
    return uncovered.every((micro) => micro === 0);
  });
  if (!isServed) return false;
  const isOrderable = part.items.every((item, at) =>
    item.slots.every((slot, index) => {
      const micro = orders[at]?.[index] ?? 0;
      return micro === 0 || orderableMicro(slot, micro) === micro;
    }),
  );
  if (!isOrderable) return false;
  const usage = partUsage(part, orders);
  if (cash !== null) {
    let [spent, limit] = [0, 0];
    for (const [index, ofPeriod] of cash.entries()) {
      spent = (doesCashCarryOver ? spent : 0) + (usage.spending[index] ?? 0);
      limit = (doesCashCarryOver ? limit : 0) + ofPeriod;
      if (!isWithin(spent, limit, Math.max(limit, ...cash))) return false;
    }
  }
  for (const [at, capacity] of storage.entries()) {
    const users = part.items.filter(({ storageIndex }) => storageIndex === at);
    // what the largest need takes: a solver sees room in such units
    const needs = users.map(
      (item) => (item.storagePerUnit * Math.max(...item.demandMicro)) / MICRO,
    );
    if (!users.some(({ storagePerUnit }) => storagePerUnit > 0)) continue;
    for (const [index, most] of capacity.entries()) {
      if (!isWithin(usage.room[at]?.[index] ?? 0, most, Math.max(most, ...needs))) return false;
    }
  }
  return usage.tripLoads.every(({ tripIndex, arrives, tripCount }) => {
    const most = trips[tripIndex]?.maximumTripsPerPeriod ?? Number.POSITIVE_INFINITY;
    const made = tripsMade.get(tripKey(tripIndex, arrives))?.count ?? 0;
    return made + tripCount <= most;
  });
}
