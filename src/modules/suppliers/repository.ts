import type { NewSupplier, Supplier, SupplierPatch } from '../../../shared/contract/supplier.ts';
import { documentStore } from '../../db/document-store.ts';
import type { SupplierModel as SupplierRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';

export const supplierStore = documentStore<SupplierRow, Supplier, NewSupplier, SupplierPatch>({
  noun: 'supplier',
  sortKey: 'code',
  delegate: (prisma) => prisma.supplier,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    place: row.place,
  }),
  toColumns: (input) => input,
});
