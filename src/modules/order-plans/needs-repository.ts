import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import type { MaterialNeed } from '../../../shared/procurement/order-aggregation.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

export interface LockedProgramme {
  readonly code: string;
  readonly currency: string;
  readonly plan_count: number;
}

export interface AskedBuild {
  readonly id: string;
  readonly code: string;
  readonly cancelled_on: string | null;
}

export interface DatedOffer {
  readonly id: string;
  readonly supplier_id: string;
  readonly material_id: string;
  readonly unit_code: string;
  readonly pack_code: string;
  readonly pack_content: string;
  readonly price_per_pack: string;
  readonly currency: string;
  readonly minimum_packs: number;
  readonly maximum_packs: number | null;
  readonly order_cost: string;
  readonly price_breaks: readonly PriceBreak[];
  readonly break_rule: BreakRule | null;
  readonly lead_days: number;
  readonly valid_from: string;
  readonly valid_until: string;
}

// The lock comes first and alone, so that what follows sees the plans that others have committed.
const LOCK_PROGRAMME_SQL = `
  select id from programme where organisation_id = $1 and id = $2 for no key update`;

const PROGRAMME_SQL = `
  select code, currency, (select count(*) from order_plan
    where organisation_id = $1 and programme_id = $2) as plan_count
  from programme where organisation_id = $1 and id = $2`;

const BUILDS_SQL = `
  select id, code, cancelled_on from build
  where organisation_id = $1 and programme_id = $2 and id = any($3)`;

/**
 * Needs and what covers them stand in one list and are told apart by a window: a join of the two goes
 * through all pairs of builds and order lines while the tables are too fresh to have statistics.
 */
const OPEN_NEEDS_SQL = `
  with delivery as materialized (
    select o.order_plan_id, o.delivery_village_id, array_agg(l.material_id) as material_ids
    from purchase_order o
      join purchase_order_line l on l.organisation_id = o.organisation_id and l.order_id = o.id
    where o.organisation_id = $1 and o.programme_id = $2 and o.status <> 'cancelled'
    group by o.order_plan_id, o.delivery_village_id
  ),
  asked as (
    select id, village_id from build
    where organisation_id = $1 and programme_id = $2 and cancelled_on is null
      and ($3::uuid[] is null or id = any($3))
  ),
  entry as (
    select b.id as build_id, b.village_id, l.material_id, l.unit_code,
      l.with_waste_quantity as quantity, false as is_ordered
    from asked b
      join bill_line l on l.organisation_id = $1 and l.build_id = b.id
      join material m on m.organisation_id = $1 and m.id = l.material_id
    where not l.is_in_kind and m.category <> 'labour' and l.with_waste_quantity > 0
    union all
    select b.id, b.village_id, unnest(d.material_ids), null, 0, true
    from asked b
      join order_plan_build pb on pb.organisation_id = $1 and pb.build_id = b.id
      join delivery d on d.order_plan_id = pb.order_plan_id and d.delivery_village_id = b.village_id
  )
  select build_id as "buildId", village_id as "deliveryVillageId", material_id as "materialCode",
    unit_code as "unitCode", sum(quantity) as quantity
  from (
    select *, bool_or(is_ordered) over (partition by build_id, material_id) as is_covered from entry
  ) judged
  where not is_covered
  group by build_id, village_id, material_id, unit_code
  order by build_id, material_id`;

const OFFERS_SQL = `
  select o.id, o.supplier_id, o.material_id, m.unit_code, o.pack_code, o.pack_content, o.price_per_pack,
    o.currency, o.minimum_packs, o.maximum_packs, o.order_cost, o.price_breaks, o.break_rule,
    o.lead_days, o.valid_from, o.valid_until
  from offer o
    join material m on m.organisation_id = o.organisation_id and m.id = o.material_id
  where o.organisation_id = $1 and o.material_id = any($2)
    and (o.withdrawn_on is null or o.withdrawn_on > $3)
  order by o.id`;

/** The programme, held so that nobody else plans orders for it until the transaction ends. */
export async function lockProgramme(tx: Tx, id: string): Promise<LockedProgramme | null> {
  await tx.sql(LOCK_PROGRAMME_SQL, [tx.organisationId, id]);
  const [row] = await tx.sql<LockedProgramme>(PROGRAMME_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export async function programmeExists(tx: Tx, id: string): Promise<boolean> {
  return (await tx.sql(PROGRAMME_SQL, [tx.organisationId, id])).length > 0;
}

export const findBuilds = (
  tx: Tx,
  programmeId: string,
  buildIds: readonly string[],
): Promise<AskedBuild[]> =>
  tx.sql<AskedBuild>(BUILDS_SQL, [tx.organisationId, programmeId, buildIds]);

/**
 * What builds that are not cancelled need and no order covers: materials of their bills with waste,
 * without labour and gifts in kind. `materialCode` is the material's id.
 */
export async function openNeeds(
  tx: Tx,
  programmeId: string,
  buildIds: readonly string[] | null,
): Promise<MaterialNeed[]> {
  const rows = await tx.sql<MaterialNeed>(OPEN_NEEDS_SQL, [
    tx.organisationId,
    programmeId,
    buildIds,
  ]);
  return rows.map((row) => ({ ...row, quantity: quantityText(row.quantity) }));
}

/** Offers of these materials that are not withdrawn by that day, valid on it or not. */
export const offersFor = (
  tx: Tx,
  materialIds: readonly string[],
  pricedOn: string,
): Promise<DatedOffer[]> =>
  tx.sql<DatedOffer>(OFFERS_SQL, [tx.organisationId, materialIds, pricedOn]);
