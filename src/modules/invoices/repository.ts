import type { Invoice, InvoiceSummary, NewInvoice } from '../../../shared/contract/invoice.ts';
import type { InvoiceFinding } from '../../../shared/procurement/invoice-match.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const INVOICE_SQL = `
  select i.id, i.version, i.order_id as "orderId", o.code as "orderCode", i.supplier_id as "supplierId",
    s.code as "supplierCode", i.invoice_number as "invoiceNumber", i.invoiced_on as "invoicedOn",
    i.due_on as "dueOn", i.currency, i.amount, i.other_charges_amount as other, i.status,
    i.match_findings as findings, i.release_reason as "releaseReason", i.recorded_by_id as "recordedById",
    i.released_by_id as "releasedById", i.released_at as "releasedAt", i.paid_on as "paidOn",
    i.created_at as "createdAt"
  from supplier_invoice i
    join purchase_order o on o.organisation_id = i.organisation_id and o.id = i.order_id
    join supplier s on s.organisation_id = i.organisation_id and s.id = i.supplier_id
  where i.organisation_id = $1`;

const ONE_SQL = `${INVOICE_SQL} and i.id = $2`;

const LIST_SQL = `${INVOICE_SQL}
    and ($2::uuid is null or i.order_id = $2)
    and ($3::uuid is null or i.supplier_id = $3)
    and ($4::text is null or i.status = $4)
    and ($5::date is null or (i.due_on, i.id) > ($5, $6::uuid))
  order by i.due_on, i.id limit $7`;

const LINES_SQL = `
  select l.id, l.order_line_id as "orderLineId", m.code as "materialCode", p.unit_code as "unitCode",
    l.invoiced_quantity as "invoicedQuantity", l.price_per_pack as "pricePerPack", l.amount
  from supplier_invoice_line l
    join purchase_order_line p on p.organisation_id = l.organisation_id and p.id = l.order_line_id
    join material m on m.organisation_id = p.organisation_id and m.id = p.material_id
  where l.organisation_id = $1 and l.invoice_id = $2 order by m.code`;

const LOCK_SQL =
  'select id from supplier_invoice where organisation_id = $1 and id = $2 for no key update';

// Spaces and letter case do not make another number.
const LIKE_NUMBERS_SQL = `
  select invoice_number as number from supplier_invoice
  where organisation_id = $1 and supplier_id = $2 and id <> $4
    and upper(regexp_replace(invoice_number, '\\s', '', 'g')) = upper(regexp_replace($3, '\\s', '', 'g'))`;

const INVOICED_SQL = `
  select l.order_line_id as "orderLineId", sum(l.invoiced_quantity) as quantity
  from supplier_invoice_line l
    join supplier_invoice i on i.organisation_id = l.organisation_id and i.id = l.invoice_id
  where l.organisation_id = $1 and i.order_id = $2 and i.status <> 'rejected' and i.id <> $3
    and ($4::timestamptz is null or (i.created_at, i.id) < ($4, $3))
  group by l.order_line_id`;

const INSERT_SQL = `
  insert into supplier_invoice (organisation_id, id, order_id, supplier_id, invoice_number, invoiced_on,
    due_on, currency, amount, other_charges_amount, status, match_findings, recorded_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`;

const INSERT_LINES_SQL = `
  insert into supplier_invoice_line (organisation_id, id, invoice_id, order_line_id, invoiced_quantity,
    price_per_pack, amount)
  select $1, gen_random_uuid(), $2, x."orderLineId", x."invoicedQuantity", x."pricePerPack", x.amount
  from jsonb_to_recordset($3::jsonb) as x ("orderLineId" uuid, "invoicedQuantity" numeric,
    "pricePerPack" numeric, amount numeric)`;

const MATCH_SQL = `
  update supplier_invoice set status = $3, match_findings = $4, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

const RELEASE_SQL = `
  update supplier_invoice set status = $3, release_reason = $4, released_by_id = $5, released_at = now(),
    version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

const PAY_SQL = `
  update supplier_invoice set status = 'paid', paid_on = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

type InvoiceRow = Omit<InvoiceSummary, 'amount' | 'otherCharges'> & {
  currency: string;
  amount: string;
  other: string;
};
type LineRow = Omit<Invoice['lines'][number], 'amount'> & { amount: string };

export async function findInvoice(tx: Tx, id: string): Promise<Invoice | null> {
  const [row] = await tx.sql<InvoiceRow>(ONE_SQL, [tx.organisationId, id]);
  if (!row) return null;
  const lines = await tx.sql<LineRow>(LINES_SQL, [tx.organisationId, id]);
  return {
    ...toSummary(row),
    lines: lines.map((line) => ({
      ...line,
      invoicedQuantity: quantityText(line.invoicedQuantity),
      pricePerPack: quantityText(line.pricePerPack),
      amount: moneyOf(line.amount, row.currency),
    })),
  };
}

/** The invoice, held against others until the transaction ends; its order is held before it. */
export async function lockInvoice(tx: Tx, id: string): Promise<Invoice | null> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
  return findInvoice(tx, id);
}

