import type { NewStore, Store, StorePatch } from '../../../shared/contract/store.ts';
import { documentStore } from '../../db/document-store.ts';
import type { StoreModel as StoreRow } from '../../db/generated/models.ts';
import { documentFieldsOf, numberOrNull } from '../../db/wire-values.ts';

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
  }),
  toColumns: (input) => input,
});
