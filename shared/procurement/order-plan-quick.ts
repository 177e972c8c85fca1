import { type DatedSupply, serveFirstExpiring } from './first-expiring.ts';
import { lotSizeOverWays } from './lot-sizing.ts';
import { MICRO } from './order-plan-limits.ts';
import { isJoint, type PlanPart } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import { goodsCost, orderableMicro, type PlanSlot } from './order-plan-slots.ts';
import { type PartOrders, partUsage } from './order-plan-usage.ts';

const totalNet = (item: PlanItem): number => item.netMicro.reduce((sum, micro) => sum + micro, 0);

/** No packs, minimum, breaks, earlier orders, nor a maximum that could bind. */
const isFree = (slot: PlanSlot, part: PlanPart, item: PlanItem): boolean =>
  slot.packMicro === null &&
  slot.minimumMicro === 0 &&
  slot.brackets.length === 1 &&
  part.changePerOrder === 0 &&
  part.changePerUnit === 0 &&
  slot.capMicro >=
    item.netMicro.slice(slot.arrives - 1, slot.lastPeriod).reduce((sum, micro) => sum + micro, 0);

/**
 * The best plan of a part by dynamic programming, where that is exact: one item that shares
 * nothing, whose orders have no packs, minimum, breaks or maximum that binds.
 *
 * @returns null where the method does not hold
 * @source wagner-whitin-1958
 */
export function dynamicPlan(part: PlanPart): PartOrders | null {
  const [item, second] = part.items;
  if (item === undefined || second !== undefined || isJoint(part)) return null;
  if (item.slots.length === 0) return [[]];
  if (item.supplies.length > 0 || !item.slots.every((slot) => isFree(slot, part, item)))
    return null;
  const found = lotSizeOverWays(
    item.netMicro.map((micro) => micro / MICRO),
    item.slots.map((slot) => ({
      arrivesInPeriod: slot.arrives,
      lastPeriod: slot.lastPeriod,
      orderCost: slot.orderCost,
      unitCost: slot.brackets[0]?.unitCost ?? 0,
    })),
    item.holdingCostPerUnit,
  );
  if (found === null) return null;
  const orders = item.slots.map(() => 0);
  for (const { way, firstPeriod, lastPeriod } of found.stretches) {
    for (let t = firstPeriod; t <= lastPeriod; t += 1) {
      orders[way] = (orders[way] ?? 0) + (item.netMicro[t - 1] ?? 0);
    }
  }
  return [orders];
}

/**
 * A cost below which no plan of the part lies: each item alone, without packs, minimum, maximum and
 * limits, at its lowest price with its share of trips by mass, by dynamic programming; where stock
 * that expires must be assigned, the goods still to buy at the lowest price.
 *
 * @source wagner-whitin-1958; order-plan-own
 */
export function plainBound(part: PlanPart): number {
  const alone = part.items.map((item) => {
    const ways = item.slots.map((slot) => {
      const trip = slot.tripIndex === null ? undefined : part.limits.trips[slot.tripIndex];
      const made = part.limits.tripsMade.size > 0;
      const byMass =
        trip === undefined || made ? 0 : (item.massKgPerUnit * trip.costPerTrip) / trip.payloadKg;
      return {
        arrivesInPeriod: slot.arrives,
        lastPeriod: slot.lastPeriod,
        orderCost: slot.orderCost,
        unitCost: (slot.brackets.at(-1)?.unitCost ?? 0) + byMass,
      };
    });
    if (item.supplies.length > 0) {
      const there = item.supplies.reduce((sum, { quantity }) => sum + quantity, 0);
      const toBuy = Math.max(0, totalNet(item) - there) / MICRO;
      return toBuy === 0 ? 0 : toBuy * Math.min(...ways.map(({ unitCost }) => unitCost));
    }
    const net = item.netMicro.map((micro) => micro / MICRO);
    return lotSizeOverWays(net, ways, item.holdingCostPerUnit)?.cost ?? 0;
  });
  return alone.reduce((sum, cost) => sum + cost, heldAnyway(part));
}

/**
 * Holding of what is there anyway: stock without orders, less the needs that it serves.
 *
 * @source order-plan-own
 */
export function heldAnyway(part: PlanPart): number {
  return part.items.reduce((sum, item) => {
    if (item.supplies.length > 0) return sum;
    const only = { ...part, items: [{ ...item, demandMicro: served(item), slots: [] }] };
    return sum + partUsage(only, [[]]).costs.holding;
  }, 0);
}

/** Demand that what is there serves. */
const served = (item: PlanItem): number[] =>
  item.demandMicro.map((micro, index) => micro - (item.netMicro[index] ?? 0));

type Preference = 'cheap' | 'late' | 'early';

function rank(
  preference: Preference,
  item: PlanItem,
  slot: PlanSlot,
  micro: number,
  raised: number,
  open: number,
  period: number,
): number {
  if (preference === 'early') return slot.lastPeriod;
  const cost =
    goodsCost(slot, raised) -
    goodsCost(slot, micro) +
    (micro === 0 ? slot.orderCost : 0) +
    (item.holdingCostPerUnit * (raised - micro) * (period - slot.arrives)) / MICRO;
  const perUnit = cost / (Math.min(open, raised - micro) / MICRO);
  // the latest first; of those that arrive together, the cheapest
  return preference === 'cheap' ? perUnit : -slot.arrives + perUnit / (1 + Math.abs(perUnit));
}

function greedyItem(item: PlanItem, preference: Preference): number[] | null {
  const orders = item.slots.map(() => 0);
  const placed = new Map<number, DatedSupply>();
  for (let round = 0; round <= item.netMicro.length + item.slots.length; round += 1) {
    const { uncovered } = serveFirstExpiring(item.netMicro, [...item.supplies, ...placed.values()]);
    const at = uncovered.findIndex((micro) => micro > 0);
    if (at < 0) return orders;
    const open = uncovered[at] ?? 0;
    let best: { index: number; raised: number; rank: number } | null = null;
    for (const [index, slot] of item.slots.entries()) {
      const micro = orders[index] ?? 0;
      if (slot.arrives > at + 1 || slot.lastPeriod < at + 1 || micro >= slot.capMicro) continue;
      const raised = orderableMicro(slot, Math.min(slot.capMicro, micro + open)) ?? slot.capMicro;
      const ranked = rank(preference, item, slot, micro, raised, open, at + 1);
      if (best === null || ranked < best.rank) best = { index, raised, rank: ranked };
    }
    if (best === null) return null;
    orders[best.index] = best.raised;
    const slot = item.slots[best.index];
    if (slot !== undefined) {
      const { arrives, lastPeriod } = slot;
      placed.set(best.index, { arrives, lastPeriod, quantity: best.raised });
    }
  }
  return null;
}

/**
 * Plans made period by period, each need by the order that is cheapest for it, that arrives last,
 * or whose goods expire first. They meet every need, but may break what items share.
 *
 * @param isOver asked after the first plan, which is made whatever the time
 * @source order-plan-own
 */
export function greedyPlans(part: PlanPart, isOver = () => false): PartOrders[] {
  const plans: PartOrders[] = [];
  for (const preference of ['cheap', 'late', 'early'] as const) {
    if (plans.length > 0 && isOver()) break;
    const orders = part.items.map((item) => greedyItem(item, preference));
    if (orders.every((own) => own !== null)) plans.push(orders);
  }
  return plans;
}
