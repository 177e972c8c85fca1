import type { OrderAmendment } from '../../../shared/contract/order.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf } from '../../db/wire-values.ts';

const LIST_SQL = `
  select id, amendment_number as "amendmentNumber", amended_on as "amendedOn", reason, changes,
    amount_before, amount_after, amended_by_id as "amendedById", recorded_at as "recordedAt"
  from order_amendment where organisation_id = $1 and order_id = $2 order by amendment_number`;

const INSERT_SQL = `
  insert into order_amendment (organisation_id, id, order_id, amendment_number, amended_on, reason, changes,
    amount_before, amount_after, amended_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`;

const LINES_SQL = `
  update purchase_order_line l set pack_count = x."packCount", price_per_pack = x."pricePerPack",
    amount = x.amount, ordered_quantity = x."packCount" * l.pack_content,
    need_quantity = least(l.need_quantity, x."packCount" * l.pack_content),
    rounding_quantity = x."packCount" * l.pack_content
      - least(l.need_quantity, x."packCount" * l.pack_content)
  from jsonb_to_recordset($3::jsonb) as x (id uuid, "packCount" integer, "pricePerPack" numeric, amount numeric)
  where l.organisation_id = $1 and l.order_id = $2 and l.id = x.id`;

const ORDER_SQL = `
  update purchase_order set needed_by = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

type AmendmentRow = Omit<OrderAmendment, 'neededBy' | 'lines' | 'amountBefore' | 'amountAfter'> & {
  changes: Partial<Pick<OrderAmendment, 'neededBy' | 'lines'>>;
  amount_before: string;
  amount_after: string;
};

/** Amendments of an order, the oldest first. */
export async function listAmendments(
  tx: Tx,
  orderId: string,
  currency: string,
): Promise<OrderAmendment[]> {
  const rows = await tx.sql<AmendmentRow>(LIST_SQL, [tx.organisationId, orderId]);
  return rows.map(({ changes, amount_before, amount_after, ...row }) => ({
    ...row,
    neededBy: changes.neededBy ?? null,
    lines: changes.lines ?? [],
    amountBefore: moneyOf(amount_before, currency),
    amountAfter: moneyOf(amount_after, currency),
  }));
}

/** Writes an amendment and brings the lines and the day of need to what it says. */
export async function writeAmendment(
  tx: Tx,
  orderId: string,
  neededBy: string | null,
  amendment: Omit<OrderAmendment, 'amendedById' | 'recordedAt'>,
): Promise<void> {
  const { lines, neededBy: changedDay } = amendment;
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    amendment.id,
    orderId,
    amendment.amendmentNumber,
    amendment.amendedOn,
    amendment.reason,
    JSON.stringify({ neededBy: changedDay, lines }),
    amendment.amountBefore.amount,
    amendment.amountAfter.amount,
    tx.actor.personId,
  ]);
  const after = lines.map(({ orderLineId, after: { packCount, pricePerPack, amount } }) => ({
    id: orderLineId,
    packCount,
    pricePerPack,
    amount: amount.amount,
  }));
  await tx.sql(LINES_SQL, [tx.organisationId, orderId, JSON.stringify(after)]);
  await tx.sql(ORDER_SQL, [tx.organisationId, orderId, neededBy]);
}
