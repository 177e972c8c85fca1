import { serveFirstExpiring } from './first-expiring.ts';
import { type MilpSolver, solveMilp } from './milp-model.ts';
import { MICRO } from './order-plan-limits.ts';
import { partModel } from './order-plan-model.ts';
import type { PlanPart } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import type { OrderPlanInput, Shortfall, ShortfallReason } from './order-plan-types.ts';

const REASONS: Readonly<Record<ShortfallReason, string>> = {
  'no-offer': 'no offer is given for it',
  'no-arrival-in-time': 'no order can arrive by then',
  'shelf-life': 'what can arrive by then is past its shelf life',
  'maximum-quantity': 'all orders that can serve it are at their maximum',
  cash: 'the cash limits do not allow it',
  trips: 'the trips of the period cannot carry it',
  storage: 'there is no room to store it until then',
  'joint-limits': 'cash, trips and storage together do not allow it',
};

/** Shortage below this share of a need is what a solver's tolerance leaves. */
const SHARE_SLACK = 1e-6;

function reasonOf(item: PlanItem, offerCount: number, period: number): ShortfallReason {
  if (offerCount === 0) return 'no-offer';
  const inTime = item.slots.filter(({ arrives }) => arrives <= period);
  if (inTime.some(({ lastPeriod }) => lastPeriod >= period)) return 'maximum-quantity';
  return inTime.length > 0 ? 'shelf-life' : 'no-arrival-in-time';
}

const shortfall = (
  { id: itemId }: PlanItem,
  period: number,
  micro: number,
  reason: ShortfallReason,
): Shortfall => ({
  itemId,
  period,
  quantity: micro / MICRO,
  reason,
  detail: `${itemId} falls short by ${micro / MICRO} in period ${period}: ${REASONS[reason]}`,
});

/**
 * Needs of an item that could not be met even if it shared nothing: every order at its maximum, and
 * what expires first served first. What is left of the demand can be met.
 *
 * @source order-plan-own
 */
export function itemShortfalls(input: OrderPlanInput, item: PlanItem): Shortfall[] {
  const orders = item.slots.map(({ arrives, lastPeriod, capMicro }) => ({
    arrives,
    lastPeriod,
    quantity: capMicro,
  }));
  const { uncovered } = serveFirstExpiring(item.netMicro, [...item.supplies, ...orders]);
  const offerCount = input.items[item.itemIndex]?.offers.length ?? 0;
  return uncovered.flatMap((micro, index) =>
    micro > 0 ? [shortfall(item, index + 1, micro, reasonOf(item, offerCount, index + 1))] : [],
  );
}

function jointReason(part: PlanPart): ShortfallReason {
  const kinds: ShortfallReason[] = [];
  if (part.limits.cash !== null) kinds.push('cash');
  const trips = part.items.flatMap(({ slots }) => slots.map(({ tripIndex }) => tripIndex));
  const isLimited = trips.some(
    (trip) => trip !== null && part.limits.trips[trip]?.maximumTripsPerPeriod !== undefined,
  );
  if (isLimited) kinds.push('trips');
  if (part.items.some(({ storageIndex }) => storageIndex !== null)) kinds.push('storage');
  const [only] = kinds;
  return kinds.length === 1 && only !== undefined ? only : 'joint-limits';
}

/**
 * Needs that items cannot meet together, although each could alone: those of a plan with the least
 * shortage by share of each item's need; and goods for which a store has no room in any plan.
 *
 * @returns null when no such plan was found in the time given
 * @source order-plan-own
 */
export function jointShortfalls(
  input: OrderPlanInput,
  part: PlanPart,
  { solve }: MilpSolver,
  timeLimitS: number,
): Shortfall[] | null {
  const { builder, items, overfull } = partModel(part, true);
  const { values } = solveMilp(builder.model(1), solve, timeLimitS);
  if (values === null) return null;
  const reason = jointReason(part);
  const found = part.items.flatMap((item, at) =>
    (items[at]?.short ?? []).flatMap(({ period, column }) => {
      const share = values[column] ?? 0;
      const micro = Math.ceil(share * (item.netMicro[period - 1] ?? 0));
      return share > SHARE_SLACK ? [shortfall(item, period, micro, reason)] : [];
    }),
  );
  for (const { storageIndex, period, column, scale } of overfull) {
    const beyond = (values[column] ?? 0) * scale;
    if (beyond <= SHARE_SLACK * scale) continue;
    const user = part.items.find((item) => item.storageIndex === storageIndex);
    const storageId = input.storage?.[storageIndex]?.id ?? '';
    found.push({
      itemId: user?.id ?? '',
      period,
      quantity: beyond,
      reason: 'storage-overfull',
      detail: `Storage ${storageId} lacks room for ${beyond} at the end of period ${period} in every plan`,
    });
  }
  return found;
}
