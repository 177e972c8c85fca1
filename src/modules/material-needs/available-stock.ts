import { AGE_AT_ARRIVAL_DAYS } from '../../../shared/contract/material-needs.ts';
import type { AvailableStock } from '../../../shared/procurement/stock-allocation.ts';
import { addDays, daysBetween } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import type { Horizon, NeedsScope } from './gross-needs.ts';

export interface SupplyOfMaterial extends AvailableStock {
  readonly materialId: string;
}

interface SupplyRow {
  readonly supply_id: string;
  readonly kind: AvailableStock['kind'];
  readonly material_id: string;
  readonly store_id: string | null;
  readonly village_id: string | null;
  readonly available_on: string | null;
  readonly usable_until: string | null;
  readonly quantity: string;
}

/** Lots that may be used, with the last day; a lot whose last test failed or that is recalled is not among them. */
const LOTS_SQL = `
  usable_lot as (
    select l.id, coalesce(test.usable_until, l.expires_on) as usable_until
    from stock_lot l
      left join lateral (
        select t.outcome, t.usable_until from lot_test t
        where t.organisation_id = l.organisation_id and t.lot_id = l.id
        order by t.tested_on desc, t.id desc limit 1) test on true
    where l.organisation_id = $1 and test.outcome is distinct from 'failed'
      and not exists (
        select from lot_recall r
        where r.organisation_id = l.organisation_id and r.lot_id = l.id and r.lifts_id is null
          and not exists (select from lot_recall u
            where u.organisation_id = r.organisation_id and u.lifts_id = r.id))
  )`;

/**
 * Everything that can serve without buying: what lies in stores above their safety stock, lots and the
 * rest that has none; orders and requisitions that are not settled; goods on the road between stores;
 * and what finished builds have to give back.
 */
