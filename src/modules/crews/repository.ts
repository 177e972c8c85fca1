import type { Crew, CrewPatch, NewCrew } from '../../../shared/contract/crew.ts';
import { documentStore } from '../../db/document-store.ts';
import type { CrewModel as CrewRow } from '../../db/generated/models.ts';
import { civilDate, documentFieldsOf, withDates } from '../../db/wire-values.ts';

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
    trades: row.trades,
    availableFrom: row.availableFrom && civilDate(row.availableFrom),
    availableUntil: row.availableUntil && civilDate(row.availableUntil),
    absences: row.absences as unknown as Crew['absences'],
    tanksBuilt: row.tanksBuilt,
    practisedAfterTanks: row.practisedAfterTanks,
    learningRatio: Number(row.learningRatio),
  }),
  toColumns: (input) => withDates(input, ['availableFrom', 'availableUntil']),
});
