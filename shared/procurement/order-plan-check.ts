import type {
  OrderPlan,
  OrderPlanInput,
  PlanItemInput,
  PlannedOrder,
  PlanOffer,
} from './order-plan-types.ts';

export interface PlanFault {
  /** Where it stands in the answer, such as `orders[2].quantity`. */
  readonly path: string;
  readonly message: string;
}

/** Part of a quantity, a limit or a cost by which rounding may miss it. Ours. */
const SLACK = 1e-6;

const isNear = (a: number, b: number): boolean =>
  Math.abs(a - b) <= SLACK * Math.max(1, Math.abs(a), Math.abs(b));
const isAtMost = (a: number, b: number): boolean => a <= b + SLACK * Math.max(1, Math.abs(b));

const at = (value: number | readonly number[], period: number): number =>
  typeof value === 'number' ? value : (value[period - 1] ?? Number.NaN);

function goodsPrice(offer: PlanOffer, quantity: number): number {
  const steps = [{ fromQuantity: 0, unitCost: offer.unitCost }, ...(offer.priceBreaks ?? [])];
  // a quantity planned in millionths may stand a millionth above a break that has more decimals
  const reached = steps.filter(({ fromQuantity }) => fromQuantity <= quantity + 1e-6);
  if (offer.breakRule !== 'incremental') return (reached.at(-1)?.unitCost ?? 0) * quantity;
  return reached.reduce((sum, { fromQuantity, unitCost }, index) => {
    const until = reached[index + 1]?.fromQuantity ?? quantity;
    return sum + unitCost * (until - fromQuantity);
  }, 0);
}

function orderFaults(
  order: PlannedOrder,
  offer: PlanOffer,
  periodCount: number,
): { field: string; message: string }[] {
  const faults: { field: string; message: string }[] = [];
  const fault = (field: keyof PlannedOrder, message: string) => faults.push({ field, message });
  const { placedInPeriod, arrivesInPeriod, quantity } = order;
  const first = offer.validFromPeriod ?? 1;
  const last = Math.min(periodCount, offer.validUntilPeriod ?? periodCount);
  if (!Number.isInteger(placedInPeriod) || placedInPeriod < first || placedInPeriod > last) {
    fault('placedInPeriod', `must be ${first} to ${last}`);
  }
  if (arrivesInPeriod !== placedInPeriod + (offer.leadPeriods ?? 0)) {
    fault('arrivesInPeriod', 'must be the period placed and the lead');
  }
  if (arrivesInPeriod > Math.min(periodCount, offer.latestArrivalPeriod ?? periodCount)) {
    fault('arrivesInPeriod', 'is too late');
  }
  if (offer.blockedArrivalPeriods?.includes(arrivesInPeriod)) {
    fault('arrivesInPeriod', 'is blocked');
  }
  if (!(quantity > 0)) fault('quantity', 'must be above 0');
  if (!isAtMost(offer.minimumQuantity ?? 0, quantity)) fault('quantity', 'is below the minimum');
  if (!isAtMost(quantity, offer.maximumQuantity ?? Number.POSITIVE_INFINITY)) {
    fault('quantity', 'is above the maximum');
  }
  if (offer.packSize !== undefined) {
    const packs = order.packCount ?? Number.NaN;
    if (!Number.isInteger(packs) || !isNear(packs * offer.packSize, quantity)) {
      fault('packCount', 'must be a whole number of packs that holds the quantity');
    }
  }
  if (!isNear(order.cost, goodsPrice(offer, quantity) + at(offer.orderCost, placedInPeriod))) {
    fault('cost', 'must be the price of the goods and the cost of ordering');
  }
  return faults;
}

interface Lot {
  left: number;
  readonly arrives: number;
  readonly lastPeriod: number;
}

/** Lots of an item, those that expire first in front. */
function lotsOf(
  input: OrderPlanInput,
  item: PlanItemInput,
  orders: readonly PlannedOrder[],
): Lot[] {
  const life = item.shelfLifePeriods ?? Number.POSITIVE_INFINITY;
  const opening = {
    left: item.openingStock ?? 0,
    arrives: 1,
    lastPeriod: Number.POSITIVE_INFINITY,
  };
  const receipts = (input.openReceipts ?? [])
    .filter(({ itemId }) => itemId === item.id)
    .map(({ quantity, arrivesInPeriod, lastPeriod }) => ({
      left: quantity,
      arrives: arrivesInPeriod,
      lastPeriod: lastPeriod ?? arrivesInPeriod + life,
    }));
  const bought = orders.map(({ quantity, arrivesInPeriod }) => ({
    left: quantity,
    arrives: arrivesInPeriod,
    lastPeriod: arrivesInPeriod + life,
  }));
  return [opening, ...receipts, ...bought].sort((a, b) => a.lastPeriod - b.lastPeriod);
}

