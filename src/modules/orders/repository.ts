import type { Order, OrderLine, OrderSummary } from '../../../shared/contract/order.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const SUMMARY_SQL = `
  select o.id, o.programme_id as "programmeId", o.order_plan_id as "orderPlanId", o.code, o.status,
    o.supplier_id as "supplierId", s.code as "supplierCode", s.name as "supplierName",
    o.delivery_village_id as "deliveryVillageId", v.code as "deliveryVillageCode",
    v.name as "deliveryVillageName", o.priced_on as "pricedOn", o.needed_by as "neededBy",
    o.placed_on as "placedOn", o.cancelled_on as "cancelledOn", o.created_at as "createdAt",
    o.currency, (select coalesce(sum(l.amount), 0) from purchase_order_line l
      where l.organisation_id = o.organisation_id and l.order_id = o.id) as amount
  from purchase_order o
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join village v on v.organisation_id = o.organisation_id and v.id = o.delivery_village_id`;

const LIST_SQL = `${SUMMARY_SQL}
  where o.organisation_id = $1
    and ($2::uuid is null or o.programme_id = $2)
    and ($3::uuid is null or o.order_plan_id = $3)
    and ($4::uuid is null or o.supplier_id = $4)
    and ($5::uuid is null or o.delivery_village_id = $5)
    and ($6::text is null or o.status = $6)
    and ($7::text is null or o.code > $7)
  order by o.code limit $8`;

const OF_PLAN_SQL = `${SUMMARY_SQL}
  where o.organisation_id = $1 and o.order_plan_id = $2 order by o.code`;

const ONE_SQL = `${SUMMARY_SQL} where o.organisation_id = $1 and o.id = $2`;

const LINES_SQL = `
  select l.id, l.material_id as "materialId", m.code as "materialCode", m.name as "materialName",
    l.offer_id as "offerId", l.unit_code as "unitCode", l.need_quantity as "needQuantity",
    l.pack_code as "packCode", l.pack_content as "packContent", l.pack_count as "packCount",
    l.ordered_quantity as "orderedQuantity", l.rounding_quantity as "roundingQuantity",
    l.price_per_pack as "pricePerPack", l.amount,
    coalesce((select sum(e.quantity) from stock_entry e
      where e.organisation_id = l.organisation_id and e.order_line_id = l.id and e.kind = 'receive'), 0)
      as "receivedQuantity"
  from purchase_order_line l
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where l.organisation_id = $1 and l.order_id = $2 order by m.code`;

const LOCK_SQL = `
  select id from purchase_order where organisation_id = $1 and id = $2 for no key update`;

const PLACE_SQL = `
  update purchase_order set status = 'placed', placed_on = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

const CANCEL_SQL = `
  update purchase_order set status = 'cancelled', cancelled_on = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

type SummaryRow = Omit<OrderSummary, 'amount'> & { amount: string; currency: string };
type LineRow = Omit<OrderLine, 'amount'> & { amount: string };

export interface OrderFilter {
  readonly programmeId?: string | undefined;
  readonly orderPlanId?: string | undefined;
  readonly supplierId?: string | undefined;
  readonly deliveryVillageId?: string | undefined;
  readonly status?: string | undefined;
}

export async function listOrders(
  tx: Tx,
  {
    limit,
    cursor,
    ...filter
  }: OrderFilter & { readonly limit: number; readonly cursor?: string | undefined },
): Promise<Page<OrderSummary>> {
  const list = `orders?${JSON.stringify(filter)}`;
  const [afterCode] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<SummaryRow>(LIST_SQL, [
    tx.organisationId,
    filter.programmeId ?? null,
    filter.orderPlanId ?? null,
    filter.supplierId ?? null,
    filter.deliveryVillageId ?? null,
    filter.status ?? null,
    afterCode ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.code], toSummary);
}

/** Every order that a plan made, by code. */
export async function listOrdersOfPlan(tx: Tx, orderPlanId: string): Promise<OrderSummary[]> {
  const rows = await tx.sql<SummaryRow>(OF_PLAN_SQL, [tx.organisationId, orderPlanId]);
  return rows.map(toSummary);
}

export async function findOrder(tx: Tx, id: string): Promise<Order | null> {
  const [row] = await tx.sql<SummaryRow>(ONE_SQL, [tx.organisationId, id]);
  if (!row) return null;
  const lines = await tx.sql<LineRow>(LINES_SQL, [tx.organisationId, id]);
  return { ...toSummary(row), lines: lines.map((line) => toLine(line, row.currency)) };
}

/** The order, held against receipts, placing and cancelling by others until the transaction ends. */
export async function lockOrder(tx: Tx, id: string): Promise<Order | null> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
  return findOrder(tx, id);
}

export async function placeOrder(tx: Tx, id: string, placedOn: string): Promise<void> {
  await tx.sql(PLACE_SQL, [tx.organisationId, id, placedOn]);
}

export async function cancelOrder(tx: Tx, id: string, cancelledOn: string): Promise<void> {
  await tx.sql(CANCEL_SQL, [tx.organisationId, id, cancelledOn]);
}

function toSummary({ amount, currency, ...row }: SummaryRow): OrderSummary {
  return { ...row, amount: moneyOf(amount, currency) };
}

const toLine = (row: LineRow, currency: string): OrderLine => ({
  ...row,
  needQuantity: quantityText(row.needQuantity),
  packContent: quantityText(row.packContent),
  orderedQuantity: quantityText(row.orderedQuantity),
  roundingQuantity: quantityText(row.roundingQuantity),
  pricePerPack: quantityText(row.pricePerPack),
  amount: moneyOf(row.amount, currency),
  receivedQuantity: quantityText(row.receivedQuantity),
});
