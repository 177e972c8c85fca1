import { lotSizeOverWays } from './lot-sizing.ts';
import { MICRO } from './order-plan-limits.ts';
import { type PlanPart, tripKey } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import { heldAnyway } from './order-plan-quick.ts';
import type { PlanSlot } from './order-plan-slots.ts';

const MAX_STEPS = 400;
/** Steps without a better bound after which the step is halved. */
const PATIENCE = 12;
const LEAST_STEP = 0.01;

/** How much of the cost of one lorry is laid on its load, and on each order that it carries. */
interface TripShare {
  readonly cost: number;
  byLoad: number;
  readonly byOrder: Map<string, number>;
}

interface BoundItem {
  readonly item: PlanItem;
  readonly net: readonly number[];
  /** Slots with a lorry that carries something. */
  readonly slots: readonly PlanSlot[];
  /** What whole packs cost beyond the needs at the lowest price, whatever is ordered when. */
  readonly packExtra: number;
}

/**
 * A cost below which no plan of goods that share lorries lies: the cost of each lorry is shared out
 * between its load and the orders it carries, each item is then planned alone by dynamic programming, and
 * the shares are moved to where they raise the sum (subgradient steps). Packs count with the whole number
 * that all needs of an item ask for; minimums, maximums, cash and room do not count.
 *
 *     L(λ, μ) = Σ items min{ goods + (order + λ) + μ · load + holding },  λ, μ ≥ 0, Σ λ + μ ≤ cost of the trip
 *
 * @param upperCost cost of a plan that is known, for the length of the steps
 * @returns 0 for a part without trips
 * @source held-wolfe-crowder-1974 subgradient steps
 * @source wagner-whitin-1958 each item alone
 */
export function tripBound(part: PlanPart, upperCost: number, isOver: () => boolean): number {
  if (part.limits.tripsMade.size > 0) return 0;
  const shares = tripShares(part);
  if (shares.size === 0) return 0;
  const items = part.items.map(boundItem);
  const fixed = heldAnyway(part) + items.reduce((sum, { packExtra }) => sum + packExtra, 0);
  let best = 0;
  let step = 1;
  let waited = 0;
  for (let round = 0; round < MAX_STEPS && step > LEAST_STEP && !isOver(); round += 1) {
    const load = new Map<string, number>();
    const used = new Set<string>();
    const sum = items.reduce(
      (total, one, at) => total + alone(part, one, at, shares, load, used),
      fixed,
    );
    if (sum > best + 1e-7 * Math.max(1, best)) [best, waited] = [sum, 0];
    else waited += 1;
    if (waited > PATIENCE) [step, waited] = [step / 2, 0];
    if (upperCost - sum <= 1e-9 * upperCost) break;
    if (!move(shares, load, used, step * (upperCost - sum))) break;
  }
  return best;
}

function tripShares(part: PlanPart): Map<string, TripShare> {
  const shares = new Map<string, TripShare>();
  for (const [at, item] of part.items.entries()) {
    for (const [index, slot] of item.slots.entries()) {
      if (slot.tripIndex === null || item.massKgPerUnit === 0) continue;
      const cost = part.limits.trips[slot.tripIndex]?.costPerTrip ?? 0;
      if (cost === 0) continue;
      const key = tripKey(slot.tripIndex, slot.arrives);
      const share = shares.get(key) ?? { cost, byLoad: cost, byOrder: new Map() };
      share.byOrder.set(`${at} ${index}`, 0);
      shares.set(key, share);
    }
  }
  return shares;
}

function boundItem(item: PlanItem): BoundItem {
  const total = item.netMicro.reduce((sum, micro) => sum + micro, 0);
  const packs = item.slots.map(({ packMicro }) => packMicro);
  const [pack] = packs;
  const isAlike = pack != null && packs.every((one) => one === pack);
  const extraMicro =
    isAlike && item.supplies.length === 0 ? Math.ceil(total / pack) * pack - total : 0;
  return {
    item,
    slots: item.slots,
    net: item.netMicro.map((micro) => micro / MICRO),
    packExtra: total === 0 ? 0 : (extraMicro / MICRO) * Math.min(...item.slots.map(lowestPrice)),
  };
}