/** Serves every need first expiring first, and follows the stock beside it. */
function itemFaults(
  input: OrderPlanInput,
  item: PlanItemInput,
  plan: OrderPlan,
): { faults: PlanFault[]; stock: number[] } {
  const faults: PlanFault[] = [];
  const lots = lotsOf(
    input,
    item,
    plan.orders.filter(({ itemId }) => itemId === item.id),
  );
  const scale = Math.max(1, ...item.demand);
  const stated = plan.stockAtEnd.find(({ itemId }) => itemId === item.id)?.quantityPerPeriod ?? [];
  const stock: number[] = [];
  let onHand = 0;
  for (const [index, need] of item.demand.entries()) {
    const period = index + 1;
    let open = need;
    for (const lot of lots) {
      if (lot.arrives === period) onHand += lot.left;
      if (lot.arrives > period || lot.lastPeriod < period) continue;
      const taken = Math.min(open, lot.left);
      lot.left -= taken;
      open -= taken;
    }
    const path = `stockAtEnd.${item.id}[${index}]`;
    if (open > SLACK * scale) faults.push({ path, message: `${open} of ${need} is not served` });
    onHand -= need;
    stock.push(onHand);
    if (
      !isNear(stated[index] ?? Number.NaN, onHand) &&
      Math.abs((stated[index] ?? Number.NaN) - onHand) > SLACK * scale * input.periodCount
    ) {
      faults.push({ path, message: `must be ${onHand}` });
    }
    if (Number.isNaN(stated[index] ?? Number.NaN)) faults.push({ path, message: 'is missing' });
  }
  return { faults, stock };
}

function tripFaults(input: OrderPlanInput, plan: OrderPlan): PlanFault[] {
  const faults: PlanFault[] = [];
  const masses = new Map<string, number>();
  for (const order of plan.orders) {
    const item = input.items.find(({ id }) => id === order.itemId);
    const offer = item?.offers.find(
      ({ supplierId, offerId }) => supplierId === order.supplierId && offerId === order.offerId,
    );
    if (offer?.tripGroupId === undefined) continue;
    const key = JSON.stringify([offer.tripGroupId, order.arrivesInPeriod]);
    masses.set(key, (masses.get(key) ?? 0) + order.quantity * (item?.massKgPerUnit ?? 0));
  }
  for (const [index, trip] of plan.trips.entries()) {
    const path = `trips[${index}]`;
    const group = (input.trips ?? []).find(({ id }) => id === trip.tripGroupId);
    const key = JSON.stringify([trip.tripGroupId, trip.arrivesInPeriod]);
    const massKg = masses.get(key) ?? Number.NaN;
    masses.delete(key);
    const most = group?.maximumTripsPerPeriod ?? Number.POSITIVE_INFINITY;
    if (!Number.isInteger(trip.tripCount) || trip.tripCount > most) {
      faults.push({ path: `${path}.tripCount`, message: `must be a whole number up to ${most}` });
    }
    if (!isNear(trip.massKg, massKg))
      faults.push({ path: `${path}.massKg`, message: `must be ${massKg}` });
    const load = massKg / (group?.payloadKg ?? Number.NaN);
    if (!isAtMost(load, trip.tripCount)) {
      faults.push({ path: `${path}.tripCount`, message: `${load} loads do not fit` });
    }
    if (!isNear(trip.cost, trip.tripCount * (group?.costPerTrip ?? Number.NaN))) {
      faults.push({ path: `${path}.cost`, message: 'must be trips times their cost' });
    }
  }
  for (const key of masses.keys()) {
    faults.push({ path: 'trips', message: `no trips are planned for ${key}` });
  }
  return faults;
}

function cashFaults(input: OrderPlanInput, plan: OrderPlan): PlanFault[] {
  const faults: PlanFault[] = [];
  const { cashLimits, doesCashCarryOver = false } = input;
  if (cashLimits === undefined) return faults;
  const most = Math.max(1, ...cashLimits);
  let [spent, limit] = [0, 0];
  for (const [index, cash] of cashLimits.entries()) {
    const own = [
      ...plan.orders.filter(({ placedInPeriod }) => placedInPeriod === index + 1),
      ...plan.trips.filter(({ arrivesInPeriod }) => arrivesInPeriod === index + 1),
    ].reduce((sum, { cost }) => sum + cost, 0);
    spent = (doesCashCarryOver ? spent : 0) + own;
    limit = (doesCashCarryOver ? limit : 0) + cash;
    if (spent > limit + SLACK * Math.max(most, limit)) {
      faults.push({
        path: 'orders',
        message: `${spent} is spent by period ${index + 1}, of ${limit}`,
      });
    }
  }
  return faults;
}

