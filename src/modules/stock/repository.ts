import type { StockBalance, StockEntry } from '../../../shared/contract/stock.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

export interface StockedMaterial {
  readonly code: string;
  readonly category: string;
  readonly unit_code: string;
}

export interface BuildAtWork {
  readonly code: string;
  readonly cancelled_on: string | null;
}

export interface StockPosting {
  readonly id: string;
  readonly storeId: string;
  readonly materialId: string;
  readonly kind: StockEntry['kind'];
  /** Signed. */
  readonly quantity: string;
  readonly unitCode: string;
  readonly observedOn: string;
  readonly orderLineId?: string | null | undefined;
  readonly buildId?: string | null | undefined;
  readonly counterpartStoreId?: string | null | undefined;
  readonly transferId?: string | null | undefined;
  readonly documentNumber: string;
  readonly reason: string;
}

const MATERIAL_SQL =
  'select code, category, unit_code from material where organisation_id = $1 and id = $2';
const STORE_SQL = 'select code from store where organisation_id = $1 and id = $2';
const BUILD_SQL = 'select code, cancelled_on from build where organisation_id = $1 and id = $2';

const OPEN_BALANCE_SQL = `
  insert into stock_balance (organisation_id, store_id, material_id, quantity)
  values ($1, $2, $3, 0) on conflict do nothing`;

const LOCK_BALANCE_SQL = `
  select quantity from stock_balance
  where organisation_id = $1 and store_id = $2 and material_id = $3 for update`;

const LOCK_BUILD_SQL =
  'select id from build where organisation_id = $1 and id = $2 for no key update';

const AT_BUILD_SQL = `
  select coalesce(-sum(quantity), 0) as quantity from stock_entry
  where organisation_id = $1 and build_id = $2 and material_id = $3 and kind in ('issue', 'return')`;

// Under the lock of the balance each entry of a card is recorded later than the one before it,
// so that the running balance has one order.
const INSERT_SQL = `
  insert into stock_entry (organisation_id, id, store_id, material_id, kind, quantity, unit_code,
    observed_on, order_line_id, build_id, counterpart_store_id, transfer_id, document_number, reason,
    recorded_by_id, recorded_at)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15,
    greatest(clock_timestamp(), (select max(recorded_at) + interval '1 millisecond' from stock_entry
      where organisation_id = $1 and store_id = $3 and material_id = $4)))`;

const ENTRY_COLUMNS = `
  e.id, e.store_id as "storeId", e.material_id as "materialId", e.kind, e.quantity,
  e.unit_code as "unitCode", e.observed_on as "observedOn", e.order_line_id as "orderLineId",
  e.build_id as "buildId", e.counterpart_store_id as "counterpartStoreId",
  e.transfer_id as "transferId", e.document_number as "documentNumber", e.reason,
  e.recorded_by_id as "recordedById", e.recorded_at as "recordedAt",
  (select sum(c.quantity) from stock_entry c
    where c.organisation_id = e.organisation_id and c.store_id = e.store_id
      and c.material_id = e.material_id and (c.recorded_at, c.id) <= (e.recorded_at, e.id)
  ) as "balanceAfter"`;

const ENTRY_SQL = `
  select ${ENTRY_COLUMNS} from stock_entry e where e.organisation_id = $1 and e.id = $2`;

const LIST_SQL = `
  select ${ENTRY_COLUMNS}
  from (
    select * from stock_entry
    where organisation_id = $1
      and ($2::uuid is null or store_id = $2)
      and ($3::uuid is null or material_id = $3)
      and ($4::uuid is null or build_id = $4)
      and ($5::timestamptz is null or (recorded_at, id) > ($5, $6::uuid))
    order by recorded_at, id limit $7
  ) e
  order by e.recorded_at, e.id`;

const BALANCES_SQL = `
  select b.store_id as "storeId", s.code as "storeCode", b.material_id as "materialId",
    m.code as "materialCode", m.name as "materialName", b.quantity, m.unit_code as "unitCode"
  from stock_balance b
    join store s on s.organisation_id = b.organisation_id and s.id = b.store_id
    join material m on m.organisation_id = b.organisation_id and m.id = b.material_id
  where b.organisation_id = $1
    and ($2::uuid is null or b.store_id = $2)
    and ($3::uuid is null or b.material_id = $3)
    and ($4::text is null or (s.code, m.code) > ($4, $5))
  order by s.code, m.code limit $6`;

