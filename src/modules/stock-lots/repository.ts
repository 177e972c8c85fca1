import type { LotRecall, LotTest, NewLotTest } from '../../../shared/contract/stock-lot.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

export interface LotMaterial {
  readonly id: string;
  readonly code: string;
  readonly category: string;
  readonly lotIdentity: 'none' | 'manufacture-date' | 'treatment-certificate';
  readonly shelfLifeDays: number | null;
}

/** A lot as it is kept, with what decides how it stands. */
export interface LotRow {
  readonly id: string;
  readonly materialId: string;
  readonly materialCode: string;
  readonly category: string;
  readonly unitCode: string;
  readonly code: string;
  readonly supplierId: string | null;
  readonly manufacturedOn: string | null;
  readonly expiresOn: string | null;
  readonly certificateNumber: string | null;
  readonly treatedOn: string | null;
  readonly remarks: string;
  readonly recordedById: string;
  readonly recordedAt: string;
  readonly inStoresQuantity: string;
  readonly lastOutcome: 'passed' | 'failed' | null;
  readonly lastTestedOn: string | null;
  readonly lastUsableUntil: string | null;
  readonly recalledOn: string | null;
}

export interface LotInsert {
  readonly id: string;
  readonly materialId: string;
  readonly code: string;
  readonly supplierId: string | null;
  readonly manufacturedOn: string | null;
  readonly expiresOn: string | null;
  readonly certificateNumber: string | null;
  readonly treatedOn: string | null;
  readonly remarks: string;
}

const MATERIAL_SQL = `
  select id, code, category, lot_identity as "lotIdentity", shelf_life_days as "shelfLifeDays"
  from material where organisation_id = $1 and id = $2`;

// Two receipts of one new lot at once make one lot: the second finds it after the first commits.
const INSERT_SQL = `
  insert into stock_lot (organisation_id, id, material_id, code, supplier_id, manufactured_on, expires_on,
    certificate_number, treated_on, remarks, recorded_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`;

const INSERT_NEW_SQL = `${INSERT_SQL} on conflict on constraint stock_lot_code_key do nothing returning id`;

const LOT_COLUMNS = `
  l.id, l.material_id as "materialId", m.code as "materialCode", m.category, m.unit_code as "unitCode", l.code,
  l.supplier_id as "supplierId", l.manufactured_on as "manufacturedOn", l.expires_on as "expiresOn",
  l.certificate_number as "certificateNumber", l.treated_on as "treatedOn", l.remarks,
  l.recorded_by_id as "recordedById", l.recorded_at as "recordedAt",
  (select coalesce(sum(b.quantity), 0) from stock_lot_balance b
    where b.organisation_id = l.organisation_id and b.lot_id = l.id) as "inStoresQuantity",
  t.outcome as "lastOutcome", t.tested_on as "lastTestedOn", t.usable_until as "lastUsableUntil",
  (select max(r.recalled_on) from lot_recall r
    where r.organisation_id = l.organisation_id and r.lot_id = l.id and r.lifts_id is null
      and not exists (select from lot_recall f
        where f.organisation_id = r.organisation_id and f.lifts_id = r.id)) as "recalledOn"`;

const LOT_TABLES = `
  join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  left join lateral (select outcome, tested_on, usable_until from lot_test t
    where t.organisation_id = l.organisation_id and t.lot_id = l.id
    order by tested_on desc, recorded_at desc, id desc limit 1) t on true`;

const LOT_SQL = `
  select ${LOT_COLUMNS} from stock_lot l ${LOT_TABLES} where l.organisation_id = $1 and l.id = $2`;

const LOT_BY_CODE_SQL = `
  select ${LOT_COLUMNS} from stock_lot l ${LOT_TABLES}
  where l.organisation_id = $1 and l.material_id = $2 and l.code = $3`;

const LIST_SQL = `
  select ${LOT_COLUMNS} from stock_lot l ${LOT_TABLES}
  where l.organisation_id = $1
    and ($2::uuid is null or l.material_id = $2)
    and ($3::uuid is null or l.supplier_id = $3)
    and ($4::uuid is null or exists (select from stock_lot_balance b
      where b.organisation_id = l.organisation_id and b.lot_id = l.id and b.store_id = $4 and b.quantity > 0))
    and ($5::text is null or l.code = $5)
    and ($6::text is null or (l.code, l.id) > ($6, $7::uuid))
  order by l.code, l.id limit $8`;

const TESTS_SQL = `
  select id, lot_id as "lotId", tested_on as "testedOn", outcome, usable_until as "usableUntil", method, evidence,
    tested_by_id as "testedById", recorded_at as "recordedAt"
  from lot_test where organisation_id = $1 and lot_id = $2 order by tested_on, recorded_at, id limit 500`;

const INSERT_TEST_SQL = `
  insert into lot_test (organisation_id, id, lot_id, tested_on, outcome, usable_until, method, evidence, tested_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`;