export async function listInvoices(
  tx: Tx,
  {
    limit,
    cursor,
    ...filter
  }: {
    readonly limit: number;
    readonly cursor?: string | undefined;
    readonly orderId?: string | undefined;
    readonly supplierId?: string | undefined;
    readonly status?: string | undefined;
  },
): Promise<Page<InvoiceSummary>> {
  const list = `invoices?${JSON.stringify(filter)}`;
  const [dueOn, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<InvoiceRow>(LIST_SQL, [
    tx.organisationId,
    filter.orderId ?? null,
    filter.supplierId ?? null,
    filter.status ?? null,
    dueOn ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.dueOn, row.id], toSummary);
}

/** Numbers of the supplier's other invoices that are the same but for spaces and letter case. */
export async function findLikeNumbers(
  tx: Tx,
  supplierId: string,
  invoiceNumber: string,
  exceptId: string,
): Promise<string[]> {
  const rows = await tx.sql<{ number: string }>(LIKE_NUMBERS_SQL, [
    tx.organisationId,
    supplierId,
    invoiceNumber,
    exceptId,
  ]);
  return rows.map(({ number }) => number);
}

/** What other invoices of an order that were not rejected ask for, by order line. */
export async function sumInvoiced(
  tx: Tx,
  orderId: string,
  exceptId: string,
  before: string | null,
): Promise<ReadonlyMap<string, string>> {
  const rows = await tx.sql<{ orderLineId: string; quantity: string }>(INVOICED_SQL, [
    tx.organisationId,
    orderId,
    exceptId,
    before,
  ]);
  return new Map(rows.map((row) => [row.orderLineId, quantityText(row.quantity)]));
}

export interface InvoiceInsert extends NewInvoice {
  readonly id: string;
  readonly supplierId: string;
  readonly otherCharges: NonNullable<NewInvoice['otherCharges']>;
  readonly status: 'matched' | 'held';
  readonly findings: readonly InvoiceFinding[];
}

export async function insertInvoice(tx: Tx, invoice: InvoiceInsert): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    invoice.id,
    invoice.orderId,
    invoice.supplierId,
    invoice.invoiceNumber,
    invoice.invoicedOn,
    invoice.dueOn,
    invoice.amount.currency,
    invoice.amount.amount,
    invoice.otherCharges.amount,
    invoice.status,
    JSON.stringify(invoice.findings),
    tx.actor.personId,
  ]);
  const lines = invoice.lines.map((line) => ({ ...line, amount: line.amount.amount }));
  await tx.sql(INSERT_LINES_SQL, [tx.organisationId, invoice.id, JSON.stringify(lines)]);
}

export async function writeMatch(tx: Tx, id: string, findings: readonly InvoiceFinding[]) {
  const status = findings.length === 0 ? 'matched' : 'held';
  await tx.sql(MATCH_SQL, [tx.organisationId, id, status, JSON.stringify(findings)]);
}

export async function releaseInvoice(
  tx: Tx,
  id: string,
  decision: 'released' | 'rejected',
  reason: string,
): Promise<void> {
  await tx.sql(RELEASE_SQL, [tx.organisationId, id, decision, reason, tx.actor.personId]);
}

export async function payInvoice(tx: Tx, id: string, paidOn: string): Promise<void> {
  await tx.sql(PAY_SQL, [tx.organisationId, id, paidOn]);
}

const toSummary = ({ currency, amount, other, ...row }: InvoiceRow): InvoiceSummary => ({
  ...row,
  amount: moneyOf(amount, currency),
  otherCharges: moneyOf(other, currency),
});