export async function findMaterial(tx: Tx, id: string): Promise<StockedMaterial | null> {
  const [row] = await tx.sql<StockedMaterial>(MATERIAL_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export async function findStoreCode(tx: Tx, id: string): Promise<string | null> {
  const [row] = await tx.sql<{ code: string }>(STORE_SQL, [tx.organisationId, id]);
  return row?.code ?? null;
}

export async function findBuild(tx: Tx, id: string): Promise<BuildAtWork | null> {
  const [row] = await tx.sql<BuildAtWork>(BUILD_SQL, [tx.organisationId, id]);
  return row ?? null;
}

/** The balance of a material in a store, held against others until the transaction ends. */
export async function lockBalance(tx: Tx, storeId: string, materialId: string): Promise<string> {
  const card = [tx.organisationId, storeId, materialId];
  await tx.sql(OPEN_BALANCE_SQL, card);
  const [row] = await tx.sql<{ quantity: string }>(LOCK_BALANCE_SQL, card);
  return quantityText(row?.quantity ?? '0');
}

/** What was issued to a build and not returned; further returns wait until the transaction ends. */
export async function lockQuantityAtBuild(
  tx: Tx,
  buildId: string,
  materialId: string,
): Promise<string> {
  await tx.sql(LOCK_BUILD_SQL, [tx.organisationId, buildId]);
  const [row] = await tx.sql<{ quantity: string }>(AT_BUILD_SQL, [
    tx.organisationId,
    buildId,
    materialId,
  ]);
  return quantityText(row?.quantity ?? '0');
}

/** Writes an entry; the balance follows it. The balance must be locked. */
export async function insertEntry(tx: Tx, posting: StockPosting): Promise<StockEntry> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    posting.id,
    posting.storeId,
    posting.materialId,
    posting.kind,
    posting.quantity,
    posting.unitCode,
    posting.observedOn,
    posting.orderLineId ?? null,
    posting.buildId ?? null,
    posting.counterpartStoreId ?? null,
    posting.transferId ?? null,
    posting.documentNumber,
    posting.reason,
    tx.actor.personId,
  ]);
  const entry = await findEntry(tx, posting.id);
  if (!entry) throw new Error('A stock entry was not found after it was written');
  return entry;
}

export async function findEntry(tx: Tx, id: string): Promise<StockEntry | null> {
  const [row] = await tx.sql<StockEntry>(ENTRY_SQL, [tx.organisationId, id]);
  return row ? toEntry(row) : null;
}

interface Paging {
  readonly limit: number;
  readonly cursor?: string | undefined;
}

export async function listEntries(
  tx: Tx,
  {
    limit,
    cursor,
    ...filter
  }: Paging & {
    storeId?: string | undefined;
    materialId?: string | undefined;
    buildId?: string | undefined;
  },
): Promise<Page<StockEntry>> {
  const list = `stock-entries?${JSON.stringify(filter)}`;
  const [recordedAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<StockEntry>(LIST_SQL, [
    tx.organisationId,
    filter.storeId ?? null,
    filter.materialId ?? null,
    filter.buildId ?? null,
    recordedAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.recordedAt, row.id], toEntry);
}

export async function listBalances(
  tx: Tx,
  {
    limit,
    cursor,
    ...filter
  }: Paging & { storeId?: string | undefined; materialId?: string | undefined },
): Promise<Page<StockBalance>> {
  const list = `stock-balances?${JSON.stringify(filter)}`;
  const [storeCode, materialCode] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<StockBalance>(BALANCES_SQL, [
    tx.organisationId,
    filter.storeId ?? null,
    filter.materialId ?? null,
    storeCode ?? null,
    materialCode ?? null,
    limit + 1,
  ]);
  return toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.storeCode, row.materialCode],
    (row) => ({ ...row, quantity: quantityText(row.quantity) }),
  );
}

const toEntry = (row: StockEntry): StockEntry => ({
  ...row,
  quantity: quantityText(row.quantity),
  balanceAfter: quantityText(row.balanceAfter),
});