const lowestPrice = ({ brackets }: PlanSlot): number => brackets.at(-1)?.unitCost ?? 0;

/** The least cost of an item at the shares as they are; notes what it loads and orders. */
function alone(
  part: PlanPart,
  { item, net, slots }: BoundItem,
  at: number,
  shares: ReadonlyMap<string, TripShare>,
  load: Map<string, number>,
  used: Set<string>,
): number {
  const keys = slots.map(({ tripIndex, arrives }) =>
    tripIndex === null ? '' : tripKey(tripIndex, arrives),
  );
  const payload = slots.map(
    ({ tripIndex }) => (tripIndex === null ? 1 : part.limits.trips[tripIndex]?.payloadKg) ?? 1,
  );
  const ways = slots.map((slot, index) => {
    const share = shares.get(keys[index] ?? '');
    const byMass = ((share?.byLoad ?? 0) * item.massKgPerUnit) / (payload[index] ?? 1);
    return {
      arrivesInPeriod: slot.arrives,
      lastPeriod: slot.lastPeriod,
      orderCost: slot.orderCost + (share?.byOrder.get(`${at} ${index}`) ?? 0),
      unitCost: lowestPrice(slot) + byMass,
    };
  });
  if (item.supplies.length > 0) {
    const there = item.supplies.reduce((sum, { quantity }) => sum + quantity, 0) / MICRO;
    const toBuy = Math.max(0, net.reduce((sum, units) => sum + units, 0) - there);
    return toBuy === 0 ? 0 : toBuy * Math.min(...ways.map(({ unitCost }) => unitCost));
  }
  const found = lotSizeOverWays(net, ways, item.holdingCostPerUnit);
  if (found === null) return 0;
  for (const { way, firstPeriod, lastPeriod } of found.stretches) {
    const key = keys[way] ?? '';
    if (!shares.has(key)) continue;
    let units = 0;
    for (let period = firstPeriod; period <= lastPeriod; period += 1) units += net[period - 1] ?? 0;
    load.set(key, (load.get(key) ?? 0) + (units * item.massKgPerUnit) / (payload[way] ?? 1));
    used.add(`${at} ${way}`);
  }
  return found.cost;
}

/** Moves the shares of each lorry towards what used it, and back to its cost. False when nothing moves. */
function move(
  shares: ReadonlyMap<string, TripShare>,
  load: ReadonlyMap<string, number>,
  used: ReadonlySet<string>,
  reach: number,
): boolean {
  let norm = 0;
  for (const [key, { byOrder }] of shares) {
    const own = [load.get(key) ?? 0, ...[...byOrder.keys()].map((id) => (used.has(id) ? 1 : 0))];
    // Only differences within a lorry move anything: its shares add up to its cost.
    const mean = own.reduce((sum, slope) => sum + slope, 0) / own.length;
    for (const slope of own) norm += (slope - mean) ** 2;
  }
  if (norm === 0) return false;
  const length = reach / norm;
  for (const [key, share] of shares) {
    const ids = [...share.byOrder.keys()];
    const raised = [
      share.byLoad + length * (load.get(key) ?? 0),
      ...ids.map((id) => (share.byOrder.get(id) ?? 0) + (used.has(id) ? length : 0)),
    ];
    const [byLoad = 0, ...byOrder] = ontoSimplex(raised, share.cost);
    share.byLoad = byLoad;
    for (const [index, id] of ids.entries()) share.byOrder.set(id, byOrder[index] ?? 0);
  }
  return true;
}

/** The nearest values that are not negative and add up to a sum at most. */
function ontoSimplex(values: readonly number[], sum: number): number[] {
  const clipped = values.map((value) => Math.max(0, value));
  if (clipped.reduce((total, value) => total + value, 0) <= sum) return clipped;
  const sorted = [...values].sort((a, b) => b - a);
  let total = 0;
  let shift = 0;
  for (const [index, value] of sorted.entries()) {
    total += value;
    const candidate = (total - sum) / (index + 1);
    if (candidate >= value) break;
    shift = candidate;
  }
  return values.map((value) => Math.max(0, value - shift));
}
