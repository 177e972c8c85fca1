import type { Donor, DonorPatch, NewDonor } from '../../../shared/contract/donor.ts';
import { documentStore } from '../../db/document-store.ts';
import type { DonorModel as DonorRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';

export const donorStore = documentStore<DonorRow, Donor, NewDonor, DonorPatch>({
  noun: 'donor',
  sortKey: 'code',
  delegate: (prisma) => prisma.donor,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
  }),
  toColumns: (input) => input,
});
