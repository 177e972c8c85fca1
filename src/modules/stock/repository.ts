import type { StockBalance, StockEntry } from '../../../shared/contract/stock.ts';
import type { StockLotBalance } from '../../../shared/contract/stock-lot.ts';
import { lotStanding } from '../../../shared/procurement/lot-standing.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

export interface StockedMaterial {
  readonly code: string;
  readonly category: string;
  readonly unit_code: string;
  readonly lot_identity: 'none' | 'manufacture-date' | 'treatment-certificate';
}

export interface BuildAtWork {
  readonly code: string;
  readonly village_id: string;
  readonly programme_id: string;
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
  readonly lotId?: string | null | undefined;
  readonly stageCode?: string | null | undefined;
  readonly issueId?: string | null | undefined;
  readonly receiptLineId?: string | null | undefined;
  readonly dispatchLineId?: string | null | undefined;
  readonly writeOffRequestId?: string | null | undefined;
  readonly documentNumber: string;
  readonly reason: string;
}

const MATERIAL_SQL =
  'select code, category, unit_code, lot_identity from material where organisation_id = $1 and id = $2';
const STORE_SQL = 'select code, village_id from store where organisation_id = $1 and id = $2';
const BUILD_SQL = `
  select code, village_id, programme_id, cancelled_on from build where organisation_id = $1 and id = $2`;

// Under the lock of the balance each entry of a card is recorded later than the one before it,
// so that the running balance has one order.
const INSERT_SQL = `
  insert into stock_entry as e (organisation_id, id, store_id, material_id, kind, quantity, unit_code,
    observed_on, order_line_id, build_id, counterpart_store_id, transfer_id, document_number, reason,
    recorded_by_id, lot_id, stage_code, issue_id, receipt_line_id, dispatch_line_id, write_off_request_id, recorded_at)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21,
    greatest(clock_timestamp(), (select max(recorded_at) + interval '1 millisecond' from stock_entry
      where organisation_id = $1 and store_id = $3 and material_id = $4)))
  returning `;

const OWN_COLUMNS = `
  e.id, e.store_id as "storeId", e.material_id as "materialId", e.kind, e.quantity,
  e.unit_code as "unitCode", e.observed_on as "observedOn", e.order_line_id as "orderLineId",
  e.build_id as "buildId", e.counterpart_store_id as "counterpartStoreId",
  e.transfer_id as "transferId", e.lot_id as "lotId", e.stage_code as "stageCode", e.issue_id as "issueId",
  e.receipt_line_id as "receiptLineId", e.dispatch_line_id as "dispatchLineId",
  e.write_off_request_id as "writeOffRequestId", e.document_number as "documentNumber", e.reason,
  e.recorded_by_id as "recordedById", e.recorded_at as "recordedAt"`;

const ENTRY_COLUMNS = `${OWN_COLUMNS},
  (select sum(c.quantity) from stock_entry c
    where c.organisation_id = e.organisation_id and c.store_id = e.store_id
      and c.material_id = e.material_id and (c.recorded_at, c.id) <= (e.recorded_at, e.id)
  ) as "balanceAfter"`;

const ENTRY_SQL = `
  select ${ENTRY_COLUMNS} from stock_entry e where e.organisation_id = $1 and e.id = $2`;

const TRANSFER_SQL = `
  select ${ENTRY_COLUMNS} from stock_entry e where e.organisation_id = $1 and e.transfer_id = $2
  order by e.kind desc, e.recorded_at, e.id`;

const ISSUE_SQL = `
  select ${ENTRY_COLUMNS} from stock_entry e where e.organisation_id = $1 and e.issue_id = $2
  order by e.recorded_at, e.id`;

const LIST_SQL = `
  select ${ENTRY_COLUMNS}
  from (
    select * from stock_entry
    where organisation_id = $1
      and ($2::uuid is null or store_id = $2)
      and ($3::uuid is null or material_id = $3)
      and ($4::uuid is null or build_id = $4)
      and ($5::uuid is null or lot_id = $5)
      and ($6::timestamptz is null or (recorded_at, id) > ($6, $7::uuid))
    order by recorded_at, id limit $8
  ) e
  order by e.recorded_at, e.id`;

