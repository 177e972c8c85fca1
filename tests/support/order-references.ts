import type { OrderPlanInput, PlanOffer } from '../../shared/index.ts';

const priceOf = (offer: PlanOffer, quantity: number): number => {
  const steps = [{ fromQuantity: 0, unitCost: offer.unitCost }, ...(offer.priceBreaks ?? [])];
  if (offer.breakRule !== 'incremental') {
    return quantity * (steps.findLast((step) => step.fromQuantity <= quantity)?.unitCost ?? 0);
  }
  let cost = 0;
  for (let unit = 1; unit <= quantity; unit += 1) {
    cost += steps.findLast((step) => step.fromQuantity < unit)?.unitCost ?? 0;
  }
  return cost;
};

const orderCostOf = (offer: PlanOffer, period: number): number =>
  typeof offer.orderCost === 'number' ? offer.orderCost : (offer.orderCost[period - 1] ?? 0);

/** Quantities that an offer sells, up to a most, all whole. */
function quantitiesOf(offer: PlanOffer, most: number): number[] {
  const step = offer.packSize ?? 1;
  const found = [0];
  for (let quantity = step; quantity <= most; quantity += step) {
    if (quantity < (offer.minimumQuantity ?? 0)) continue;
    if (quantity <= (offer.maximumQuantity ?? Number.POSITIVE_INFINITY)) found.push(quantity);
  }
  return found;
}

interface Arrival {
  readonly period: number;
  readonly quantity: number;
}

/**
 * Least cost of one item by a dynamic programme over what is on hand, by age: every whole quantity of
 * every offer is tried in every period, and the oldest goods serve first. Apart from the engine: no
 * shares of demand, no solver. Whole demands and limits; one unit is the smallest quantity.
 *
 * @returns infinity when a demand cannot be met
 */
export function leastCostByStates(input: OrderPlanInput): number {
  const [item] = input.items;
  if (item === undefined || input.items.length > 1) throw new Error('one item only');
  // goods that keep have no age: one box for all
  const doesAge = item.shelfLifePeriods !== undefined;
  const life = item.shelfLifePeriods ?? 0;
  const most = item.demand.reduce((sum, d) => sum + d, 0);
  // as much more as a pack, a minimum or a break may ask for
  const largest = Math.max(
    0,
    ...item.offers.map(
      ({ packSize = 1, minimumQuantity = 0, priceBreaks = [] }) =>
        packSize + minimumQuantity + Math.max(0, ...priceBreaks.map((one) => one.fromQuantity)),
    ),
  );
  // on hand by age, the youngest first, those past their life at the end; then what is on its way
  type State = { readonly ages: readonly number[]; readonly coming: readonly Arrival[] };
  const start: State = { ages: Array.from({ length: life + 2 }, () => 0), coming: [] };
  const ageless = item.openingStock ?? 0;
  if (ageless > 0 && item.shelfLifePeriods !== undefined)
    throw new Error('opening stock is ageless');
  let states = new Map<string, { state: State; cost: number }>([
    [
      '',
      { state: { ...start, ages: start.ages.map((_, age) => (age === 0 ? ageless : 0)) }, cost: 0 },
    ],
  ]);
  for (let period = 1; period <= input.periodCount; period += 1) {
    let now = [...states.values()];
    for (const offer of item.offers) {
      const arrives = period + (offer.leadPeriods ?? 0);
      const isOpen =
        arrives <= Math.min(input.periodCount, offer.latestArrivalPeriod ?? input.periodCount) &&
        !(offer.blockedArrivalPeriods ?? []).includes(arrives) &&
        period >= (offer.validFromPeriod ?? 1) &&
        period <= (offer.validUntilPeriod ?? input.periodCount);
      if (!isOpen) continue;
      now = now.flatMap(({ state, cost }) =>
        quantitiesOf(offer, most + largest).map((quantity) => ({
          state:
            quantity === 0
              ? state
              : { ...state, coming: [...state.coming, { period: arrives, quantity }] },
          cost:
            quantity === 0 ? cost : cost + priceOf(offer, quantity) + orderCostOf(offer, period),
        })),
      );
    }
    states = new Map();
    for (const { state, cost } of now) {
      const ages = [...state.ages];
      for (const { period: arrives, quantity } of state.coming) {
        if (arrives === period) ages[0] = (ages[0] ?? 0) + quantity;
      }
      let open = item.demand[period - 1] ?? 0;
      for (let age = life; age >= 0 && open > 0; age -= 1) {
        const taken = Math.min(open, ages[age] ?? 0);
        ages[age] = (ages[age] ?? 0) - taken;
        open -= taken;
      }
      if (open > 0) continue;
      const onHand = ages.reduce((sum, quantity) => sum + quantity, 0);
      if (onHand > most + largest) continue;
      const older = ages.map((quantity, age) => {
        if (!doesAge) return quantity;
        if (age === life + 1) return quantity + (ages[life] ?? 0);
        return age === 0 ? 0 : (ages[age - 1] ?? 0);
      });
      const coming = state.coming.filter((one) => one.period > period);
      const key = JSON.stringify([older, coming]);
      const held = cost + onHand * item.holdingCostPerUnit;
      if (held < (states.get(key)?.cost ?? Number.POSITIVE_INFINITY)) {
        states.set(key, { state: { ages: older, coming }, cost: held });
      }
    }
  }
  return Math.min(Number.POSITIVE_INFINITY, ...[...states.values()].map(({ cost }) => cost));
}