const RECALLS_SQL = `
  select r.id, r.lot_id as "lotId", r.recalled_on as "recalledOn", r.reason, f.recalled_on as "liftedOn",
    f.reason as "liftReason", r.recorded_by_id as "recordedById", r.recorded_at as "recordedAt"
  from lot_recall r
    left join lot_recall f on f.organisation_id = r.organisation_id and f.lifts_id = r.id
  where r.organisation_id = $1 and r.lot_id = $2 and r.lifts_id is null
  order by r.recorded_at, r.id limit 500`;

const INSERT_RECALL_SQL = `
  insert into lot_recall (organisation_id, id, lot_id, recalled_on, reason, lifts_id, recorded_by_id)
  values ($1, $2, $3, $4, $5, $6, $7)`;

// Whoever moves the lot holds these cards; a recall waits for them and they see it after.
const HOLD_SQL = `
  select b.store_id from stock_balance b
  where b.organisation_id = $1
    and (b.store_id, b.material_id) in (select l.store_id, l.material_id from stock_lot_balance l
      where l.organisation_id = $1 and l.lot_id = $2)
  order by b.store_id, b.material_id for update`;

export async function findLotMaterial(tx: Tx, materialId: string): Promise<LotMaterial | null> {
  const [row] = await tx.sql<LotMaterial>(MATERIAL_SQL, [tx.organisationId, materialId]);
  return row ?? null;
}

const columnsOf = (tx: Tx, lot: LotInsert) => [
  tx.organisationId,
  lot.id,
  lot.materialId,
  lot.code,
  lot.supplierId,
  lot.manufacturedOn,
  lot.expiresOn,
  lot.certificateNumber,
  lot.treatedOn,
  lot.remarks,
  tx.actor.personId,
];

export async function insertLot(tx: Tx, lot: LotInsert): Promise<void> {
  await tx.sql(INSERT_SQL, columnsOf(tx, lot));
}

/** False when the material has a lot with this code already. */
export async function insertLotIfNew(tx: Tx, lot: LotInsert): Promise<boolean> {
  return (await tx.sql(INSERT_NEW_SQL, columnsOf(tx, lot))).length > 0;
}

const toLotRow = (row: LotRow): LotRow => ({
  ...row,
  inStoresQuantity: quantityText(row.inStoresQuantity),
});

export async function findLot(tx: Tx, id: string): Promise<LotRow | null> {
  const [row] = await tx.sql<LotRow>(LOT_SQL, [tx.organisationId, id]);
  return row ? toLotRow(row) : null;
}

export async function findLotByCode(
  tx: Tx,
  materialId: string,
  code: string,
): Promise<LotRow | null> {
  const [row] = await tx.sql<LotRow>(LOT_BY_CODE_SQL, [tx.organisationId, materialId, code]);
  return row ? toLotRow(row) : null;
}

export interface LotFilter {
  readonly limit: number;
  readonly cursor?: string | undefined;
  readonly materialId?: string | undefined;
  readonly supplierId?: string | undefined;
  readonly storeId?: string | undefined;
  readonly code?: string | undefined;
}

export async function listLots(
  tx: Tx,
  { limit, cursor, ...filter }: LotFilter,
): Promise<Page<LotRow>> {
  const list = `stock-lots?${JSON.stringify(filter)}`;
  const [code, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<LotRow>(LIST_SQL, [
    tx.organisationId,
    filter.materialId ?? null,
    filter.supplierId ?? null,
    filter.storeId ?? null,
    filter.code ?? null,
    code ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.code, row.id], toLotRow);
}

export const testsOf = (tx: Tx, lotId: string): Promise<LotTest[]> =>
  tx.sql<LotTest>(TESTS_SQL, [tx.organisationId, lotId]);

export async function insertTest(
  tx: Tx,
  lotId: string,
  id: string,
  test: NewLotTest,
): Promise<void> {
  await tx.sql(INSERT_TEST_SQL, [
    tx.organisationId,
    id,
    lotId,
    test.testedOn,
    test.outcome,
    test.outcome === 'passed' ? test.usableUntil : null,
    test.method,
    test.evidence,
    tx.actor.personId,
  ]);
}

export const recallsOf = (tx: Tx, lotId: string): Promise<LotRecall[]> =>
  tx.sql<LotRecall>(RECALLS_SQL, [tx.organisationId, lotId]);

export async function insertRecall(
  tx: Tx,
  recall: {
    id: string;
    lotId: string;
    recalledOn: string;
    reason: string;
    liftsId: string | null;
  },
): Promise<void> {
  await tx.sql(INSERT_RECALL_SQL, [
    tx.organisationId,
    recall.id,
    recall.lotId,
    recall.recalledOn,
    recall.reason,
    recall.liftsId,
    tx.actor.personId,
  ]);
}

/**
 * Holds what the stores have of a lot until the transaction ends. While it waits for somebody who
 * moves the lot, another store may get some of it; so it looks again until it holds them all.
 */
export async function holdLot(tx: Tx, lotId: string): Promise<void> {
  for (let held = -1; ; ) {
    const rows = await tx.sql(HOLD_SQL, [tx.organisationId, lotId]);
    if (rows.length === held) return;
    held = rows.length;
  }
}