const SUPPLIES_SQL = `
  with ${LOTS_SQL},
  in_store as (
    select b.store_id, b.material_id, b.lot_id, u.usable_until, b.quantity
    from stock_lot_balance b join usable_lot u on u.id = b.lot_id
    where b.organisation_id = $1 and b.quantity > 0
    union all
    select b.store_id, b.material_id, null, null, b.quantity - coalesce(sum(l.quantity), 0)
    from stock_balance b
      left join stock_lot_balance l on l.organisation_id = b.organisation_id
        and l.store_id = b.store_id and l.material_id = b.material_id
    where b.organisation_id = $1 and b.quantity > 0
    group by b.store_id, b.material_id, b.quantity
    having b.quantity > coalesce(sum(l.quantity), 0)
  ),
  above_safety as (
    select s.store_id, s.material_id, s.lot_id, s.usable_until,
      least(s.quantity, sum(s.quantity) over card - coalesce(f.quantity, 0)) as quantity
    from in_store s
      left join safety_stock f on f.organisation_id = $1 and f.store_id = s.store_id and f.material_id = s.material_id
    window card as (partition by s.store_id, s.material_id
      order by s.usable_until desc nulls first, s.lot_id rows between unbounded preceding and current row)
  ),
  keeping as (
    select id, shelf_life_days - $5::integer as days from material where organisation_id = $1
  ),
  ordered as (
    select l.id, l.material_id, o.delivery_village_id as village_id,
      coalesce(o.expected_on, o.needed_by, coalesce(o.placed_on, $3::date) + f.lead_days) as available_on,
      l.ordered_quantity - coalesce((select sum(e.quantity) from stock_entry e
        where e.organisation_id = $1 and e.order_line_id = l.id and e.kind = 'receive'), 0) as quantity
    from purchase_order o
      join purchase_order_line l on l.organisation_id = $1 and l.order_id = o.id
      join offer f on f.organisation_id = $1 and f.id = l.offer_id
    where o.organisation_id = $1 and o.programme_id = $2 and o.status in ('draft', 'placed', 'partly-received')
  ),
  requested as (
    select l.id, l.material_id, l.delivery_village_id as village_id, l.needed_by as available_on,
      l.pack_count * f.pack_content as quantity
    from requisition r
      join requisition_line l on l.organisation_id = $1 and l.requisition_id = r.id
      join offer f on f.organisation_id = $1 and f.id = l.offer_id
    where r.organisation_id = $1 and r.programme_id = $2 and r.status in ('requested', 'approved')
  ),
  on_the_road as (
    select l.id, l.material_id, d.to_store_id as store_id, u.usable_until, l.dispatched_quantity as quantity
    from stock_dispatch d
      join stock_dispatch_line l on l.organisation_id = $1 and l.dispatch_id = d.id
      left join usable_lot u on u.id = l.lot_id
    where d.organisation_id = $1 and (l.lot_id is null or u.id is not null)
      and not exists (select from stock_arrival a where a.organisation_id = $1 and a.dispatch_id = d.id)
  ),
  given_back as (
    select b.id, e.material_id, b.village_id, -sum(e.quantity) - coalesce((select sum(l.with_waste_quantity)
      from bill_line l where l.organisation_id = $1 and l.build_id = b.id and l.material_id = e.material_id), 0) as quantity
    from build b join stock_entry e on e.organisation_id = $1 and e.build_id = b.id and e.kind in ('issue', 'return')
    where b.organisation_id = $1 and b.programme_id = $2 and b.status = 'complete' and b.handed_over_on is null
    group by b.id, e.material_id, b.village_id
  ),
  supply as (
    select concat_ws(':', 'stock', a.store_id, a.material_id, a.lot_id) as supply_id, 'stock' as kind, a.material_id,
      a.store_id, s.village_id, null::date as available_on, a.usable_until, a.quantity
    from above_safety a join store s on s.organisation_id = $1 and s.id = a.store_id
    union all
    select 'order:' || o.id, 'open-order', o.material_id, null, o.village_id, o.available_on,
      o.available_on + k.days, o.quantity from ordered o join keeping k on k.id = o.material_id
    union all
    select 'requisition:' || r.id, 'open-order', r.material_id, null, r.village_id, r.available_on,
      r.available_on + k.days, r.quantity from requested r join keeping k on k.id = r.material_id
    union all
    select 'road:' || r.id, 'in-transit', r.material_id, r.store_id, s.village_id, null, r.usable_until, r.quantity
    from on_the_road r join store s on s.organisation_id = $1 and s.id = r.store_id
    union all
    select concat_ws(':', 'return', id, material_id), 'return', material_id, null, village_id, null, null, quantity from given_back
  )
  select supply_id, kind, material_id, store_id, village_id, available_on, usable_until, quantity
  from supply
  where quantity > 0 and ($4::uuid is null or material_id = $4)
  order by material_id, supply_id`;

/** Periods are counted like those of the needs; a lot serves as long as it may be used when its stage starts. */
export async function availableStock(
  tx: Tx,
  scope: NeedsScope,
  horizon: Horizon,
): Promise<SupplyOfMaterial[]> {
  const { startsOn, periodDays, dueDaysBeforeStage } = horizon;
  const rows = await tx.sql<SupplyRow>(SUPPLIES_SQL, [
    tx.organisationId,
    scope.programmeId,
    startsOn,
    scope.materialId ?? null,
    scope.ageAtArrivalDays ?? AGE_AT_ARRIVAL_DAYS,
  ]);
  const periodOf = (day: string) => Math.floor(daysBetween(startsOn, day) / periodDays) + 1;
  return rows.map((row) => ({
    supplyId: row.supply_id,
    kind: row.kind,
    materialId: row.material_id,
    storeId: row.store_id,
    villageId: row.village_id,
    fromPeriod: row.available_on === null ? 1 : Math.max(1, periodOf(row.available_on)),
    untilPeriod:
      row.usable_until === null
        ? null
        : periodOf(addDays(row.usable_until, 1 - dueDaysBeforeStage - periodDays)),
    quantity: quantityText(row.quantity),
  }));
}
