import type { Material, MaterialPatch, NewMaterial } from '../../../shared/contract/material.ts';
import { documentStore } from '../../db/document-store.ts';
import type { MaterialModel as MaterialRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';
import type { MaterialStore } from './use-cases.ts';

// The lock comes first and alone, so that the question after it sees what others have committed.
const LOCK_SQL = 'select id from material where organisation_id = $1 and id = $2 for update';

const IS_COUNTED_SQL = `
  select exists (select from offer where organisation_id = $1 and material_id = $2)
    or exists (select from bill_line where organisation_id = $1 and material_id = $2)
    or exists (select from purchase_order_line where organisation_id = $1 and material_id = $2)
    or exists (select from stock_entry where organisation_id = $1 and material_id = $2)
    as is_counted`;

export const materialStore: MaterialStore = {
  ...documentStore<MaterialRow, Material, NewMaterial, MaterialPatch>({
    noun: 'material',
    sortKey: 'code',
    delegate: (prisma) => prisma.material,
    toWire: (row) => ({
      ...documentFieldsOf(row),
      code: row.code,
      name: row.name,
      category: row.category as Material['category'],
      unitCode: row.unitCode as Material['unitCode'],
      massKgPerUnit: row.massKgPerUnit,
      storageM2PerUnit: row.storageM2PerUnit,
      shelfLifeDays: row.shelfLifeDays,
      lotIdentity: row.lotIdentity as Material['lotIdentity'],
    }),
    toColumns: (input) => input,
  }),
  async isCounted(tx, id) {
    await tx.sql(LOCK_SQL, [tx.organisationId, id]);
    const [row] = await tx.sql<{ is_counted: boolean }>(IS_COUNTED_SQL, [tx.organisationId, id]);
    return row?.is_counted ?? false;
  },
};
