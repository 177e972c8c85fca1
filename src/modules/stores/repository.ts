import type {
  NewSafetyStock,
  NewStore,
  SafetyStock,
  Store,
  StorePatch,
} from '../../../shared/contract/store.ts';
import type { Tx } from '../../db/database.ts';
import { documentStore } from '../../db/document-store.ts';
import type { StoreModel as StoreRow } from '../../db/generated/models.ts';
import { documentFieldsOf, numberOrNull, quantityText } from '../../db/wire-values.ts';

const SAFETY_STOCK_SQL = `
  select s.material_id as "materialId", m.code as "materialCode", m.unit_code as "unitCode", s.quantity
  from safety_stock s
    join material m on m.organisation_id = s.organisation_id and m.id = s.material_id
  where s.organisation_id = $1 and s.store_id = $2 order by m.code`;

const CLEAR_SAFETY_STOCK_SQL =
  'delete from safety_stock where organisation_id = $1 and store_id = $2';

const SET_SAFETY_STOCK_SQL = `
  insert into safety_stock (organisation_id, store_id, material_id, quantity)
  select $1, $2, material_id, quantity
  from unnest($3::uuid[], $4::numeric[]) as s (material_id, quantity)`;

const KNOWN_MATERIALS_SQL = 'select id from material where organisation_id = $1 and id = any($2)';

export const storeStore = documentStore<StoreRow, Store, NewStore, StorePatch>({
  noun: 'store',
  sortKey: 'code',
  delegate: (prisma) => prisma.store,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    place: row.place,
    latDeg: numberOrNull(row.latDeg),
    lonDeg: numberOrNull(row.lonDeg),
    villageId: row.villageId,
    floorAreaM2: row.floorAreaM2,
  }),
  toColumns: (input) => input,
});

export async function safetyStockOf(tx: Tx, storeId: string): Promise<SafetyStock> {
  const items = await tx.sql<SafetyStock['items'][number]>(SAFETY_STOCK_SQL, [
    tx.organisationId,
    storeId,
  ]);
  return { items: items.map((item) => ({ ...item, quantity: quantityText(item.quantity) })) };
}

/** Puts a store's safety stock in the place of what it was. */
export async function replaceSafetyStock(
  tx: Tx,
  storeId: string,
  items: NewSafetyStock['items'],
): Promise<void> {
  await tx.sql(CLEAR_SAFETY_STOCK_SQL, [tx.organisationId, storeId]);
  await tx.sql(SET_SAFETY_STOCK_SQL, [
    tx.organisationId,
    storeId,
    items.map(({ materialId }) => materialId),
    items.map(({ quantity }) => quantity),
  ]);
}

export async function knownMaterialIds(tx: Tx, ids: readonly string[]) {
  const rows = await tx.sql<{ id: string }>(KNOWN_MATERIALS_SQL, [tx.organisationId, ids]);
  return new Set(rows.map(({ id }) => id));
}
