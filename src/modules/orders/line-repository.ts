import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import type { OrderFilter } from './repository.ts';

/** A line of an order with all that a buyer wants to read beside it. */
export interface OrderTableLine {
  readonly orderCode: string;
  readonly status: string;
  readonly supplierCode: string;
  readonly supplierName: string;
  readonly villageCode: string;
  readonly villageName: string;
  readonly placedOn: string | null;
  readonly neededBy: string | null;
  readonly expectedOn: string | null;
  readonly materialCode: string;
  readonly materialName: string;
  readonly unitCode: string;
  readonly needQuantity: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly packCount: number;
  readonly orderedQuantity: string;
  readonly receivedQuantity: string;
  readonly pricePerPack: string;
  readonly amount: string;
  readonly currency: string;
}

const TABLE_SQL = `
  select o.code as "orderCode", o.status, s.code as "supplierCode", s.name as "supplierName",
    v.code as "villageCode", v.name as "villageName", o.placed_on as "placedOn", o.needed_by as "neededBy",
    o.expected_on as "expectedOn", m.code as "materialCode", m.name as "materialName",
    l.unit_code as "unitCode", l.need_quantity as "needQuantity", l.pack_code as "packCode",
    l.pack_content as "packContent", l.pack_count as "packCount", l.ordered_quantity as "orderedQuantity",
    coalesce((select sum(e.quantity) from stock_entry e where e.organisation_id = l.organisation_id
      and e.order_line_id = l.id and e.kind = 'receive'), 0) as "receivedQuantity",
    l.price_per_pack as "pricePerPack", l.amount, o.currency
  from purchase_order o
    join purchase_order_line l on l.organisation_id = o.organisation_id and l.order_id = o.id
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join village v on v.organisation_id = o.organisation_id and v.id = o.delivery_village_id
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where o.organisation_id = $1
    and ($2::uuid is null or o.programme_id = $2)
    and ($3::uuid is null or o.order_plan_id = $3)
    and ($4::uuid is null or o.supplier_id = $4)
    and ($5::uuid is null or o.delivery_village_id = $5)
    and ($6::text is null or o.status = $6)
    and ($7::uuid is null or o.id = $7)
  order by o.code, m.code limit $8`;

/** Most lines of one file. */
export const MAX_FILE_LINES = 50_000;

/** Lines of orders, by order and material. */
export async function listOrderTable(
  tx: Tx,
  filter: OrderFilter & { readonly orderId?: string | undefined },
): Promise<OrderTableLine[]> {
  const rows = await tx.sql<OrderTableLine>(TABLE_SQL, [
    tx.organisationId,
    filter.programmeId ?? null,
    filter.orderPlanId ?? null,
    filter.supplierId ?? null,
    filter.deliveryVillageId ?? null,
    filter.status ?? null,
    filter.orderId ?? null,
    MAX_FILE_LINES,
  ]);
  return rows.map((row) => ({
    ...row,
    needQuantity: quantityText(row.needQuantity),
    packContent: quantityText(row.packContent),
    orderedQuantity: quantityText(row.orderedQuantity),
    receivedQuantity: quantityText(row.receivedQuantity),
    pricePerPack: quantityText(row.pricePerPack),
    amount: moneyOf(row.amount, row.currency).amount,
  }));
}

const PAPERS_SQL = `
  select 1 from delivery_note where organisation_id = $1 and order_id = $2
  union all
  select 1 from supplier_invoice where organisation_id = $1 and order_id = $2 and status <> 'rejected'
  union all
  select 1 from purchase_order_line l
    join stock_entry e on e.organisation_id = l.organisation_id and e.order_line_id = l.id
  where l.organisation_id = $1 and l.order_id = $2
  limit 1`;

/** Whether goods of an order were sent, taken in or invoiced. */
export async function hasPapers(tx: Tx, orderId: string): Promise<boolean> {
  return (await tx.sql(PAPERS_SQL, [tx.organisationId, orderId])).length > 0;
}
