import { serveFirstExpiring } from './first-expiring.ts';
import { MICRO } from './order-plan-limits.ts';
import type { PlanItem } from './order-plan-problem.ts';
import { goodsCost, orderableMicro, type PlanSlot } from './order-plan-slots.ts';

/** A need that what is there does not cover, in millionths. */
export interface OpenNeed {
  readonly period: number;
  readonly micro: number;
}

export interface ItemOrders {
  /** Goods, ordering, holding and carriage; ∞ where a need is not reached. */
  readonly cost: number;
  /** Millionths by possible order. */
  readonly orders: readonly number[];
}

/** A way of having covered the needs so far. */
interface State {
  readonly cost: number;
  readonly leftMicro: number;
  readonly leftUntil: number;
  readonly before: State | null;
  readonly slotIndex: number | null;
  readonly micro: number;
}

/** States kept for each need; ours, from trials: more find little more. */
const MAX_STATES = 6;

/**
 * The needs of an item that neither stock nor open receipts cover.
 *
 * @source order-plan-own
 */
export function openNeeds(item: PlanItem): OpenNeed[] {
  const { uncovered } = serveFirstExpiring(item.netMicro, item.supplies);
  return uncovered.flatMap((micro, index) => (micro > 0 ? [{ period: index + 1, micro }] : []));
}

/**
 * Orders for one item by dynamic programming over its needs: each order covers the next few needs, from
 * the last of an offer's deliveries in time for the first of them. What whole packs leave over goes on to
 * the next order, so that several states are kept for each need: the result is good, not proved.
 *
 *     F(k, left) = min over j < k, orders: F(j, left′) + goods + order + carriage + holding of j+1 … k
 *
 * @param mayOrder whether an order may be placed
 * @param carriagePerUnit what bringing a unit by an order costs
 * @source wagner-whitin-1958
 */
export function deliveryItemOrders(
  item: PlanItem,
  needs: readonly OpenNeed[],
  mayOrder: (slot: PlanSlot) => boolean,
  carriagePerUnit: (slot: PlanSlot) => number,
): ItemOrders {
  const start: State = {
    cost: 0,
    leftMicro: 0,
    leftUntil: Number.POSITIVE_INFINITY,
    before: null,
    slotIndex: null,
    micro: 0,
  };
  const states: State[][] = [[start], ...needs.map((): State[] => [])];
  for (const [index, need] of needs.entries()) {
    const inTime = latestInTime(item, need.period, mayOrder);
    for (const from of states[index] ?? []) {
      const left = need.period <= from.leftUntil ? from.leftMicro : 0;
      if (left >= need.micro) {
        const rest = { ...from, leftMicro: left - need.micro, before: from, slotIndex: null };
        keep(states, index + 1, rest);
      }
      for (const slotIndex of inTime) {
        const slot = item.slots[slotIndex] as PlanSlot;
        extend(states, index, from, left, { item, needs, slot, slotIndex }, carriagePerUnit(slot));
      }
    }
  }
  const orders = item.slots.map(() => 0);
  const best = (states[needs.length] ?? [])[0];
  if (!best) return { cost: Number.POSITIVE_INFINITY, orders };
  for (let state: State | null = best; state; state = state.before) {
    if (state.slotIndex !== null)
      orders[state.slotIndex] = (orders[state.slotIndex] ?? 0) + state.micro;
  }
  return { cost: best.cost, orders };
}

interface Order {
  readonly item: PlanItem;
  readonly needs: readonly OpenNeed[];
  readonly slot: PlanSlot;
  readonly slotIndex: number;
}

function extend(
  states: State[][],
  index: number,
  from: State,
  left: number,
  { item, needs, slot, slotIndex }: Order,
  carriage: number,
): void {
  const holding = item.holdingCostPerUnit / MICRO;
  let sum = -left;
  let waited = 0;
  for (let last = index; last < needs.length; last += 1) {
    const { period, micro } = needs[last] as OpenNeed;
    if (period > slot.lastPeriod) return;
    sum += micro;
    waited += micro * (period - slot.arrives);
    if (sum <= 0) continue;
    const ordered = orderableMicro(slot, sum);
    if (ordered === null) return;
    const next = needs[last + 1]?.period ?? period + 1;
    keep(states, last + 1, {
      cost:
        from.cost +
        goodsCost(slot, ordered) +
        slot.orderCost +
        (ordered * carriage) / MICRO +
        holding * (waited + (ordered - sum) * (next - slot.arrives)),
      leftMicro: ordered - sum,
      leftUntil: slot.lastPeriod,
      before: from,
      slotIndex,
      micro: ordered,
    });
  }
}

/** Keeps what no other beats in both cost and what is left over, the cheapest first. */
function keep(states: State[][], at: number, state: State): void {
  const own = states[at] as State[];
  if (own.some((one) => one.cost <= state.cost && one.leftMicro >= state.leftMicro)) return;
  const rest = own.filter((one) => one.cost < state.cost || one.leftMicro > state.leftMicro);
  rest.push(state);
  rest.sort((a, b) => a.cost - b.cost);
  states[at] = rest.slice(0, MAX_STATES);
}

/** For each offer the order that arrives last in time for a need. */
function latestInTime(
  item: PlanItem,
  period: number,
  mayOrder: (slot: PlanSlot) => boolean,
): number[] {
  const latest = new Map<number, number>();
  for (const [index, slot] of item.slots.entries()) {
    if (slot.arrives > period || slot.lastPeriod < period || !mayOrder(slot)) continue;
    const known = item.slots[latest.get(slot.offerIndex) ?? -1];
    if (!known || known.arrives < slot.arrives) latest.set(slot.offerIndex, index);
  }
  return [...latest.values()];
}
