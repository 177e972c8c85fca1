import {
  type BuyingWay,
  costedWay,
  orderCostOf,
  type Purchase,
  priceOf,
} from './buying-way-cost.ts';
import type { OrderPlanInput, PlanItemInput, PlanOffer } from './order-plan-types.ts';

export type { BuyingWay } from './buying-way-cost.ts';

/** What a tank needs of an item, in the periods in which it needs it. */
export interface TankNeed {
  readonly tankId: string;
  readonly itemId: string;
  readonly period: number;
  readonly quantity: number;
}

export interface BuyingWays {
  readonly perTank: BuyingWay;
  readonly perVillage: BuyingWay;
  readonly cheapestUnitPrice: BuyingWay;
}

const SLACK = 1e-9;

/**
 * What three ways of buying cost that look at less than the whole: each tank for itself, each item of a
 * place all at once, and each period from whoever asks the least for a unit. Counted like a plan: goods,
 * orders, trips, and holding of what is not used yet or left over; needs that stock covers are not in it.
 *
 * Goods that keep only so long are bought as often as that asks for.
 *
 * @param tankNeeds needs by tank, at most what the demand of the items holds
 * @source worked-tank rounding per tank against once
 */
export function buyingWays(input: OrderPlanInput, tankNeeds: readonly TankNeed[]): BuyingWays {
  const items = new Map(input.items.map((item) => [item.id, item]));
  return {
    perTank: costedWay(input, tankPurchases(input, items, tankNeeds)),
    perVillage: costedWay(input, placePurchases(input)),
    cheapestUnitPrice: costedWay(input, cheapestPurchases(input)),
  };
}

type Uses = { readonly period: number; readonly quantity: number }[];

function tankPurchases(
  input: OrderPlanInput,
  items: ReadonlyMap<string, PlanItemInput>,
  needs: readonly TankNeed[],
): (Purchase | null)[] {
  const byCard = new Map<string, TankNeed[]>();
  for (const need of needs) {
    const key = `${need.tankId} ${need.itemId}`;
    byCard.set(key, [...(byCard.get(key) ?? []), need]);
  }
  return [...byCard.values()].flatMap((card) => {
    const item = items.get(card[0]?.itemId ?? '');
    if (!item) return [];
    return inShelfLife(item, card).flatMap((uses) =>
      purchases(input, item, uses, card[0]?.tankId ?? ''),
    );
  });
}

const demandOf = (item: PlanItemInput): Uses =>
  item.demand.flatMap((quantity, index) =>
    quantity > SLACK ? [{ period: index + 1, quantity }] : [],
  );

const placePurchases = (input: OrderPlanInput): (Purchase | null)[] =>
  input.items.flatMap((item) =>
    inShelfLife(item, demandOf(item)).flatMap((uses) => purchases(input, item, uses, 'all')),
  );

/** Needs in stretches that one purchase can serve before it is past its life. */
function inShelfLife(item: PlanItemInput, needs: Uses | readonly TankNeed[]): Uses[] {
  const shelf = item.shelfLifePeriods ?? Number.POSITIVE_INFINITY;
  const stretches: Uses[] = [];
  let first = Number.NEGATIVE_INFINITY;
  for (const { period, quantity } of [...needs].sort((a, b) => a.period - b.period)) {
    if (period - first > shelf || stretches.length === 0) {
      stretches.push([]);
      first = period;
    }
    stretches.at(-1)?.push({ period, quantity });
  }
  return stretches;
}

/** Period by period from the lowest price of a unit; what packs leave over serves the next. */
function cheapestPurchases(input: OrderPlanInput): (Purchase | null)[] {
  return input.items.flatMap((item) => {
    const byPrice = [...item.offers].sort((a, b) => a.unitCost - b.unitCost);
    let left = 0;
    let last: { readonly uses: { period: number; quantity: number }[]; keepsUntil: number } | null =
      null;
    return demandOf(item).flatMap(({ period, quantity }): (Purchase | null)[] => {
      const carried = last !== null && period <= last.keepsUntil ? Math.min(left, quantity) : 0;
      if (carried > SLACK) last?.uses.push({ period, quantity: carried });
      left -= carried;
      const open = quantity - carried;
      if (open <= SLACK) return [];
      for (const offer of byPrice) {
        const bought = covering(offer, open);
        const arrives = bought === null ? null : arrivalFor(input, offer, period);
        if (bought === null || arrives === null) continue;
        if (period - arrives > (item.shelfLifePeriods ?? Number.POSITIVE_INFINITY)) continue;
        const uses = [{ period, quantity: open }];
        left = bought - open;
        last = { uses, keepsUntil: arrives + (item.shelfLifePeriods ?? Number.POSITIVE_INFINITY) };
        return [{ item, offer, arrives, quantity: bought, buyer: 'all', uses }];
      }
      return [null];
    });
  });
}

/** One purchase for all uses, or, where none can come in time for the first, the first by itself. */
function purchases(
  input: OrderPlanInput,
  item: PlanItemInput,
  uses: Uses,
  buyer: string,
): (Purchase | null)[] {
  const whole = cheapestPurchase(input, item, uses, buyer);
  if (whole !== null || uses.length === 1) return [whole];
  return [
    cheapestPurchase(input, item, uses.slice(0, 1), buyer),
    ...purchases(input, item, uses.slice(1), buyer),
  ];
}

function cheapestPurchase(
  input: OrderPlanInput,
  item: PlanItemInput,
  uses: Uses,
  buyer: string,
): Purchase | null {
  const need = uses.reduce((sum, { quantity }) => sum + quantity, 0);
  const first = uses[0]?.period ?? 1;
  let best: { purchase: Purchase; cost: number } | null = null;
  for (const offer of item.offers) {
    const quantity = covering(offer, need);
    const arrives = arrivalFor(input, offer, first);
    if (quantity === null || arrives === null) continue;
    const last = uses.at(-1)?.period ?? first;
    if (item.shelfLifePeriods !== undefined && last - arrives > item.shelfLifePeriods) continue;
    const cost = priceOf(offer, quantity) + orderCostOf(offer, arrives);
    if (best && best.cost <= cost) continue;
    best = { purchase: { item, offer, arrives, quantity, buyer, uses }, cost };
  }
  return best?.purchase ?? null;
}

/** The last period by which an offer can bring goods for a need of a period. */
function arrivalFor(input: OrderPlanInput, offer: PlanOffer, period: number): number | null {
  const { leadPeriods = 0, validFromPeriod = 1, blockedArrivalPeriods = [] } = offer;
  const last = Math.min(
    period,
    offer.latestArrivalPeriod ?? period,
    (offer.validUntilPeriod ?? input.periodCount) + leadPeriods,
  );
  for (let arrives = last; arrives >= validFromPeriod + leadPeriods; arrives -= 1) {
    if (!blockedArrivalPeriods.includes(arrives)) return arrives;
  }
  return null;
}

function covering(offer: PlanOffer, need: number): number | null {
  const { packSize, minimumQuantity = 0, maximumQuantity } = offer;
  const wanted = Math.max(need, minimumQuantity);
  const quantity =
    packSize === undefined ? wanted : Math.ceil(wanted / packSize - SLACK) * packSize;
  return quantity > (maximumQuantity ?? Number.POSITIVE_INFINITY) + SLACK ? null : quantity;
}
