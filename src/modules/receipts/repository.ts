import type {
  GoodsReceipt,
  GoodsReceiptSummary,
  NewGoodsReceipt,
} from '../../../shared/contract/receipt.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const RECEIPT_SQL = `
  select r.id, r.receipt_number as "receiptNumber", r.order_id as "orderId", o.code as "orderCode",
    r.delivery_note_id as "deliveryNoteId", n.note_number as "noteNumber", r.store_id as "storeId",
    s.code as "storeCode", r.received_on as "receivedOn", r.is_signed_by_driver as "isSignedByDriver",
    r.remarks, r.received_by_id as "receivedById", r.recorded_at as "recordedAt"
  from goods_receipt r
    join purchase_order o on o.organisation_id = r.organisation_id and o.id = r.order_id
    join delivery_note n on n.organisation_id = r.organisation_id and n.id = r.delivery_note_id
    join store s on s.organisation_id = r.organisation_id and s.id = r.store_id
  where r.organisation_id = $1`;

const ONE_SQL = `${RECEIPT_SQL} and r.id = $2`;

const LIST_SQL = `${RECEIPT_SQL}
    and ($2::uuid is null or r.order_id = $2)
    and ($3::uuid is null or r.store_id = $3)
    and ($4::date is null or (r.received_on, r.id) > ($4, $5::uuid))
  order by r.received_on, r.id limit $6`;

const LINES_SQL = `
  select g.id, g.order_line_id as "orderLineId", l.material_id as "materialId", m.code as "materialCode",
    l.unit_code as "unitCode", g.dispatched_quantity as "dispatchedQuantity",
    g.good_quantity as "goodQuantity", g.damaged_quantity as "damagedQuantity",
    g.missing_quantity as "missingQuantity", g.excess_quantity as "excessQuantity", g.remarks
  from goods_receipt_line g
    join purchase_order_line l on l.organisation_id = g.organisation_id and l.id = g.order_line_id
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where g.organisation_id = $1 and g.receipt_id = $2 order by m.code`;

const CLAIMS_SQL = `
  select c.id, c.code, c.kind, c.quantity, c.status from supplier_claim c
    join goods_receipt_line g on g.organisation_id = c.organisation_id and g.id = c.receipt_line_id
  where c.organisation_id = $1 and g.receipt_id = $2 order by c.code`;

const COUNT_SQL =
  'select count(*) as count from goods_receipt where organisation_id = $1 and order_id = $2';

const INSERT_SQL = `
  insert into goods_receipt (organisation_id, id, order_id, delivery_note_id, store_id, receipt_number,
    received_on, is_signed_by_driver, remarks, received_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`;

const INSERT_LINES_SQL = `
  insert into goods_receipt_line (organisation_id, id, receipt_id, order_line_id, dispatched_quantity,
    good_quantity, damaged_quantity, missing_quantity, excess_quantity, remarks)
  select $1, x.id, $2, x."orderLineId", x."dispatchedQuantity", x."goodQuantity", x."damagedQuantity",
    x."missingQuantity", x."excessQuantity", x.remarks
  from jsonb_to_recordset($3::jsonb) as x (id uuid, "orderLineId" uuid, "dispatchedQuantity" numeric,
    "goodQuantity" numeric, "damagedQuantity" numeric, "missingQuantity" numeric,
    "excessQuantity" numeric, remarks text)`;

type ReceiptLine = GoodsReceipt['lines'][number];

export async function findReceipt(tx: Tx, id: string): Promise<GoodsReceipt | null> {
  const values = [tx.organisationId, id];
  const [row] = await tx.sql<GoodsReceiptSummary>(ONE_SQL, values);
  if (!row) return null;
  const lines = await tx.sql<ReceiptLine>(LINES_SQL, values);
  const claims = await tx.sql<GoodsReceipt['claims'][number]>(CLAIMS_SQL, values);
  return {
    ...row,
    lines: lines.map((line) => ({
      ...line,
      dispatchedQuantity: quantityText(line.dispatchedQuantity),
      goodQuantity: quantityText(line.goodQuantity),
      damagedQuantity: quantityText(line.damagedQuantity),
      missingQuantity: quantityText(line.missingQuantity),
      excessQuantity: quantityText(line.excessQuantity),
    })),
    claims: claims.map((claim) => ({ ...claim, quantity: quantityText(claim.quantity) })),
  };
}

export async function listReceipts(
  tx: Tx,
  {
    limit,
    cursor,
    ...filter
  }: {
    readonly limit: number;
    readonly cursor?: string | undefined;
    readonly orderId?: string | undefined;
    readonly storeId?: string | undefined;
  },
): Promise<Page<GoodsReceiptSummary>> {
  const list = `receipts?${JSON.stringify(filter)}`;
  const [receivedOn, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<GoodsReceiptSummary>(LIST_SQL, [
    tx.organisationId,
    filter.orderId ?? null,
    filter.storeId ?? null,
    receivedOn ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.receivedOn, row.id],
    (row) => row,
  );
}

export async function countReceipts(tx: Tx, orderId: string): Promise<number> {
  const [row] = await tx.sql<{ count: number }>(COUNT_SQL, [tx.organisationId, orderId]);
  return row?.count ?? 0;
}

export async function storeExists(tx: Tx, id: string): Promise<boolean> {
  const found = await tx.sql('select 1 from store where organisation_id = $1 and id = $2', [
    tx.organisationId,
    id,
  ]);
  return found.length > 0;
}

export interface ReceiptInsert
  extends Pick<NewGoodsReceipt, 'storeId' | 'receivedOn' | 'isSignedByDriver' | 'remarks'> {
  readonly id: string;
  readonly orderId: string;
  readonly deliveryNoteId: string;
  readonly receiptNumber: string;
  readonly lines: readonly Omit<ReceiptLine, 'materialId' | 'materialCode' | 'unitCode'>[];
}

export async function insertReceipt(tx: Tx, receipt: ReceiptInsert): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    receipt.id,
    receipt.orderId,
    receipt.deliveryNoteId,
    receipt.storeId,
    receipt.receiptNumber,
    receipt.receivedOn,
    receipt.isSignedByDriver,
    receipt.remarks,
    tx.actor.personId,
  ]);
  await tx.sql(INSERT_LINES_SQL, [tx.organisationId, receipt.id, JSON.stringify(receipt.lines)]);
}