function storageFaults(input: OrderPlanInput, stocks: readonly number[][]): PlanFault[] {
  return (input.storage ?? []).flatMap(({ id, capacityUnits }) => {
    const needs = input.items.flatMap(({ storageUse, demand }) =>
      storageUse?.storageId === id ? [storageUse.perUnit * Math.max(...demand)] : [],
    );
    return Array.from({ length: input.periodCount }, (_, index): PlanFault[] => {
      const room = input.items.reduce(
        (sum, { storageUse }, item) =>
          storageUse?.storageId === id
            ? sum + storageUse.perUnit * (stocks[item]?.[index] ?? 0)
            : sum,
        0,
      );
      const most = at(capacityUnits, index + 1);
      // to a millionth of the room, or of what the largest need takes
      return room <= most + SLACK * Math.max(1, most, ...needs)
        ? []
        : [
            {
              path: `storage.${id}`,
              message: `${room} of ${most} at the end of period ${index + 1}`,
            },
          ];
    }).flat();
  });
}

function costFaults(
  input: OrderPlanInput,
  plan: OrderPlan,
  stocks: readonly number[][],
): PlanFault[] {
  const faults: PlanFault[] = [];
  const holding = input.items.reduce(
    (sum, { holdingCostPerUnit }, item) =>
      sum + holdingCostPerUnit * (stocks[item] ?? []).reduce((all, stock) => all + stock, 0),
    0,
  );
  const paid = [...plan.orders, ...plan.trips].reduce((sum, { cost }) => sum + cost, 0);
  const total = plan.totalCost ?? Number.NaN;
  // demands are planned in whole millionths, and so is each cost
  const rounding = input.items.reduce(
    (sum, { holdingCostPerUnit }) => sum + holdingCostPerUnit * input.periodCount ** 2,
    4 + plan.orders.length + plan.trips.length,
  );
  const isSame = (a: number, b: number): boolean =>
    isNear(a, b) || Math.abs(a - b) <= SLACK * rounding;
  if (!isSame(total, paid + holding)) {
    faults.push({ path: 'totalCost', message: `must be ${paid + holding}` });
  }
  const {
    goods,
    ordering,
    holding: held,
    trips,
  } = plan.costs ?? { goods: Number.NaN, ordering: 0, holding: 0, trips: 0 };
  if (!isSame(total, goods + ordering + held + trips)) {
    faults.push({ path: 'costs', message: 'must add up to the total cost' });
  }
  const bound = plan.lowerBound ?? Number.NaN;
  const objective = total + plan.changeCost;
  if (!(bound <= objective + 1e-9 * Math.max(1, Math.abs(objective)))) {
    faults.push({ path: 'lowerBound', message: 'must not be above the cost' });
  }
  const isClose = objective - bound <= 2e-6 * Math.max(1, objective);
  if (plan.status === 'optimal' && !isClose) {
    faults.push({ path: 'status', message: 'is optimal far from the bound' });
  }
  return faults;
}

/**
 * Faults of an order plan, found from the problem and the answer alone: each order by its offer, one
 * an offer and period; every need served, what expires first first; stock, cash, trips and storage;
 * costs worked out again from the orders. Limits may be exceeded by a millionth.
 *
 * @returns an empty list for a plan that holds, and for an answer without a plan that says why
 * @source order-plan-own
 */
export function checkOrderPlan(input: OrderPlanInput, plan: OrderPlan): PlanFault[] {
  if (plan.status === 'infeasible' || plan.status === 'unsolved') {
    const isSilent = plan.status === 'infeasible' && plan.shortfalls.length === 0;
    return isSilent ? [{ path: 'shortfalls', message: 'must name what cannot be met' }] : [];
  }
  const faults: PlanFault[] = [];
  const placed = new Set<string>();
  for (const [index, order] of plan.orders.entries()) {
    const path = `orders[${index}]`;
    const offer = input.items
      .find(({ id }) => id === order.itemId)
      ?.offers.find((o) => o.supplierId === order.supplierId && o.offerId === order.offerId);
    if (offer === undefined) {
      faults.push({ path, message: 'belongs to no offer' });
      continue;
    }
    const key = JSON.stringify([
      order.itemId,
      order.supplierId,
      order.offerId,
      order.placedInPeriod,
    ]);
    if (placed.has(key)) faults.push({ path, message: 'is a second order in the period' });
    placed.add(key);
    for (const { field, message } of orderFaults(order, offer, input.periodCount)) {
      faults.push({ path: `${path}.${field}`, message });
    }
  }
  const items = input.items.map((item) => itemFaults(input, item, plan));
  const stocks = items.map(({ stock }) => stock);
  return [
    ...faults,
    ...items.flatMap((item) => item.faults),
    ...tripFaults(input, plan),
    ...cashFaults(input, plan),
    ...storageFaults(input, stocks),
    ...costFaults(input, plan, stocks),
  ];
}
