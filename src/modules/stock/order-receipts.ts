import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

export interface OrderLineReceipt {
  readonly order_id: string;
  readonly order_code: string;
  readonly status: string;
  readonly material_id: string;
  readonly ordered: string;
  readonly received: string;
}

// The lock comes first and alone, so that the sum after it sees what others have committed.
const LOCK_ORDER_SQL = `
  select o.id from purchase_order o
    join purchase_order_line l on l.organisation_id = o.organisation_id and l.order_id = o.id
  where o.organisation_id = $1 and l.id = $2 for no key update of o`;

const LINE_SQL = `
  select l.order_id, o.code as order_code, o.status, l.material_id, l.ordered_quantity as ordered,
    coalesce((select sum(e.quantity) from stock_entry e
      where e.organisation_id = l.organisation_id and e.order_line_id = l.id and e.kind = 'receive'), 0) as received
  from purchase_order_line l
    join purchase_order o on o.organisation_id = l.organisation_id and o.id = l.order_id
  where l.organisation_id = $1 and l.id = $2`;

const SETTLE_SQL = `
  update purchase_order o set version = o.version + 1, updated_at = now(), status = reached.status
  from (
    select case when bool_and(received >= ordered_quantity) then 'received' else 'partly-received' end as status
    from (
      select l.ordered_quantity, coalesce((select sum(e.quantity) from stock_entry e
        where e.organisation_id = l.organisation_id and e.order_line_id = l.id and e.kind = 'receive'), 0) as received
      from purchase_order_line l where l.organisation_id = $1 and l.order_id = $2
    ) line
  ) reached
  where o.organisation_id = $1 and o.id = $2 and o.status <> reached.status
  returning o.status`;

/** What an order line has had of what it ordered; other receipts of the order wait until the transaction ends. */
export async function lockOrderLine(tx: Tx, lineId: string): Promise<OrderLineReceipt | null> {
  await tx.sql(LOCK_ORDER_SQL, [tx.organisationId, lineId]);
  const [row] = await tx.sql<OrderLineReceipt>(LINE_SQL, [tx.organisationId, lineId]);
  if (!row) return null;
  return { ...row, ordered: quantityText(row.ordered), received: quantityText(row.received) };
}

/** Brings the order's status to what was received: partly, or every line whole. */
export async function settleOrderStatus(tx: Tx, orderId: string): Promise<string | null> {
  const [row] = await tx.sql<{ status: string }>(SETTLE_SQL, [tx.organisationId, orderId]);
  return row?.status ?? null;
}
