import { EngineError } from '../errors.ts';
import {
  MICRO,
  ORDER_PLAN_LIMITS,
  requireCost,
  requireDistinct,
  requireNumber,
  requirePeriods,
  requireQuantity,
  requireWhole,
} from './order-plan-limits.ts';
import type { OrderPlanInput, PlanItemInput, PlanOffer } from './order-plan-types.ts';

function requireCount(name: string, count: number, least: number, most: number): void {
  if (count >= least && count <= most) return;
  throw new EngineError('out-of-range', name, count, `must hold ${least} to ${most}`);
}

function requirePack(name: string, packSize: number): void {
  requireNumber(name, packSize, 1 / MICRO, ORDER_PLAN_LIMITS.quantity);
  if (Math.abs(packSize * MICRO - Math.round(packSize * MICRO)) <= 1e-9 * packSize * MICRO) return;
  throw new EngineError('out-of-range', name, packSize, 'must have at most 6 decimals');
}

function requireBreaks(path: string, offer: PlanOffer): void {
  let before = { fromQuantity: 0, unitCost: offer.unitCost };
  for (const [index, one] of (offer.priceBreaks ?? []).entries()) {
    const at = `${path}.priceBreaks[${index}]`;
    requireQuantity(`${at}.fromQuantity`, one.fromQuantity);
    requireCost(`${at}.unitCost`, one.unitCost);
    if (one.fromQuantity < before.fromQuantity + 1 / MICRO) {
      const limit = `must be above ${before.fromQuantity}`;
      throw new EngineError('inconsistent', `${at}.fromQuantity`, one.fromQuantity, limit);
    }
    if (one.unitCost >= before.unitCost) {
      const limit = `must be below ${before.unitCost}`;
      throw new EngineError('inconsistent', `${at}.unitCost`, one.unitCost, limit);
    }
    before = one;
  }
}

function requireOffer(path: string, offer: PlanOffer, input: OrderPlanInput): void {
  const { periodCount, trips = [] } = input;
  requireCost(`${path}.unitCost`, offer.unitCost);
  if (typeof offer.orderCost === 'number') requireCost(`${path}.orderCost`, offer.orderCost);
  else {
    requirePeriods(`${path}.orderCost`, offer.orderCost, periodCount);
    for (const [index, cost] of offer.orderCost.entries()) {
      requireCost(`${path}.orderCost[${index}]`, cost);
    }
  }
  if (offer.packSize !== undefined) requirePack(`${path}.packSize`, offer.packSize);
  requireQuantity(`${path}.minimumQuantity`, offer.minimumQuantity ?? 0);
  requireQuantity(`${path}.maximumQuantity`, offer.maximumQuantity ?? 0);
  requireWhole(`${path}.leadPeriods`, offer.leadPeriods ?? 0, 0, 10_000);
  for (const field of ['validFromPeriod', 'validUntilPeriod', 'latestArrivalPeriod'] as const) {
    const value = offer[field];
    if (value !== undefined) requireWhole(`${path}.${field}`, value, 1, 10_000);
  }
  for (const [index, period] of (offer.blockedArrivalPeriods ?? []).entries()) {
    requireWhole(`${path}.blockedArrivalPeriods[${index}]`, period, 1, 10_000);
  }
  requireBreaks(path, offer);
  const { tripGroupId } = offer;
  if (tripGroupId !== undefined && !trips.some(({ id }) => id === tripGroupId)) {
    throw new EngineError('inconsistent', `${path}.tripGroupId`, tripGroupId, 'is not in trips');
  }
}

function requireItem(path: string, item: PlanItemInput, input: OrderPlanInput): void {
  requirePeriods(`${path}.demand`, item.demand, input.periodCount);
  for (const [index, value] of item.demand.entries()) {
    requireQuantity(`${path}.demand[${index}]`, value);
  }
  const total = item.demand.reduce((sum, value) => sum + value, 0);
  requireNumber(`${path}.demand`, total, 0, ORDER_PLAN_LIMITS.totalQuantity);
  requireQuantity(`${path}.openingStock`, item.openingStock ?? 0);
  requireCost(`${path}.holdingCostPerUnit`, item.holdingCostPerUnit);
  requireWhole(`${path}.shelfLifePeriods`, item.shelfLifePeriods ?? 0, 0, 10_000);
  requireNumber(`${path}.massKgPerUnit`, item.massKgPerUnit ?? 0, 0, 1e6);
  requireCount(`${path}.offers`, item.offers.length, 0, ORDER_PLAN_LIMITS.offersPerItem);
  requireDistinct(
    `${path}.offers.supplierId`,
    item.offers.map(({ supplierId, offerId }) =>
      offerId === undefined ? supplierId : `${supplierId}, offer ${offerId}`,
    ),
  );
  for (const [index, offer] of item.offers.entries()) {
    requireOffer(`${path}.offers[${index}]`, offer, input);
    if (offer.tripGroupId !== undefined && item.massKgPerUnit === undefined) {
      const limit = `is needed with tripGroupId ${offer.tripGroupId}`;
      throw new EngineError('missing-data', `${path}.massKgPerUnit`, undefined, limit);
    }
  }
  const { storageUse } = item;
  if (storageUse === undefined) return;
  requireNumber(`${path}.storageUse.perUnit`, storageUse.perUnit, 0, 1e6);
  if (!(input.storage ?? []).some(({ id }) => id === storageUse.storageId)) {
    const field = `${path}.storageUse.storageId`;
    throw new EngineError('inconsistent', field, storageUse.storageId, 'is not in storage');
  }
}

