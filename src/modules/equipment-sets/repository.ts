import type {
  EquipmentSet,
  EquipmentSetPatch,
  NewEquipmentSet,
} from '../../../shared/contract/equipment-set.ts';
import { documentStore } from '../../db/document-store.ts';
import type { EquipmentSetModel as EquipmentSetRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';

export const equipmentSetStore = documentStore<
  EquipmentSetRow,
  EquipmentSet,
  NewEquipmentSet,
  EquipmentSetPatch
>({
  noun: 'equipment set',
  sortKey: 'code',
  delegate: (prisma) => prisma.equipmentSet,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    programmeId: row.programmeId,
    code: row.code,
    name: row.name,
    unitCount: row.unitCount,
  }),
  toColumns: (input) => input,
});
