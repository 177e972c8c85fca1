import type {
  NewProgramme,
  Programme,
  ProgrammePatch,
} from '../../../shared/contract/programme.ts';
import type { Tx } from '../../db/database.ts';
import { type DocumentStore, documentStore } from '../../db/document-store.ts';
import type { ProgrammeModel as ProgrammeRow } from '../../db/generated/models.ts';
import { civilDate, documentFieldsOf, toDate, withDates } from '../../db/wire-values.ts';

const STANDARD_DESIGNS_SQL = `
  select design_revision_id from programme_standard_design
  where organisation_id = $1 and programme_id = $2 order by design_revision_id`;

const CLEAR_STANDARD_DESIGNS_SQL = `
  delete from programme_standard_design where organisation_id = $1 and programme_id = $2`;

const SET_STANDARD_DESIGNS_SQL = `
  insert into programme_standard_design (organisation_id, programme_id, design_revision_id)
  select $1, $2, unnest($3::uuid[])`;

type Row = ProgrammeRow;
type Columns = NewProgramme | ProgrammePatch;

const store = documentStore<Row, Programme, NewProgramme, ProgrammePatch>({
  noun: 'programme',
  sortKey: 'code',
  delegate: (prisma) => prisma.programme,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    startsOn: civilDate(row.startsOn),
    endsOn: civilDate(row.endsOn),
    currency: row.currency,
    workingWeekdays: row.workingWeekdays,
    holidays: row.holidays.map(civilDate),
    targetReliabilityRatio: row.targetReliabilityRatio,
    litresPerPersonPerDay: row.litresPerPersonPerDay,
    operatingRule: row.operatingRule as Programme['operatingRule'],
    firstFlushMm: row.firstFlushMm,
    gutterEfficiencyRatio: row.gutterEfficiencyRatio,
    rainsFrom: row.rainsFrom && civilDate(row.rainsFrom),
    rainsUntil: row.rainsUntil && civilDate(row.rainsUntil),
    holdReleaseDays: row.holdReleaseDays,
    wetDayMm: row.wetDayMm,
    moveDetourRatio: row.moveDetourRatio,
    moveSpeedKmPerH: row.moveSpeedKmPerH,
    movePackingHours: row.movePackingHours,
    standardDesignRevisionIds: [],
  }),
  toColumns: (input: Columns) => ({
    ...withDates(input, ['startsOn', 'endsOn', 'rainsFrom', 'rainsUntil']),
    ...(input.holidays ? { holidays: input.holidays.map(toDate) } : {}),
  }),
});

/** Programmes with the standard designs that their sites may get. */
export const programmeStore: DocumentStore<Programme, NewProgramme, ProgrammePatch> = {
  ...store,
  list: async (tx, page) => {
    const found = await store.list(tx, page);
    const items: Programme[] = [];
    for (const item of found.items) items.push(await withStandardDesigns(tx, item));
    return { ...found, items };
  },
  get: async (tx, id) => withStandardDesigns(tx, await store.get(tx, id)),
  update: async (tx, id, version, patch) =>
    withStandardDesigns(tx, await store.update(tx, id, version, patch)),
};

async function withStandardDesigns(tx: Tx, item: Programme): Promise<Programme> {
  const rows = await tx.sql<{ design_revision_id: string }>(STANDARD_DESIGNS_SQL, [
    tx.organisationId,
    item.id,
  ]);
  return { ...item, standardDesignRevisionIds: rows.map((row) => row.design_revision_id) };
}

/** Replaces the standard designs of a programme. */
export async function replaceStandardDesigns(tx: Tx, programmeId: string, revisionIds: string[]) {
  await tx.sql(CLEAR_STANDARD_DESIGNS_SQL, [tx.organisationId, programmeId]);
  await tx.sql(SET_STANDARD_DESIGNS_SQL, [tx.organisationId, programmeId, revisionIds]);
}