function requireJoint(input: OrderPlanInput): void {
  const { periodCount, cashLimits, trips = [], storage = [] } = input;
  if (cashLimits !== undefined) {
    requirePeriods('cashLimits', cashLimits, periodCount);
    for (const [index, cash] of cashLimits.entries()) {
      requireNumber(`cashLimits[${index}]`, cash, 0, 1e15);
    }
  }
  requireDistinct(
    'trips.id',
    trips.map(({ id }) => id),
  );
  for (const [index, trip] of trips.entries()) {
    requireCost(`trips[${index}].costPerTrip`, trip.costPerTrip);
    requireNumber(`trips[${index}].payloadKg`, trip.payloadKg, 1e-3, 1e9);
    requireWhole(`trips[${index}].maximumTripsPerPeriod`, trip.maximumTripsPerPeriod ?? 0, 0, 1e6);
  }
  requireDistinct(
    'storage.id',
    storage.map(({ id }) => id),
  );
  for (const [index, { capacityUnits }] of storage.entries()) {
    const path = `storage[${index}].capacityUnits`;
    if (typeof capacityUnits === 'number') requireNumber(path, capacityUnits, 0, 1e15);
    else {
      requirePeriods(path, capacityUnits, periodCount);
      for (const [at, value] of capacityUnits.entries()) {
        requireNumber(`${path}[${at}]`, value, 0, 1e15);
      }
    }
  }
}

function requireKnown(input: OrderPlanInput): void {
  const { periodCount, openReceipts = [], keep = [], changePenalty } = input;
  const ids = new Set(input.items.map(({ id }) => id));
  const requireItemId = (path: string, itemId: string): void => {
    if (!ids.has(itemId)) throw new EngineError('inconsistent', path, itemId, 'is not in items');
  };
  requireCount('openReceipts', openReceipts.length, 0, 20_000);
  const open = new Map<string, number>();
  for (const [index, receipt] of openReceipts.entries()) {
    const path = `openReceipts[${index}]`;
    requireItemId(`${path}.itemId`, receipt.itemId);
    requireWhole(`${path}.arrivesInPeriod`, receipt.arrivesInPeriod, 1, periodCount);
    requireQuantity(`${path}.quantity`, receipt.quantity);
    requireWhole(`${path}.lastPeriod`, receipt.lastPeriod ?? 0, 0, 10_000);
    const total = (open.get(receipt.itemId) ?? 0) + receipt.quantity;
    requireNumber(`${path}.quantity`, total, 0, ORDER_PLAN_LIMITS.totalQuantity);
    open.set(receipt.itemId, total);
  }
  requireCount('keep', keep.length, 0, 20_000);
  for (const [index, order] of keep.entries()) {
    const path = `keep[${index}]`;
    requireItemId(`${path}.itemId`, order.itemId);
    requireWhole(`${path}.placedInPeriod`, order.placedInPeriod, 1, periodCount);
    requireQuantity(`${path}.quantity`, order.quantity);
  }
  requireDistinct(
    'keep',
    keep.map(({ itemId, supplierId, offerId, placedInPeriod }) =>
      JSON.stringify([itemId, supplierId, offerId ?? null, placedInPeriod]),
    ),
  );
  requireCost('changePenalty.perOrder', changePenalty?.perOrder ?? 0);
  requireCost('changePenalty.perUnit', changePenalty?.perUnit ?? 0);
}

/**
 * Refuses an ordering problem that cannot be read: a number that is not finite or out of range, a
 * list of the wrong length, names that occur twice or nowhere, breaks that do not rise.
 *
 * @throws {EngineError} naming the field, its value and the limit
 * @source order-plan-own
 */
export function requireOrderPlanInput(input: OrderPlanInput): void {
  requireWhole('periodCount', input.periodCount, 1, ORDER_PLAN_LIMITS.periods);
  requireCount('items', input.items.length, 1, ORDER_PLAN_LIMITS.items);
  requireDistinct(
    'items.id',
    input.items.map(({ id }) => id),
  );
  requireJoint(input);
  for (const [index, item] of input.items.entries()) {
    requireItem(`items[${index}]`, item, input);
  }
  requireKnown(input);
}
