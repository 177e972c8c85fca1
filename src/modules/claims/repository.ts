import type { Claim, NewClaimSettlement } from '../../../shared/contract/claim.ts';
import type { Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const CLAIM_SQL = `
  select c.id, c.version, c.code, c.order_id as "orderId", o.code as "orderCode",
    r.receipt_id as "receiptId", c.receipt_line_id as "receiptLineId", o.supplier_id as "supplierId",
    s.code as "supplierCode", l.material_id as "materialId", m.code as "materialCode",
    l.unit_code as "unitCode", c.kind, c.quantity, c.amount, c.currency, c.status,
    c.claimed_on as "claimedOn", c.settled_on as "settledOn", c.settlement_note as "settlementNote",
    c.credited_amount as credited, c.raised_by_id as "raisedById", c.created_at as "createdAt"
  from supplier_claim c
    join purchase_order o on o.organisation_id = c.organisation_id and o.id = c.order_id
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join goods_receipt_line r on r.organisation_id = c.organisation_id and r.id = c.receipt_line_id
    join purchase_order_line l on l.organisation_id = r.organisation_id and l.id = r.order_line_id
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where c.organisation_id = $1`;

const ONE_SQL = `${CLAIM_SQL} and c.id = $2`;

const LIST_SQL = `${CLAIM_SQL}
    and ($2::uuid is null or c.order_id = $2)
    and ($3::uuid is null or o.supplier_id = $3)
    and ($4::text is null or c.status = $4)
    and ($5::text is null or c.code > $5)
  order by c.code limit $6`;

const LOCK_SQL =
  'select id from supplier_claim where organisation_id = $1 and id = $2 for no key update';

const COUNT_SQL =
  'select count(*) as count from supplier_claim where organisation_id = $1 and order_id = $2';

const INSERT_SQL = `
  insert into supplier_claim (organisation_id, id, code, order_id, receipt_line_id, kind, quantity, amount,
    currency, claimed_on, raised_by_id)
  select $1, x.id, x.code, $2, x."receiptLineId", x.kind, x.quantity, x.amount, $3, $4, $5
  from jsonb_to_recordset($6::jsonb) as x (id uuid, code text, "receiptLineId" uuid, kind text,
    quantity numeric, amount numeric)`;

const SETTLE_SQL = `
  update supplier_claim set status = $3, settled_on = $4, settlement_note = $5, credited_amount = $6,
    version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

type ClaimRow = Omit<Claim, 'amount' | 'creditedAmount'> & {
  amount: string;
  currency: string;
  credited: string | null;
};

export async function findClaim(tx: Tx, id: string): Promise<Claim | null> {
  const [row] = await tx.sql<ClaimRow>(ONE_SQL, [tx.organisationId, id]);
  return row ? toClaim(row) : null;
}

export async function lockClaim(tx: Tx, id: string): Promise<Claim | null> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
  return findClaim(tx, id);
}

export async function listClaims(
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
): Promise<Page<Claim>> {
  const list = `claims?${JSON.stringify(filter)}`;
  const [afterCode] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<ClaimRow>(LIST_SQL, [
    tx.organisationId,
    filter.orderId ?? null,
    filter.supplierId ?? null,
    filter.status ?? null,
    afterCode ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.code], toClaim);
}

export interface ClaimInsert {
  readonly id: string;
  readonly code: string;
  readonly receiptLineId: string;
  readonly kind: Claim['kind'];
  readonly quantity: string;
  readonly amount: string;
}

export async function countClaims(tx: Tx, orderId: string): Promise<number> {
  const [row] = await tx.sql<{ count: number }>(COUNT_SQL, [tx.organisationId, orderId]);
  return row?.count ?? 0;
}

export async function insertClaims(
  tx: Tx,
  { orderId, currency, claimedOn }: { orderId: string; currency: string; claimedOn: string },
  claims: readonly ClaimInsert[],
): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    orderId,
    currency,
    claimedOn,
    tx.actor.personId,
    JSON.stringify(claims),
  ]);
}

export async function settleClaim(
  tx: Tx,
  id: string,
  settlement: Pick<NewClaimSettlement, 'status' | 'note'> & {
    readonly settledOn: string;
    readonly creditedAmount?: Money | undefined;
  },
): Promise<void> {
  await tx.sql(SETTLE_SQL, [
    tx.organisationId,
    id,
    settlement.status,
    settlement.settledOn,
    settlement.note,
    settlement.creditedAmount?.amount ?? null,
  ]);
}

const toClaim = ({ currency, credited, ...row }: ClaimRow): Claim => ({
  ...row,
  quantity: quantityText(row.quantity),
  amount: moneyOf(row.amount, currency),
  creditedAmount: credited === null ? null : moneyOf(credited, currency),
});
