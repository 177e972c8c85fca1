import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

/** An offer that may hold on some day of the season, withdrawn ones left out. */
export interface SeasonOffer {
  readonly id: string;
  readonly supplierId: string;
  readonly supplierCode: string;
  readonly materialId: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly pricePerPack: string;
  readonly currency: string;
  readonly minimumPacks: number;
  readonly maximumPacks: number | null;
  readonly orderCost: string;
  readonly priceBreaks: readonly PriceBreak[];
  readonly breakRule: BreakRule | null;
  readonly leadDays: number;
  readonly validFrom: string;
  readonly validUntil: string;
}

export interface SeasonDelivery {
  readonly id: string;
  readonly supplierId: string;
  readonly villageId: string;
  readonly costPerTrip: string;
  readonly costPerKm: string;
  readonly roadKm: number;
  readonly payloadKg: number;
  readonly deliveryWeekdays: readonly number[];
  readonly validFrom: string;
  readonly validUntil: string;
}

export interface SeasonMaterial {
  readonly id: string;
  readonly code: string;
  readonly name: string;
  readonly unitCode: string;
  readonly massKgPerUnit: number | null;
  readonly storageM2PerUnit: number | null;
  readonly shelfLifeDays: number | null;
}

export interface SeasonVillage {
  readonly id: string;
  readonly code: string;
  readonly name: string;
  readonly reachableMonths: readonly number[];
  /** Floor of the stores that stand in it, for what comes; null when none is known. What lies there now
   * is taken to leave as the stages that it covers begin. */
  readonly floorM2: number | null;
}

export interface Market {
  readonly offers: readonly SeasonOffer[];
  readonly deliveries: readonly SeasonDelivery[];
  readonly materials: ReadonlyMap<string, SeasonMaterial>;
  readonly villages: ReadonlyMap<string, SeasonVillage>;
}

const OFFERS_SQL = `
  select o.id, o.supplier_id as "supplierId", s.code as "supplierCode", o.material_id as "materialId",
    o.pack_code as "packCode", o.pack_content as "packContent", o.price_per_pack as "pricePerPack",
    o.currency, o.minimum_packs as "minimumPacks", o.maximum_packs as "maximumPacks",
    o.order_cost as "orderCost", o.price_breaks as "priceBreaks", o.break_rule as "breakRule",
    o.lead_days as "leadDays", o.valid_from as "validFrom",
    least(o.valid_until, coalesce(o.withdrawn_on - 1, o.valid_until)) as "validUntil"
  from offer o join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
  where o.organisation_id = $1 and o.material_id = any($2) and o.valid_from <= $4 and o.valid_until >= $3
    and (o.withdrawn_on is null or o.withdrawn_on > $3)
  order by o.id`;

const DELIVERIES_SQL = `
  select id, supplier_id as "supplierId", village_id as "villageId", cost_per_trip as "costPerTrip",
    cost_per_km as "costPerKm", road_km as "roadKm", payload_kg as "payloadKg",
    delivery_weekdays as "deliveryWeekdays", valid_from as "validFrom",
    least(valid_until, coalesce(withdrawn_on - 1, valid_until)) as "validUntil"
  from delivery_offer
  where organisation_id = $1 and currency = $2 and valid_from <= $4 and valid_until >= $3
    and (withdrawn_on is null or withdrawn_on > $3)
  order by id`;

const MATERIALS_SQL = `
  select id, code, name, unit_code as "unitCode", mass_kg_per_unit as "massKgPerUnit",
    storage_m2_per_unit as "storageM2PerUnit", shelf_life_days as "shelfLifeDays"
  from material where organisation_id = $1 and id = any($2)`;

const VILLAGES_SQL = `
  select v.id, v.code, v.name, v.reachable_months as "reachableMonths", room.floor as "floorM2"
  from village v
    left join lateral (
      select sum(s.floor_area_m2) as floor from store s
      where s.organisation_id = v.organisation_id and s.village_id = v.id) room on true
  where v.organisation_id = $1 and v.id = any($2)`;

export interface MarketScope {
  readonly materialIds: readonly string[];
  readonly villageIds: readonly string[];
  readonly currency: string;
  readonly from: string;
  readonly until: string;
}

/** Everything that can be bought for a season, from whom, and how it comes. */
export async function readMarket(tx: Tx, scope: MarketScope): Promise<Market> {
  const { materialIds, villageIds, currency, from, until } = scope;
  const org = tx.organisationId;
  const offers = await tx.sql<SeasonOffer>(OFFERS_SQL, [org, materialIds, from, until]);
  const deliveries = await tx.sql<SeasonDelivery>(DELIVERIES_SQL, [org, currency, from, until]);
  const materials = await tx.sql<SeasonMaterial>(MATERIALS_SQL, [org, materialIds]);
  const villages = await tx.sql<SeasonVillage>(VILLAGES_SQL, [org, villageIds]);
  return {
    offers: offers.map((offer) => ({
      ...offer,
      packContent: quantityText(offer.packContent),
      pricePerPack: quantityText(offer.pricePerPack),
      orderCost: quantityText(offer.orderCost),
    })),
    deliveries: deliveries.map((delivery) => ({
      ...delivery,
      costPerTrip: quantityText(delivery.costPerTrip),
      costPerKm: quantityText(delivery.costPerKm),
    })),
    materials: new Map(materials.map((row) => [row.id, row])),
    villages: new Map(villages.map((row) => [row.id, row])),
  };
}
