import type { Crew, CrewPatch, NewCrew } from '../../../shared/contract/crew.ts';
import { documentStore } from '../../db/document-store.ts';
import type { CrewModel as CrewRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';

export const crewStore = documentStore<CrewRow, Crew, NewCrew, CrewPatch>({
  noun: 'crew',
  sortKey: 'code',
  delegate: (prisma) => prisma.crew,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    programmeId: row.programmeId,
    size: row.size,
    homeVillageId: row.homeVillageId,
  }),
  toColumns: (input) => input,
});
