import type { Order, OrderLine, OrderSummary } from '../../../shared/contract/order.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import type { PayerShare } from '../cost-entries/order-ledger.ts';
import { listAmendments } from './amendment-repository.ts';
import { listDecisions } from './decision-repository.ts';

const SUMMARY_SQL = `
  select o.id, o.programme_id as "programmeId", o.order_plan_id as "orderPlanId",
    o.requisition_id as "requisitionId", o.supply_plan_id as "supplyPlanId",
    o.requested_by_id as "requestedById", o.code, o.version, o.status,
    o.supplier_id as "supplierId", s.code as "supplierCode", s.name as "supplierName",
    o.delivery_village_id as "deliveryVillageId", v.code as "deliveryVillageCode",
    v.name as "deliveryVillageName", o.priced_on as "pricedOn", o.needed_by as "neededBy",
    o.placed_on as "placedOn", o.expected_on as "expectedOn", o.cancelled_on as "cancelledOn",
    o.closed_on as "closedOn", o.closing_reason as "closingReason", o.created_at as "createdAt",
    o.currency, total.amount,
    coalesce((select case when d.decision = 'refused' then 'refused'
        when d.amount >= total.amount then 'approved' else 'waiting' end
      from order_decision d where d.organisation_id = o.organisation_id and d.order_id = o.id
      order by d.decided_at desc, d.id desc limit 1), 'waiting') as approval
  from purchase_order o
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join village v on v.organisation_id = o.organisation_id and v.id = o.delivery_village_id
    cross join lateral (select coalesce(sum(l.amount), 0) as amount from purchase_order_line l
      where l.organisation_id = o.organisation_id and l.order_id = o.id) total`;

const LIST_SQL = `${SUMMARY_SQL}
  where o.organisation_id = $1
    and ($2::uuid is null or o.programme_id = $2)
    and ($3::uuid is null or o.order_plan_id = $3)
    and ($4::uuid is null or o.supplier_id = $4)
    and ($5::uuid is null or o.delivery_village_id = $5)
    and ($6::text is null or o.status = $6)
    and ($7::text is null or o.code > $7)
  order by o.code limit $8`;

const OF_REQUISITION_SQL = `${SUMMARY_SQL}
  where o.organisation_id = $1 and o.requisition_id = $2 order by o.code`;

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

// Expected after the longest lead time of what is ordered.
const PLACE_SQL = `
  update purchase_order set status = 'placed', placed_on = $3, cost_shares = $4, version = version + 1,
    updated_at = now(), expected_on = $3::date + coalesce((
      select max(f.lead_days) from purchase_order_line l
        join offer f on f.organisation_id = l.organisation_id and f.id = l.offer_id
      where l.organisation_id = $1 and l.order_id = $2), 0)
  where organisation_id = $1 and id = $2`;

const CANCEL_SQL = `
  update purchase_order set status = 'cancelled', cancelled_on = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

const CLOSE_SQL = `
  update purchase_order set status = 'closed', closed_on = $3, closing_reason = $4, version = version + 1,
    updated_at = now()
  where organisation_id = $1 and id = $2`;

// What a placed order has become by what was received of it.
const SETTLE_SQL = `
  update purchase_order o set version = o.version + 1, updated_at = now(), status = reached.status
  from (
    select case when bool_and(received >= ordered_quantity) and bool_or(received > 0) then 'received'
      when bool_or(received > 0) then 'partly-received' else 'placed' end as status
    from (
      select l.ordered_quantity, coalesce((select sum(e.quantity) from stock_entry e
        where e.organisation_id = l.organisation_id and e.order_line_id = l.id and e.kind = 'receive'), 0) as received
      from purchase_order_line l where l.organisation_id = $1 and l.order_id = $2
    ) line
  ) reached
  where o.organisation_id = $1 and o.id = $2 and o.status in ('placed', 'partly-received', 'received')
    and o.status <> reached.status`;

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

/** The orders that a requisition became, by code. */
export async function listOrdersOfRequisition(
  tx: Tx,
  requisitionId: string,
): Promise<OrderSummary[]> {
  const rows = await tx.sql<SummaryRow>(OF_REQUISITION_SQL, [tx.organisationId, requisitionId]);
  return rows.map(toSummary);
}

export async function findOrder(tx: Tx, id: string): Promise<Order | null> {
  const [row] = await tx.sql<SummaryRow>(ONE_SQL, [tx.organisationId, id]);
  if (!row) return null;
  const lines = await tx.sql<LineRow>(LINES_SQL, [tx.organisationId, id]);
  return {
    ...toSummary(row),
    lines: lines.map((line) => toLine(line, row.currency)),
    decisions: await listDecisions(tx, id),
    amendments: await listAmendments(tx, id, row.currency),
  };
}

/** The order, held against receipts, placing and cancelling by others until the transaction ends. */
export async function lockOrder(tx: Tx, id: string): Promise<Order | null> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
  return findOrder(tx, id);
}

export async function placeOrder(
  tx: Tx,
  id: string,
  placedOn: string,
  shares: readonly PayerShare[],
): Promise<void> {
  await tx.sql(PLACE_SQL, [tx.organisationId, id, placedOn, JSON.stringify(shares)]);
}

export async function closeOrder(tx: Tx, id: string, closedOn: string, reason: string) {
  await tx.sql(CLOSE_SQL, [tx.organisationId, id, closedOn, reason]);
}

/** Brings the status of a placed order to what was received: nothing, a part, every line whole. */
export async function settleOrder(tx: Tx, id: string): Promise<void> {
  await tx.sql(SETTLE_SQL, [tx.organisationId, id]);
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
