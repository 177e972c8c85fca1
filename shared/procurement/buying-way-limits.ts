import type { OrderPlanInput, PlanItemInput, PlanOffer } from './order-plan-types.ts';

export interface Purchase {
  readonly item: PlanItemInput;
  readonly offer: PlanOffer;
  readonly arrives: number;
  readonly quantity: number;
  /** Whose lorry it shares: a tank's own, or that of all. */
  readonly buyer: string;
  readonly uses: readonly { readonly period: number; readonly quantity: number }[];
}

const SLACK = 1e-9;
const isAbove = (value: number, limit: number): boolean =>
  value > limit + SLACK * Math.max(1, limit);

/**
 * Periods whose orders and trips cost more than there is to spend.
 *
 * @source order-plan-own
 */
export function cashBreaks(
  { cashLimits = [], doesCashCarryOver = false }: OrderPlanInput,
  spending: ReadonlyMap<number, number>,
): string[] {
  let [spent, limit] = [0, 0];
  return cashLimits.flatMap((ofPeriod, index) => {
    spent = (doesCashCarryOver ? spent : 0) + (spending.get(index + 1) ?? 0);
    limit = (doesCashCarryOver ? limit : 0) + ofPeriod;
    return isAbove(spent, limit) ? [`period ${index + 1} costs more than its cash`] : [];
  });
}

/**
 * Periods at whose end more lies in a store than it holds.
 *
 * @source order-plan-own
 */
export function roomBreaks(
  { storage = [], periodCount }: OrderPlanInput,
  purchases: readonly Purchase[],
): string[] {
  const overfull = new Set<number>();
  for (const { id, capacityUnits } of storage) {
    const own = purchases.filter(({ item }) => item.storageUse?.storageId === id);
    for (let period = 1; period <= periodCount; period += 1) {
      const taken = own.reduce(
        (sum, purchase) =>
          sum + (purchase.item.storageUse?.perUnit ?? 0) * lyingAfter(purchase, period),
        0,
      );
      const most = typeof capacityUnits === 'number' ? capacityUnits : capacityUnits[period - 1];
      if (isAbove(taken, most ?? 0)) overfull.add(period);
    }
  }
  return [...overfull]
    .sort((a, b) => a - b)
    .map((period) => `period ${period} needs more room than there is`);
}

function lyingAfter({ arrives, quantity, uses }: Purchase, period: number): number {
  if (arrives > period) return 0;
  const used = uses.reduce((sum, use) => (use.period <= period ? sum + use.quantity : sum), 0);
  return Math.max(0, quantity - used);
}

/**
 * Periods with more trips of a group than there may be.
 *
 * @param made trips by "period group"
 * @source order-plan-own
 */
export function tripBreaks(
  { trips = [], periodCount }: OrderPlanInput,
  made: ReadonlyMap<string, number>,
): string[] {
  return Array.from({ length: periodCount }, (_, index) => index + 1).flatMap((period) =>
    trips.some(
      ({ id, maximumTripsPerPeriod = Number.POSITIVE_INFINITY }) =>
        (made.get(`${period} ${id}`) ?? 0) > maximumTripsPerPeriod,
    )
      ? [`period ${period} needs more trips than there are`]
      : [],
  );
}

/**
 * Periods in which several purchases together take more of an offer than one order may hold: a plan
 * places one order of an offer in a period.
 *
 * @source order-plan-own
 */
export function orderBreaks(purchases: readonly Purchase[]): string[] {
  const taken = new Map<PlanOffer, Map<number, number>>();
  for (const { offer, arrives, quantity } of purchases) {
    const byPeriod = taken.get(offer) ?? new Map<number, number>();
    taken.set(offer, byPeriod.set(arrives, (byPeriod.get(arrives) ?? 0) + quantity));
  }
  const periods = [...taken].flatMap(([{ maximumQuantity }, byPeriod]) =>
    [...byPeriod].flatMap(([period, quantity]) =>
      isAbove(quantity, maximumQuantity ?? Number.POSITIVE_INFINITY) ? [period] : [],
    ),
  );
  return [...new Set(periods)]
    .sort((a, b) => a - b)
    .map((period) => `period ${period} takes more of an offer than one order may hold`);
}
