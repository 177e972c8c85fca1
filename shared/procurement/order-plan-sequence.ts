import type { MilpSolver } from './milp-model.ts';
import { type PlanPart, tripKey } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import { type PartOrders, partUsage } from './order-plan-usage.ts';

/** Times that items are planned one after the other, those that failed first. Ours. */
const MAX_SEQUENCES = 4;
/** Beyond the time, as long as no other plan is known. Ours. */
const GRACE_S = 2;

type SolveAlone = (
  part: PlanPart,
  solver: MilpSolver,
  timeLimitS: number,
) => { readonly orders: PartOrders | null };

/** What an item takes of everything shared. */
interface Taken {
  /** Without trips. */
  readonly spending: readonly number[];
  readonly room: readonly (readonly number[])[];
  readonly massByTrip: ReadonlyMap<string, number>;
}

function takenBy(part: PlanPart, item: PlanItem, orders: readonly number[]): Taken {
  const trips = part.limits.trips.map((group) => ({ ...group, costPerTrip: 0 }));
  const alone = { ...part, items: [item], limits: { ...part.limits, trips } };
  const { spending, room, tripLoads } = partUsage(alone, [orders]);
  const massByTrip = new Map(
    tripLoads.map(({ tripIndex, arrives, massKg }): [string, number] => [
      tripKey(tripIndex, arrives),
      massKg,
    ]),
  );
  return { spending, room, massByTrip };
}

/** An item without orders yet holds at least what is there and nobody asks for. */
function takenWaiting(part: PlanPart, item: PlanItem): Taken {
  const demandMicro = item.demandMicro.map((micro, t) => micro - (item.netMicro[t] ?? 0));
  return takenBy(part, { ...item, slots: [], demandMicro }, []);
}

/** Adds what an item takes, or takes it off with the sign -1. */
function summed(sum: Taken, one: Taken, sign: 1 | -1): Taken {
  const massByTrip = new Map(sum.massByTrip);
  for (const [key, massKg] of one.massByTrip) {
    massByTrip.set(key, (massByTrip.get(key) ?? 0) + sign * massKg);
  }
  return {
    spending: sum.spending.map((cost, t) => cost + sign * (one.spending[t] ?? 0)),
    room: sum.room.map((own, at) => own.map((room, t) => room + sign * (one.room[at]?.[t] ?? 0))),
    massByTrip,
  };
}

/** What is left for one item when the others take their part. */
function remaining(part: PlanPart, item: PlanItem, others: Taken): PlanPart {
  const { limits } = part;
  const spending = [...others.spending];
  const tripsMade = new Map<string, { count: number; spareKg: number }>();
  for (const [key, massKg] of others.massByTrip) {
    const [tripIndex = 0, arrives = 0] = key.split(' ').map(Number);
    const { payloadKg = 1, costPerTrip = 0 } = limits.trips[tripIndex] ?? {};
    const count = Math.ceil(massKg / payloadKg - 1e-9);
    tripsMade.set(key, { count, spareKg: Math.max(0, count * payloadKg - massKg) });
    spending[arrives - 1] = (spending[arrives - 1] ?? 0) + count * costPerTrip;
  }
  return {
    ...part,
    items: [item],
    limits: {
      ...limits,
      cash: cashLeft(part, spending),
      storage: limits.storage.map((capacity, index) =>
        capacity.map((room, t) => Math.max(0, room - (others.room[index]?.[t] ?? 0))),
      ),
      tripsMade,
    },
  };
}

/** Cash by period after what is spent; carried over, what later periods need is kept for them. */
function cashLeft(part: PlanPart, spending: readonly number[]): number[] | null {
  const { cash, doesCashCarryOver } = part.limits;
  if (cash === null) return null;
  const left = cash.map((limit, index) => limit - (spending[index] ?? 0));
  if (!doesCashCarryOver) return left.map((value) => Math.max(0, value));
  let sum = 0;
  const sums = left.map((value) => {
    sum += value;
    return sum;
  });
  for (let t = sums.length - 2; t >= 0; t -= 1) sums[t] = Math.min(sums[t] ?? 0, sums[t + 1] ?? 0);
  return sums.map((value, t) => Math.max(0, value - Math.max(0, sums[t - 1] ?? 0)));
}

/**
 * Items planned one after the other with what the others leave; those that find nothing go first
 * the next time.
 *
 * @param solveAlone plans a part of one item
 * @param isPlanKnown gives up at the end of the time; otherwise a little later
 * @returns null when the time is over or an item finds nothing even as the first
 * @source order-plan-own
 */
export function sequentialPlan(
  part: PlanPart,
  solver: MilpSolver,
  endsAtS: number,
  solveAlone: SolveAlone,
  isPlanKnown: boolean,
): PartOrders | null {
  const givesUpAtS = endsAtS + (isPlanKnown ? 0 : GRACE_S);
  const needs = part.items.map((item) => item.netMicro.reduce((sum, micro) => sum + micro, 0));
  const waiting = part.items.map((item) => takenWaiting(part, item));
  const nothing: Taken = {
    spending: Array.from({ length: part.periodCount }, () => 0),
    room: part.limits.storage.map((capacity) => capacity.map(() => 0)),
    massByTrip: new Map(),
  };
  const start = waiting.reduce((sum, one) => summed(sum, one, 1), nothing);
  let sequence = [...part.items.keys()].sort((a, b) => (needs[b] ?? 0) - (needs[a] ?? 0));
  for (let round = 0; round < MAX_SEQUENCES; round += 1) {
    const orders: (readonly number[])[] = part.items.map(() => []);
    let taken = start;
    let failed: number | null = null;
    for (const [done, at] of sequence.entries()) {
      if (solver.elapsedS() > givesUpAtS) return null;
      const [item, own] = [part.items[at], waiting[at]];
      if (item === undefined || own === undefined) return null;
      const others = summed(taken, own, -1);
      const leftS = (endsAtS - solver.elapsedS()) / (sequence.length - done);
      const found = solveAlone(remaining(part, item, others), solver, Math.max(0, leftS));
      const [ordersOfItem] = found.orders ?? [];
      if (ordersOfItem === undefined) {
        failed = at;
        break;
      }
      orders[at] = ordersOfItem;
      taken = summed(others, takenBy(part, item, ordersOfItem), 1);
    }
    if (failed === null) return orders;
    if (sequence[0] === failed) return null;
    sequence = [failed, ...sequence.filter((at) => at !== failed)];
  }
  return null;
}
