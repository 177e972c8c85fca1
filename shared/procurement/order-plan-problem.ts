import { EngineError } from '../errors.ts';
import { type DatedSupply, serveFirstExpiring } from './first-expiring.ts';
import { microDown, microUp, ORDER_PLAN_LIMITS, perPeriod } from './order-plan-limits.ts';
import { offerSlots, type PlanSlot } from './order-plan-slots.ts';
import type { OrderPlanInput, PlanItemInput, TripGroup } from './order-plan-types.ts';
import { requireOrderPlanInput } from './order-plan-validity.ts';

/** An item in millionths of its unit; lists run from period 1. */
export interface PlanItem {
  readonly itemIndex: number;
  readonly id: string;
  readonly demandMicro: readonly number[];
  /** Opening stock and open receipts by the period from which they are there. */
  readonly fixedMicro: readonly number[];
  /** What orders, and supplies that are still to be assigned, must serve. */
  readonly netMicro: readonly number[];
  /** Fixed supplies whose use the plan decides; empty where it is clear beforehand. */
  readonly supplies: readonly DatedSupply[];
  readonly holdingCostPerUnit: number;
  readonly shelfLifePeriods: number | undefined;
  readonly slots: readonly PlanSlot[];
  readonly massKgPerUnit: number;
  readonly storageIndex: number | null;
  readonly storagePerUnit: number;
}

export interface PlanProblem {
  readonly periodCount: number;
  readonly items: readonly PlanItem[];
  /** Null without a limit. */
  readonly cash: readonly number[] | null;
  readonly doesCashCarryOver: boolean;
  readonly trips: readonly TripGroup[];
  /** Capacity of each storage class by period. */
  readonly storage: readonly (readonly number[])[];
  readonly changePerOrder: number;
  readonly changePerUnit: number;
  /** The search may end when a plan is proved within this share of the best. */
  readonly gapRatio: number;
}

/** Name of an offer within its item. */
const offerKey = (offer: { supplierId: string; offerId?: string | undefined }): string =>
  JSON.stringify([offer.supplierId, offer.offerId ?? null]);

function fixedSupplies(input: OrderPlanInput, item: PlanItemInput): DatedSupply[] {
  const { periodCount, openReceipts = [] } = input;
  const supplies = openReceipts
    .filter(({ itemId }) => itemId === item.id)
    .map(({ arrivesInPeriod, quantity, lastPeriod }) => ({
      arrives: arrivesInPeriod,
      lastPeriod: Math.min(
        periodCount,
        lastPeriod ?? arrivesInPeriod + (item.shelfLifePeriods ?? periodCount),
      ),
      quantity: microDown(quantity),
    }));
  const opening = {
    arrives: 1,
    lastPeriod: periodCount,
    quantity: microDown(item.openingStock ?? 0),
  };
  return [opening, ...supplies].filter(({ quantity }) => quantity > 0);
}

function planItem(input: OrderPlanInput, item: PlanItemInput, itemIndex: number): PlanItem {
  const { periodCount, keep = [], trips = [], storage = [], changePenalty } = input;
  const demandMicro = item.demand.map(microUp);
  const supplies = fixedSupplies(input, item);
  const fixedMicro = demandMicro.map((_, index) =>
    supplies.reduce(
      (sum, { arrives, quantity }) => sum + (arrives === index + 1 ? quantity : 0),
      0,
    ),
  );
  // what keeps for ever can wait, so that the stock there is serves first; where goods bought
  // expire too, the plan decides which go first
  const isClear = item.shelfLifePeriods === undefined || item.shelfLifePeriods >= periodCount;
  const netMicro = isClear ? serveFirstExpiring(demandMicro, supplies).uncovered : demandMicro;
  const doesWeigh = (changePenalty?.perOrder ?? 0) > 0 || (changePenalty?.perUnit ?? 0) > 0;
  const kept = new Map<string, number>();
  for (const order of doesWeigh ? keep : []) {
    if (order.itemId !== item.id) continue;
    kept.set(`${offerKey(order)} ${order.placedInPeriod}`, microUp(order.quantity));
  }
  const slots = item.offers.flatMap((offer, offerIndex) => {
    const tripIndex = trips.findIndex(({ id }) => id === offer.tripGroupId);
    return offerSlots(offer, offerIndex, `items[${itemIndex}].offers[${offerIndex}]`, {
      periodCount,
      shelfLifePeriods: item.shelfLifePeriods,
      netMicro,
      keptMicro: (placed) => kept.get(`${offerKey(offer)} ${placed}`) ?? 0,
      tripIndex: tripIndex < 0 ? null : tripIndex,
    });
  });
  const storageIndex = storage.findIndex(({ id }) => id === item.storageUse?.storageId);
  return {
    itemIndex,
    id: item.id,
    demandMicro,
    fixedMicro,
    netMicro,
    supplies: isClear ? [] : supplies,
    holdingCostPerUnit: item.holdingCostPerUnit,
    shelfLifePeriods: item.shelfLifePeriods,
    slots,
    massKgPerUnit: item.massKgPerUnit ?? 0,
    storageIndex: storageIndex < 0 ? null : storageIndex,
    storagePerUnit: item.storageUse?.perUnit ?? 0,
  };
}

/**
 * The ordering problem in whole millionths of a unit, with every order that could be placed.
 * Demands are rounded up to a millionth, stock and maxima down.
 *
 * @throws {EngineError} naming the field, such as `items[0].offers[1].packSize`
 * @source order-plan-own
 */
export function planProblem(input: OrderPlanInput): PlanProblem {
  requireOrderPlanInput(input);
  const items = input.items.map((item, index) => planItem(input, item, index));
  const possibleOrders = items.reduce((sum, { slots }) => sum + slots.length, 0);
  if (possibleOrders > ORDER_PLAN_LIMITS.possibleOrders) {
    const limit = `${ORDER_PLAN_LIMITS.possibleOrders} offers times periods are the most`;
    throw new EngineError('out-of-range', 'items', possibleOrders, limit);
  }
  return {
    periodCount: input.periodCount,
    items,
    cash: input.cashLimits ?? null,
    doesCashCarryOver: input.doesCashCarryOver ?? false,
    trips: input.trips ?? [],
    storage: (input.storage ?? []).map(({ capacityUnits }) =>
      perPeriod(capacityUnits, input.periodCount),
    ),
    changePerOrder: input.keep === undefined ? 0 : (input.changePenalty?.perOrder ?? 0),
    changePerUnit: input.keep === undefined ? 0 : (input.changePenalty?.perUnit ?? 0),
    gapRatio: input.gapRatio ?? 0,
  };
}
