import {
  type BuildLots,
  type LotTrace,
  MOST_TRACED_BUILDS,
} from '../../../shared/contract/lot-trace.ts';
import { lotStanding } from '../../../shared/procurement/lot-standing.ts';
import { subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

const SUMS_SQL = `
  select
    coalesce(sum(quantity) filter (where kind = 'receive'), 0) as received,
    coalesce(-sum(quantity) filter (where kind = 'issue'), 0) as issued,
    coalesce(sum(quantity) filter (where kind = 'return'), 0) as returned,
    coalesce(-sum(quantity) filter (where kind = 'write-off'), 0) as written_off,
    coalesce(sum(quantity) filter (where kind = 'count'), 0) as counted,
    count(distinct build_id) as build_count
  from stock_entry where organisation_id = $1 and lot_id = $2`;

const RECEIPT_COLUMNS = `
  e.id as "entryId", e.store_id as "storeId", s.code as "storeCode", e.observed_on as "receivedOn", e.quantity,
  e.document_number as "documentNumber", o.id as "orderId", o.code as "orderCode",
  g.id as "receiptId", g.receipt_number as "receiptNumber", u.id as "supplierId", u.name as "supplierName"`;

const RECEIPT_TABLES = `
  join stock_lot l on l.organisation_id = e.organisation_id and l.id = e.lot_id
  join store s on s.organisation_id = e.organisation_id and s.id = e.store_id
  left join purchase_order_line ol on ol.organisation_id = e.organisation_id and ol.id = e.order_line_id
  left join purchase_order o on o.organisation_id = ol.organisation_id and o.id = ol.order_id
  left join goods_receipt_line gl on gl.organisation_id = e.organisation_id and gl.id = e.receipt_line_id
  left join goods_receipt g on g.organisation_id = gl.organisation_id and g.id = gl.receipt_id
  left join supplier u on u.organisation_id = e.organisation_id and u.id = coalesce(o.supplier_id, l.supplier_id)`;

const RECEIPTS_SQL = `
  select ${RECEIPT_COLUMNS}, e.lot_id as "lotId"
  from stock_entry e ${RECEIPT_TABLES}
  where e.organisation_id = $1 and e.lot_id = any($2::uuid[]) and e.kind = 'receive'
  order by e.recorded_at, e.id limit 1000`;

const STORES_SQL = `
  select b.store_id as "storeId", s.code as "storeCode", b.quantity
  from stock_lot_balance b join store s on s.organisation_id = b.organisation_id and s.id = b.store_id
  where b.organisation_id = $1 and b.lot_id = $2 and b.quantity > 0 order by s.code limit 1000`;

const DISPATCHES_SQL = `
  select d.id as "dispatchId", d.note_number as "noteNumber", f.code as "fromStoreCode", t.code as "toStoreCode",
    d.dispatched_on as "dispatchedOn", a.arrived_on as "arrivedOn", l.dispatched_quantity as "dispatchedQuantity",
    al.good_quantity as "goodQuantity", al.damaged_quantity as "damagedQuantity",
    al.missing_quantity as "missingQuantity"
  from stock_dispatch_line l
    join stock_dispatch d on d.organisation_id = l.organisation_id and d.id = l.dispatch_id
    join store f on f.organisation_id = d.organisation_id and f.id = d.from_store_id
    join store t on t.organisation_id = d.organisation_id and t.id = d.to_store_id
    left join stock_arrival a on a.organisation_id = d.organisation_id and a.dispatch_id = d.id
    left join stock_arrival_line al on al.organisation_id = a.organisation_id and al.arrival_id = a.id
      and al.dispatch_line_id = l.id
  where l.organisation_id = $1 and l.lot_id = $2 order by d.dispatched_on, d.id limit 1000`;

const ROAD_SQL = `
  select coalesce(sum(l.dispatched_quantity) filter (where a.id is null), 0) as on_the_road,
    coalesce(sum(l.dispatched_quantity - al.good_quantity) filter (where a.id is not null), 0) as lost
  from stock_dispatch_line l
    left join stock_arrival a on a.organisation_id = l.organisation_id and a.dispatch_id = l.dispatch_id
    left join stock_arrival_line al on al.organisation_id = a.organisation_id and al.arrival_id = a.id
      and al.dispatch_line_id = l.id
  where l.organisation_id = $1 and l.lot_id = $2`;

const BUILD_COLUMNS = `
  b.id as "buildId", b.code as "buildCode", s.code as "siteCode", b.village_id as "villageId",
  v.code as "villageCode", b.status, b.handed_over_on as "handedOverOn", b.crew_id as "crewId",
  c.code as "crewCode",
  (select coalesce(jsonb_agg(jsonb_build_object('inspectionId', i.id, 'kind', i.kind,
      'inspectedOn', i.inspected_on, 'condition', i.condition) order by i.inspected_on desc, i.id), '[]')
    from (select * from inspection i where i.organisation_id = b.organisation_id and i.build_id = b.id
      order by i.inspected_on desc, i.id limit 20) i) as inspections,
  (select coalesce(jsonb_agg(jsonb_build_object('findingId', f.id, 'inspectionId', f.inspection_id, 'part', f.part,
      'severity', f.severity, 'description', f.description, 'actionId', a.id, 'dueOn', a.due_on)
      order by a.due_on, a.id), '[]')
    from inspection i
      join finding f on f.organisation_id = i.organisation_id and f.inspection_id = i.id
      join corrective_action a on a.organisation_id = f.organisation_id and a.finding_id = f.id and a.closed_on is null
    where i.organisation_id = b.organisation_id and i.build_id = b.id) as "openFindings"`;

const BUILD_TABLES = `
  join site s on s.organisation_id = b.organisation_id and s.id = b.site_id
  join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
  left join crew c on c.organisation_id = b.organisation_id and c.id = b.crew_id`;

const BILL_STAGES = `
  (select array_agg(stage_code order by position) from (
    select stage_code, min(position) as position from bill_line n
    where n.organisation_id = b.organisation_id and n.build_id = b.id and n.material_id = u.material_id
    group by stage_code) stage)`;

const BUILDS_SQL = `
  with u as materialized (
    select organisation_id, build_id, material_id,
      coalesce(-sum(quantity) filter (where kind = 'issue'), 0) as issued,
      coalesce(sum(quantity) filter (where kind = 'return'), 0) as returned,
      min(observed_on) filter (where kind = 'issue') as first_on,
      max(observed_on) filter (where kind = 'issue') as last_on,
      array_agg(distinct stage_code) filter (where stage_code is not null and kind = 'issue') as stages
    from stock_entry
    where organisation_id = $1 and lot_id = $2 and build_id is not null
    group by organisation_id, build_id, material_id)
  select ${BUILD_COLUMNS}, u.first_on as "firstIssuedOn", u.last_on as "lastIssuedOn", u.issued, u.returned, u.stages,
    case when u.stages is null then ${BILL_STAGES} end as "billStages"
  from u join build b on b.organisation_id = u.organisation_id and b.id = u.build_id ${BUILD_TABLES}
  order by b.code limit ${MOST_TRACED_BUILDS}`;

const BUILD_SQL = `select ${BUILD_COLUMNS} from build b ${BUILD_TABLES} where b.organisation_id = $1 and b.id = $2`;

const LOTS_OF_BUILD_SQL = `
  with u as materialized (
    select organisation_id, build_id, material_id, lot_id,
      coalesce(-sum(quantity) filter (where kind = 'issue'), 0) as issued,
      coalesce(sum(quantity) filter (where kind = 'return'), 0) as returned,
      array_agg(distinct stage_code) filter (where stage_code is not null and kind = 'issue') as stages,
      array_agg(distinct store_id) filter (where kind = 'issue') as stores
    from stock_entry
    where organisation_id = $1 and build_id = $2
    group by organisation_id, build_id, material_id, lot_id)
  select u.lot_id as "lotId", l.code, u.material_id as "materialId", m.code as "materialCode", m.unit_code as "unitCode",
    l.manufactured_on as "manufacturedOn", l.certificate_number as "certificateNumber", l.expires_on as "expiresOn",
    t.outcome, t.tested_on as "testedOn", t.usable_until as "testedUntil",
    (select max(r.recalled_on) from lot_recall r
      where r.organisation_id = l.organisation_id and r.lot_id = l.id and r.lifts_id is null
        and not exists (select from lot_recall f
          where f.organisation_id = r.organisation_id and f.lifts_id = r.id)) as "recalledOn",
    array(select s.code from store s where s.organisation_id = u.organisation_id and s.id = any(u.stores)
      order by s.code) as "storeCodes",
    u.issued, u.returned, u.stages, case when u.stages is null then ${BILL_STAGES} end as "billStages"
  from u
    join build b on b.organisation_id = u.organisation_id and b.id = u.build_id
    join material m on m.organisation_id = u.organisation_id and m.id = u.material_id
    left join stock_lot l on l.organisation_id = u.organisation_id and l.id = u.lot_id
    left join lateral (select outcome, tested_on, usable_until from lot_test t
      where t.organisation_id = l.organisation_id and t.lot_id = l.id
      order by tested_on desc, recorded_at desc, id desc limit 1) t on true
  order by m.code, l.code nulls last limit 1000`;

interface Usage {
  readonly issued: string;
  readonly returned: string;
  readonly stages: string[] | null;
  readonly billStages: string[] | null;
}

const usageOf = ({ issued, returned, stages, billStages }: Usage) => ({
  issuedQuantity: quantityText(issued),
  returnedQuantity: quantityText(returned),
  usedQuantity: subtractQuantities(quantityText(issued), quantityText(returned)),
  stageCodes: stages ?? billStages ?? [],
  stagesFrom: stages ? ('issue' as const) : ('bill' as const),
});

type Receipt = LotTrace['receipts'][number];

async function receiptsOf(tx: Tx, lotIds: readonly string[]): Promise<Map<string, Receipt[]>> {
  const rows = await tx.sql<Receipt & { lotId: string }>(RECEIPTS_SQL, [tx.organisationId, lotIds]);
  const byLot = new Map<string, Receipt[]>();
  for (const { lotId, ...receipt } of rows) {
    const all = byLot.get(lotId) ?? [];
    all.push({ ...receipt, quantity: quantityText(receipt.quantity) });
    byLot.set(lotId, all);
  }
  return byLot;
}

/** Everything that the ledger knows of one lot. */
export async function traceOf(
  tx: Tx,
  lotId: string,
): Promise<Omit<LotTrace, 'lot' | 'inStoresQuantity'>> {
  const which = [tx.organisationId, lotId];
  const [sums] = await tx.sql<Record<string, string> & { build_count: number }>(SUMS_SQL, which);
  const [road] = await tx.sql<{ on_the_road: string; lost: string }>(ROAD_SQL, which);
  const receipts = (await receiptsOf(tx, [lotId])).get(lotId) ?? [];
  const stores = await tx.sql<LotTrace['stores'][number]>(STORES_SQL, which);
  const dispatches = await tx.sql<LotTrace['dispatches'][number]>(DISPATCHES_SQL, which);
  const builds = await tx.sql<LotTrace['builds'][number] & Usage>(BUILDS_SQL, which);
  const sum = (name: string) => quantityText(sums?.[name] ?? '0');
  const orNull = (quantity: string | null) => quantity && quantityText(quantity);
  return {
    receivedQuantity: sum('received'),
    issuedQuantity: sum('issued'),
    returnedQuantity: sum('returned'),
    writtenOffQuantity: sum('written_off'),
    countedQuantity: sum('counted'),
    onTheRoadQuantity: quantityText(road?.on_the_road ?? '0'),
    lostOnTheRoadQuantity: quantityText(road?.lost ?? '0'),
    receipts,
    stores: stores.map((store) => ({ ...store, quantity: quantityText(store.quantity) })),
    dispatches: dispatches.map((dispatch) => ({
      ...dispatch,
      dispatchedQuantity: quantityText(dispatch.dispatchedQuantity),
      goodQuantity: orNull(dispatch.goodQuantity),
      damagedQuantity: orNull(dispatch.damagedQuantity),
      missingQuantity: orNull(dispatch.missingQuantity),
    })),
    buildCount: sums?.build_count ?? 0,
    builds: builds.map(({ issued, returned, stages, billStages, ...build }) => ({
      ...build,
      ...usageOf({ issued, returned, stages, billStages }),
    })),
  };
}

interface LotOfBuildRow extends Usage {
  readonly lotId: string | null;
  readonly code: string;
  readonly materialId: string;
  readonly materialCode: string;
  readonly unitCode: BuildLots['lots'][number]['unitCode'];
  readonly manufacturedOn: string | null;
  readonly certificateNumber: string | null;
  readonly expiresOn: string | null;
  readonly outcome: 'passed' | 'failed' | null;
  readonly testedOn: string | null;
  readonly testedUntil: string | null;
  readonly recalledOn: string | null;
  readonly storeCodes: string[];
}

/** Every lot that went into a build; null when there is no such build. */
export async function lotsOfBuild(
  tx: Tx,
  buildId: string,
  today: string,
): Promise<BuildLots | null> {
  const which = [tx.organisationId, buildId];
  const [build] = await tx.sql<Omit<BuildLots, 'lots' | 'withoutLot'>>(BUILD_SQL, which);
  if (!build) return null;
  const rows = await tx.sql<LotOfBuildRow>(LOTS_OF_BUILD_SQL, which);
  const receipts = await receiptsOf(
    tx,
    rows.flatMap(({ lotId }) => lotId ?? []),
  );
  return {
    ...build,
    lots: rows.flatMap((row) => {
      const { lotId } = row;
      if (lotId === null) return [];
      const { expiresOn, outcome, testedOn, testedUntil, recalledOn } = row;
      const lastTest = outcome && testedOn ? { outcome, testedOn, usableUntil: testedUntil } : null;
      return [
        {
          lotId,
          code: row.code,
          materialId: row.materialId,
          materialCode: row.materialCode,
          unitCode: row.unitCode,
          manufacturedOn: row.manufacturedOn,
          certificateNumber: row.certificateNumber,
          ...lotStanding({ expiresOn, lastTest, recalledOn }, today),
          storeCodes: row.storeCodes,
          ...usageOf(row),
          receipts: receipts.get(lotId) ?? [],
        },
      ];
    }),
    withoutLot: rows.flatMap((row) =>
      row.lotId === null
        ? [
            {
              materialId: row.materialId,
              materialCode: row.materialCode,
              unitCode: row.unitCode,
              usedQuantity: usageOf(row).usedQuantity,
            },
          ]
        : [],
    ),
  };
}