/**
 * Least cost of a few items with joint limits, by trying every combination of packs of every offer in
 * every period. Every offer must have packs; an order holds at most `mostPacks`.
 */
export function leastCostByTrial(input: OrderPlanInput, mostPacks: number): number {
  const { periodCount, items, trips = [], storage = [], cashLimits } = input;
  const choices = items.flatMap((item, itemIndex) =>
    item.offers.flatMap((offer) =>
      Array.from({ length: periodCount }, (_, index) => ({
        item,
        itemIndex,
        offer,
        period: index + 1,
      })).filter(({ period }) => period + (offer.leadPeriods ?? 0) <= periodCount),
    ),
  );
  let best = Number.POSITIVE_INFINITY;
  const packs = choices.map(() => 0);
  const judge = (): void => {
    const spent = Array.from({ length: periodCount }, () => 0);
    const mass = new Map<string, number>();
    const arrivals = items.map(() => Array.from({ length: periodCount }, () => 0));
    let cost = 0;
    for (const [index, { item, itemIndex, offer, period }] of choices.entries()) {
      const quantity = (packs[index] ?? 0) * (offer.packSize ?? 1);
      if (quantity === 0) continue;
      if (quantity < (offer.minimumQuantity ?? 0)) return;
      if (quantity > (offer.maximumQuantity ?? Number.POSITIVE_INFINITY)) return;
      const paid = priceOf(offer, quantity) + orderCostOf(offer, period);
      cost += paid;
      spent[period - 1] = (spent[period - 1] ?? 0) + paid;
      const arrives = period + (offer.leadPeriods ?? 0);
      const own = arrivals[itemIndex];
      if (own) own[arrives - 1] = (own[arrives - 1] ?? 0) + quantity;
      if (offer.tripGroupId === undefined) continue;
      const key = `${offer.tripGroupId} ${arrives}`;
      mass.set(key, (mass.get(key) ?? 0) + quantity * (item.massKgPerUnit ?? 0));
    }
    for (const [key, kg] of mass) {
      const [groupId, arrives] = key.split(' ');
      const group = trips.find(({ id }) => id === groupId);
      const count = Math.ceil(kg / (group?.payloadKg ?? 1));
      if (count > (group?.maximumTripsPerPeriod ?? Number.POSITIVE_INFINITY)) return;
      const paid = count * (group?.costPerTrip ?? 0);
      cost += paid;
      spent[Number(arrives) - 1] = (spent[Number(arrives) - 1] ?? 0) + paid;
    }
    if (cashLimits !== undefined) {
      let [have, used] = [0, 0];
      for (const [index, cash] of cashLimits.entries()) {
        have = (input.doesCashCarryOver ? have : 0) + cash;
        used = (input.doesCashCarryOver ? used : 0) + (spent[index] ?? 0);
        if (used > have + 1e-9) return;
      }
    }
    const stock = items.map((item) => item.openingStock ?? 0);
    for (let period = 1; period <= periodCount; period += 1) {
      for (const [index, item] of items.entries()) {
        const left =
          (stock[index] ?? 0) +
          (arrivals[index]?.[period - 1] ?? 0) -
          (item.demand[period - 1] ?? 0);
        if (left < -1e-9) return;
        stock[index] = left;
        cost += left * item.holdingCostPerUnit;
      }
      for (const { id, capacityUnits } of storage) {
        const room = items.reduce(
          (sum, { storageUse }, index) =>
            storageUse?.storageId === id ? sum + storageUse.perUnit * (stock[index] ?? 0) : sum,
          0,
        );
        const most =
          typeof capacityUnits === 'number' ? capacityUnits : (capacityUnits[period - 1] ?? 0);
        if (room > most + 1e-9) return;
      }
    }
    best = Math.min(best, cost);
  };
  const choose = (at: number): void => {
    if (at === choices.length) {
      judge();
      return;
    }
    for (let count = 0; count <= mostPacks; count += 1) {
      packs[at] = count;
      choose(at + 1);
    }
    packs[at] = 0;
  };
  choose(0);
  return best;
}
