import { MICRO } from './order-plan-limits.ts';
import type { PlanPart } from './order-plan-parts.ts';
import { goodsCost } from './order-plan-slots.ts';
import type {
  KeptOrder,
  OrderPlan,
  OrderPlanInput,
  PlanCosts,
  PlannedOrder,
  PlannedTrips,
} from './order-plan-types.ts';
import { type PartOrders, partUsage, stockMicro } from './order-plan-usage.ts';

/** Costs are given to a millionth. */
export const roundedCost = (cost: number): number =>
  Math.abs(cost) < 1e9 ? Math.round(cost * 1e6) / 1e6 : cost;

function plannedOrders(input: OrderPlanInput, part: PlanPart, orders: PartOrders): PlannedOrder[] {
  return part.items.flatMap((item, at) =>
    item.slots.flatMap((slot, index): PlannedOrder[] => {
      const micro = orders[at]?.[index] ?? 0;
      const offer = input.items[item.itemIndex]?.offers[slot.offerIndex];
      if (micro === 0 || offer === undefined) return [];
      return [
        {
          itemId: item.id,
          supplierId: offer.supplierId,
          ...(offer.offerId === undefined ? {} : { offerId: offer.offerId }),
          placedInPeriod: slot.placed,
          arrivesInPeriod: slot.arrives,
          quantity: micro / MICRO,
          ...(slot.packMicro === null ? {} : { packCount: Math.round(micro / slot.packMicro) }),
          cost: roundedCost(goodsCost(slot, micro) + slot.orderCost),
        },
      ];
    }),
  );
}

const keyOf = (order: KeptOrder): string =>
  JSON.stringify([order.itemId, order.supplierId, order.offerId ?? null, order.placedInPeriod]);

/**
 * What orders differ from those of an earlier plan, weighed: for each that is dropped or added, and
 * for each unit more or less; 0 when no earlier plan is given.
 *
 * @source order-plan-own
 */
export function changeCostOf(
  { keep, changePenalty }: Pick<OrderPlanInput, 'keep' | 'changePenalty'>,
  orders: readonly KeptOrder[],
): number {
  if (keep === undefined) return 0;
  const { perOrder = 0, perUnit = 0 } = changePenalty ?? {};
  const before = new Map(keep.map((order) => [keyOf(order), order.quantity]));
  const now = new Map(orders.map((order) => [keyOf(order), order.quantity]));
  let cost = 0;
  for (const key of new Set([...before.keys(), ...now.keys()])) {
    const [was = 0, is = 0] = [before.get(key), now.get(key)];
    // quantities are planned in millionths
    if (Math.abs(was - is) > 1.5 / MICRO) cost += perUnit * Math.abs(was - is);
    if (was > 0 !== is > 0) cost += perOrder;
  }
  return roundedCost(cost);
}

export type PlanFound = Pick<
  OrderPlan,
  'orders' | 'trips' | 'stockAtEnd' | 'costs' | 'totalCost' | 'changeCost'
>;

/**
 * Orders of all parts as a plan, its costs added up from the orders themselves.
 *
 * @source order-plan-own
 */
export function planFound(
  input: OrderPlanInput,
  solved: readonly { readonly part: PlanPart; readonly orders: PartOrders }[],
): PlanFound {
  const costs = { goods: 0, ordering: 0, holding: 0, trips: 0 };
  const orders: PlannedOrder[] = [];
  const trips: PlannedTrips[] = [];
  const stock = new Map<string, number[]>();
  for (const { part, orders: own } of solved) {
    const usage = partUsage(part, own);
    for (const kind of ['goods', 'ordering', 'holding', 'trips'] as const) {
      costs[kind] += usage.costs[kind];
    }
    orders.push(...plannedOrders(input, part, own));
    for (const { tripIndex, arrives, massKg, tripCount } of usage.tripLoads) {
      const group = part.limits.trips[tripIndex];
      if (group === undefined) continue;
      trips.push({
        tripGroupId: group.id,
        arrivesInPeriod: arrives,
        tripCount,
        massKg: roundedCost(massKg),
        cost: roundedCost(tripCount * group.costPerTrip),
      });
    }
    for (const [at, item] of part.items.entries()) {
      stock.set(
        item.id,
        stockMicro(item, own[at] ?? []).map((micro) => micro / MICRO),
      );
    }
  }
  const itemOrder = new Map(input.items.map(({ id }, index) => [id, index]));
  orders.sort(
    (a, b) =>
      a.placedInPeriod - b.placedInPeriod ||
      (itemOrder.get(a.itemId) ?? 0) - (itemOrder.get(b.itemId) ?? 0) ||
      a.arrivesInPeriod - b.arrivesInPeriod,
  );
  trips.sort((a, b) => a.arrivesInPeriod - b.arrivesInPeriod);
  const rounded: PlanCosts = {
    goods: roundedCost(costs.goods),
    ordering: roundedCost(costs.ordering),
    holding: roundedCost(costs.holding),
    trips: roundedCost(costs.trips),
  };
  const paid = [...orders, ...trips].reduce((sum, { cost }) => sum + cost, 0);
  return {
    orders,
    trips,
    stockAtEnd: input.items.map(({ id }) => ({
      itemId: id,
      quantityPerPeriod: stock.get(id) ?? [],
    })),
    costs: rounded,
    totalCost: roundedCost(paid + rounded.holding),
    changeCost: changeCostOf(input, orders),
  };
}
