import type {
  OrderPlanInput,
  PlanItemInput,
  PlanOffer,
  TripGroup,
} from '../../../shared/procurement/order-plan-types.ts';
import type { NetNeed } from '../material-needs/net-needs.ts';
import { type DeliveryWeeks, deliveryWeeks, type SeasonWeeks } from './delivery-weeks.ts';
import type { Market, SeasonDelivery, SeasonOffer } from './market-repository.ts';

const DAYS_PER_YEAR = 365;

export interface SeasonSettings {
  readonly currency: string;
  readonly dueDaysBeforeStage: number;
  readonly holdingRatePerYear: number;
  readonly ageAtArrivalDays: number;
  readonly gapRatio: number;
}

/** What a line of the plan has to be read back from. */
export interface OfferAtVillage {
  readonly offer: SeasonOffer;
  readonly delivery: SeasonDelivery | null;
  readonly weeks: DeliveryWeeks;
}

export interface SeasonItem {
  readonly materialId: string;
  readonly villageId: string;
  readonly unitCode: string;
  readonly input: PlanItemInput;
  readonly offers: ReadonlyMap<string, OfferAtVillage>;
  /** Offers for the material that cannot serve this village, with the reason. */
  readonly refused: readonly { readonly offer: SeasonOffer; readonly reason: string }[];
}

export interface SeasonProblem {
  readonly periodCount: number;
  readonly items: readonly SeasonItem[];
  readonly trips: readonly TripGroup[];
  readonly storage: NonNullable<OrderPlanInput['storage']>;
}

export const itemIdOf = (materialId: string, villageId: string) => `${materialId} ${villageId}`;

/** The season as the engine takes it: an item for each material and village that has a need. */
export function seasonProblem(
  needs: readonly NetNeed[],
  market: Market,
  weeks: SeasonWeeks,
  settings: SeasonSettings,
): SeasonProblem {
  const trips = new Map<string, TripGroup>();
  const byItem = new Map<string, NetNeed[]>();
  for (const need of needs) {
    if (need.netQuantity === '0') continue;
    const key = itemIdOf(need.materialId, need.villageId);
    const own = byItem.get(key);
    if (own) own.push(need);
    else byItem.set(key, [need]);
  }
  const items = [...byItem.values()].map((own) => seasonItem(own, market, weeks, settings, trips));
  const storage = [...market.villages.values()].flatMap(({ id, floorM2 }) =>
    floorM2 === null ? [] : [{ id, capacityUnits: floorM2 }],
  );
  return { periodCount: weeks.periodCount, items, trips: [...trips.values()], storage };
}

function seasonItem(
  needs: readonly NetNeed[],
  market: Market,
  weeks: SeasonWeeks,
  settings: SeasonSettings,
  trips: Map<string, TripGroup>,
): SeasonItem {
  const [first] = needs as [NetNeed];
  const { materialId, villageId, unitCode } = first;
  const material = market.materials.get(materialId);
  const village = market.villages.get(villageId);
  if (!material || !village) throw new Error(`A need names an unknown material or village`);
  const demand = Array.from({ length: weeks.periodCount }, () => 0);
  for (const { period, netQuantity } of needs) demand[period - 1] = Number(netQuantity);
  const refused: { offer: SeasonOffer; reason: string }[] = [];
  const offers = new Map<string, OfferAtVillage>();
  for (const offer of market.offers) {
    if (offer.materialId !== materialId) continue;
    if (offer.currency !== settings.currency) {
      refused.push({ offer, reason: `is in ${offer.currency}, not ${settings.currency}` });
      continue;
    }
    const delivery = deliveryOf(market, offer, villageId);
    if (delivery === 'not-delivered') {
      refused.push({ offer, reason: `${offer.supplierCode} does not deliver to ${village.code}` });
      continue;
    }
    offers.set(offer.id, {
      offer,
      delivery,
      weeks: deliveryWeeks(offer, delivery, village, weeks),
    });
  }
  const cheapest = Math.min(
    ...[...offers.values()].map(
      ({ offer }) => Number(offer.pricePerPack) / Number(offer.packContent),
    ),
  );
  const storagePerUnit = material.storageM2PerUnit ?? 0;
  return {
    materialId,
    villageId,
    unitCode,
    offers,
    refused,
    input: {
      id: itemIdOf(materialId, villageId),
      demand,
      holdingCostPerUnit: Number.isFinite(cheapest)
        ? (cheapest * settings.holdingRatePerYear * weeks.periodDays) / DAYS_PER_YEAR
        : 0,
      ...shelfLife(material.shelfLifeDays, weeks, settings),
      offers: [...offers.values()].map((at) => planOffer(at, villageId, trips)),
      massKgPerUnit: material.massKgPerUnit ?? 0,
      ...(village.floorM2 !== null && storagePerUnit > 0
        ? { storageUse: { storageId: villageId, perUnit: storagePerUnit } }
        : {}),
    },
  };
}