// Of each card its lots, and what has no lot when that is not zero.
const LOT_BALANCES_SQL = `
  select r.store_id as "storeId", s.code as "storeCode", r.material_id as "materialId", m.code as "materialCode",
    r.lot_id as "lotId", l.code as "lotCode", r.quantity, m.unit_code as "unitCode", l.expires_on as "expiresOn",
    t.outcome, t.tested_on as "testedOn", t.usable_until as "testedUntil",
    (select max(c.recalled_on) from lot_recall c
      where c.organisation_id = l.organisation_id and c.lot_id = l.id and c.lifts_id is null
        and not exists (select from lot_recall f
          where f.organisation_id = c.organisation_id and f.lifts_id = c.id)) as "recalledOn"
  from (
    select organisation_id, store_id, material_id, lot_id, quantity from stock_lot_balance
    where organisation_id = $1 and quantity > 0
    union all
    select b.organisation_id, b.store_id, b.material_id, null, b.quantity - coalesce((
      select sum(o.quantity) from stock_lot_balance o where o.organisation_id = b.organisation_id
        and o.store_id = b.store_id and o.material_id = b.material_id), 0)
    from stock_balance b where b.organisation_id = $1 and b.quantity > 0
  ) r
    join store s on s.organisation_id = r.organisation_id and s.id = r.store_id
    join material m on m.organisation_id = r.organisation_id and m.id = r.material_id
    left join stock_lot l on l.organisation_id = r.organisation_id and l.id = r.lot_id
    left join lateral (select outcome, tested_on, usable_until from lot_test t
      where t.organisation_id = l.organisation_id and t.lot_id = l.id
      order by tested_on desc, recorded_at desc, id desc limit 1) t on true
  where r.quantity > 0
    and ($2::uuid is null or r.store_id = $2)
    and ($3::uuid is null or r.material_id = $3)
    and ($4::uuid is null or r.lot_id = $4)
    and ($5::text is null or (s.code, m.code, coalesce(l.code, '')) > ($5, $6, $7))
  order by s.code, m.code, coalesce(l.code, '') limit $8`;

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

export interface StoreOfStock {
  readonly code: string;
  readonly village_id: string | null;
}

export async function findStore(tx: Tx, id: string): Promise<StoreOfStock | null> {
  const [row] = await tx.sql<StoreOfStock>(STORE_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export async function findBuild(tx: Tx, id: string): Promise<BuildAtWork | null> {
  const [row] = await tx.sql<BuildAtWork>(BUILD_SQL, [tx.organisationId, id]);
  return row ?? null;
}

/**
 * Writes an entry; the balance follows it. The balance must be held, and so it is known what it is
 * after this entry.
 */
export async function insertEntry(
  tx: Tx,
  posting: StockPosting,
  balanceAfter: string,
): Promise<StockEntry> {
  const [entry] = await tx.sql<StockEntry>(INSERT_SQL + OWN_COLUMNS, [
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
    posting.lotId ?? null,
    posting.stageCode ?? null,
    posting.issueId ?? null,
    posting.receiptLineId ?? null,
    posting.dispatchLineId ?? null,
    posting.writeOffRequestId ?? null,
  ]);
  if (!entry) throw new Error('A stock entry was not found after it was written');
  return toEntry({ ...entry, balanceAfter });
}

/** The two entries of a transfer, what left first; none when it is not known. */
export async function findTransfer(tx: Tx, transferId: string): Promise<StockEntry[]> {
  const rows = await tx.sql<StockEntry>(TRANSFER_SQL, [tx.organisationId, transferId]);
  return rows.map(toEntry);
}

/** The entries of an issue slip, in the order of recording. */
export async function findIssue(tx: Tx, issueId: string): Promise<StockEntry[]> {
  return (await tx.sql<StockEntry>(ISSUE_SQL, [tx.organisationId, issueId])).map(toEntry);
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
    lotId?: string | undefined;
  },
): Promise<Page<StockEntry>> {
  const list = `stock-entries?${JSON.stringify(filter)}`;
  const [recordedAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<StockEntry>(LIST_SQL, [
    tx.organisationId,
    filter.storeId ?? null,
    filter.materialId ?? null,
    filter.buildId ?? null,
    filter.lotId ?? null,
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

interface LotBalanceRow {
  readonly storeId: string;
  readonly storeCode: string;
  readonly materialId: string;
  readonly materialCode: string;
  readonly lotId: string | null;
  readonly lotCode: string | null;
  readonly quantity: string;
  readonly unitCode: StockLotBalance['unitCode'];
  readonly expiresOn: string | null;
  readonly outcome: 'passed' | 'failed' | null;
  readonly testedOn: string | null;
  readonly testedUntil: string | null;
  readonly recalledOn: string | null;
}

export async function listLotBalances(
  tx: Tx,
  today: string,
  {
    limit,
    cursor,
    ...filter
  }: Paging & {
    storeId?: string | undefined;
    materialId?: string | undefined;
    lotId?: string | undefined;
  },
): Promise<Page<StockLotBalance>> {
  const list = `stock-lot-balances?${JSON.stringify(filter)}`;
  const after = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<LotBalanceRow>(LOT_BALANCES_SQL, [
    tx.organisationId,
    filter.storeId ?? null,
    filter.materialId ?? null,
    filter.lotId ?? null,
    after[0] ?? null,
    after[1] ?? null,
    after[2] ?? null,
    limit + 1,
  ]);
  return toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.storeCode, row.materialCode, row.lotCode ?? ''],
    ({ expiresOn, outcome, testedOn, testedUntil, recalledOn, ...row }) => ({
      ...row,
      quantity: quantityText(row.quantity),
      ...lotStanding(
        {
          expiresOn,
          recalledOn,
          lastTest: outcome && testedOn ? { outcome, testedOn, usableUntil: testedUntil } : null,
        },
        today,
      ),
    }),
  );
}

const toEntry = (row: StockEntry): StockEntry => ({
  ...row,
  quantity: quantityText(row.quantity),
  balanceAfter: quantityText(row.balanceAfter),
});