/** A supplier that names no delivery terms at all brings its goods at the price of the goods. */
function deliveryOf(market: Market, { supplierId }: SeasonOffer, villageId: string) {
  const own = market.deliveries.filter((delivery) => delivery.supplierId === supplierId);
  if (own.length === 0) return null;
  const there = own.filter((delivery) => delivery.villageId === villageId);
  const perKg = (delivery: SeasonDelivery) => tripCost(delivery) / delivery.payloadKg;
  return there.sort((a, b) => perKg(a) - perKg(b))[0] ?? ('not-delivered' as const);
}

/** What a trip of a delivery offer costs, its kilometres included. */
export const tripCost = ({ costPerTrip, costPerKm, roadKm }: SeasonDelivery): number =>
  Number(costPerTrip) + Number(costPerKm) * roadKm;

function planOffer(
  { offer, delivery, weeks }: OfferAtVillage,
  villageId: string,
  trips: Map<string, TripGroup>,
): PlanOffer {
  const content = Number(offer.packContent);
  const perUnit = (pricePerPack: string) => Number(pricePerPack) / content;
  const cost = delivery === null ? 0 : tripCost(delivery);
  const tripGroupId = `${offer.supplierId} ${villageId}`;
  if (delivery !== null && cost > 0) {
    trips.set(tripGroupId, { id: tripGroupId, costPerTrip: cost, payloadKg: delivery.payloadKg });
  }
  return {
    supplierId: offer.supplierId,
    offerId: offer.id,
    unitCost: perUnit(offer.pricePerPack),
    orderCost: Number(offer.orderCost),
    packSize: content,
    leadPeriods: weeks.leadPeriods,
    blockedArrivalPeriods: weeks.blockedPeriods,
    ...(offer.minimumPacks > 1 ? { minimumQuantity: offer.minimumPacks * content } : {}),
    ...(offer.maximumPacks === null ? {} : { maximumQuantity: offer.maximumPacks * content }),
    ...(offer.breakRule === null
      ? {}
      : {
          breakRule: offer.breakRule,
          priceBreaks: offer.priceBreaks.map(({ fromPacks, pricePerPack }) => ({
            fromQuantity: fromPacks * content,
            unitCost: perUnit(pricePerPack),
          })),
        }),
    ...(cost > 0 ? { tripGroupId } : {}),
  };
}

/**
 * Weeks that goods may serve after that of their arrival, so that none is past its life when the last
 * stage of a week starts.
 */
function shelfLife(
  shelfLifeDays: number | null,
  { periodDays }: SeasonWeeks,
  { ageAtArrivalDays, dueDaysBeforeStage }: SeasonSettings,
): { shelfLifePeriods?: number } {
  if (shelfLifeDays === null) return {};
  const usableDays = shelfLifeDays - ageAtArrivalDays - dueDaysBeforeStage + 1;
  return { shelfLifePeriods: Math.max(0, Math.floor(usableDays / periodDays) - 1) };
}

/** The problem as separate inputs of one village each, or as one when villages share their cash. */
export function problemInputs(
  problem: SeasonProblem,
  common: Pick<OrderPlanInput, 'cashLimits' | 'keep' | 'changePenalty'>,
): OrderPlanInput[] {
  const groups = new Map<string, SeasonItem[]>();
  for (const item of problem.items) {
    const key = common.cashLimits === undefined ? item.villageId : 'all';
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  return [...groups.values()].map((items) => {
    const groupIds = new Set(
      items.flatMap(({ input }) => input.offers.flatMap(({ tripGroupId }) => tripGroupId ?? [])),
    );
    const storageIds = new Set(items.flatMap(({ input }) => input.storageUse?.storageId ?? []));
    const itemIds = new Set(items.map(({ input }) => input.id));
    return {
      ...common,
      periodCount: problem.periodCount,
      items: items.map(({ input }) => input),
      trips: problem.trips.filter(({ id }) => groupIds.has(id)),
      storage: problem.storage.filter(({ id }) => storageIds.has(id)),
      ...(common.keep ? { keep: common.keep.filter(({ itemId }) => itemIds.has(itemId)) } : {}),
    };
  });
}
