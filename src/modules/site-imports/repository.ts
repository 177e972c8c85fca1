import type { ImportError } from '../../../shared/contract/file-import.ts';
import type { SiteImport } from '../../../shared/contract/site-import.ts';
import type { Tx } from '../../db/database.ts';
import type { ExistingSite } from './plan.ts';

const PROGRAMME_SQL = 'select id from programme where organisation_id = $1 and id = $2';

const VILLAGES_SQL = 'select code, id from village where organisation_id = $1';

const SITES_SQL = `
  select s.id, s.version, s.code, v.code as village_code, s.village_id, s.kind, s.roof_area_m2,
    s.roof_kind, s.runoff_coefficient, s.people_served, s.litres_per_person_per_day,
    s.demand_l_per_day, s.ground_class, s.agreed_on,
    c.version as contact_version, c.contact_name, c.phone, c.lat_deg, c.lon_deg,
    c.consent_given, c.consent_on
  from site s
    join village v on v.organisation_id = s.organisation_id and v.id = s.village_id
    left join site_contact c on c.organisation_id = s.organisation_id and c.id = s.id
  where s.organisation_id = $1 and s.programme_id = $2 and s.code = any($3)`;

const ERRORS_SQL = 'select errors from site_import where organisation_id = $1 and id = $2';

const IMPORT_COLUMNS = `
  id, programme_id, mode, state, file_name, file_sha256, row_count, error_count, created_count,
  updated_count, unchanged_count, plan_hash, requested_by_id, created_at`;

const GET_SQL = `
  select ${IMPORT_COLUMNS},
    jsonb_path_query_array(errors, '$[0 to $last]', jsonb_build_object('last', $3::int)) as errors
  from site_import where organisation_id = $1 and id = $2`;

const DRY_RUN_FILE_SQL = `
  select file_sha256 from site_import
  where organisation_id = $1 and programme_id = $2 and plan_hash = $3 and mode = 'dry-run' limit 1`;

const INSERT_SQL = `
  insert into site_import (organisation_id, id, programme_id, mode, state, file_name, file_sha256,
    row_count, error_count, created_count, updated_count, unchanged_count, plan_hash, errors,
    requested_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
  returning created_at`;

interface SiteRow {
  id: string;
  version: number;
  code: string;
  village_code: string;
  village_id: string;
  kind: string;
  roof_area_m2: number;
  roof_kind: string;
  runoff_coefficient: number | null;
  people_served: number;
  litres_per_person_per_day: number | null;
  demand_l_per_day: number | null;
  ground_class: string | null;
  agreed_on: string | null;
  contact_version: number | null;
  contact_name: string | null;
  phone: string | null;
  lat_deg: string | null;
  lon_deg: string | null;
  consent_given: boolean | null;
  consent_on: string | null;
}

interface ImportRow {
  id: string;
  programme_id: string;
  mode: SiteImport['mode'];
  state: SiteImport['state'];
  file_name: string;
  file_sha256: string;
  row_count: number;
  error_count: number;
  created_count: number;
  updated_count: number;
  unchanged_count: number;
  plan_hash: string;
  requested_by_id: string;
  created_at: string;
  errors: ImportError[];
}

export async function programmeExists(tx: Tx, programmeId: string): Promise<boolean> {
  return (await tx.sql(PROGRAMME_SQL, [tx.organisationId, programmeId])).length > 0;
}

export async function villageIdsByCode(tx: Tx): Promise<Map<string, string>> {
  const rows = await tx.sql<{ code: string; id: string }>(VILLAGES_SQL, [tx.organisationId]);
  return new Map(rows.map(({ code, id }) => [code, id]));
}

/** The sites of a programme that have one of the codes; `isLocked` holds them until the end. */
export async function sitesByCode(
  tx: Tx,
  programmeId: string,
  codes: readonly string[],
  isLocked: boolean,
): Promise<Map<string, ExistingSite>> {
  const text = isLocked ? `${SITES_SQL} order by s.id for update of s` : SITES_SQL;
  const rows = await tx.sql<SiteRow>(text, [tx.organisationId, programmeId, codes]);
  return new Map(rows.map((row) => [row.code, toExisting(row)]));
}

/** The hash of the file whose dry run gave the plan, or null when none did. */
export async function fileOfPlan(tx: Tx, programmeId: string, planHash: string) {
  const values = [tx.organisationId, programmeId, planHash];
  const [row] = await tx.sql<{ file_sha256: string }>(DRY_RUN_FILE_SQL, values);
  return row?.file_sha256 ?? null;
}

export async function insertImport(
  tx: Tx,
  record: Omit<SiteImport, 'createdAt' | 'requestedById'>,
): Promise<string> {
  const [row] = await tx.sql<{ created_at: string }>(INSERT_SQL, [
    tx.organisationId,
    record.id,
    record.programmeId,
    record.mode,
    record.state,
    record.fileName,
    record.fileSha256,
    record.rowCount,
    record.errorCount,
    record.createdCount,
    record.updatedCount,
    record.unchangedCount,
    record.planHash,
    JSON.stringify(record.errors),
    tx.actor.personId,
  ]);
  if (!row) throw new Error('The import was written and not returned');
  return row.created_at;
}

/** One import with its first errors, or null. */
export async function findImport(tx: Tx, id: string, errorCount: number) {
  const [row] = await tx.sql<ImportRow>(GET_SQL, [tx.organisationId, id, errorCount - 1]);
  return row ? toImport(row) : null;
}

/** All errors kept of one import, or null when there is no such import. */
export async function findImportErrors(tx: Tx, id: string): Promise<ImportError[] | null> {
  const [row] = await tx.sql<{ errors: ImportError[] }>(ERRORS_SQL, [tx.organisationId, id]);
  return row?.errors ?? null;
}

const numberOf = (text: string | null) => (text === null ? null : Number(text));

const toExisting = (row: SiteRow): ExistingSite => ({
  id: row.id,
  version: row.version,
  code: row.code,
  villageCode: row.village_code,
  values: {
    villageId: row.village_id,
    kind: row.kind,
    roofAreaM2: row.roof_area_m2,
    roofKind: row.roof_kind,
    runoffCoefficient: row.runoff_coefficient,
    peopleServed: row.people_served,
    litresPerPersonPerDay: row.litres_per_person_per_day,
    demandLPerDay: row.demand_l_per_day,
    groundClass: row.ground_class,
    agreedOn: row.agreed_on,
  },
  contact:
    row.contact_version === null
      ? null
      : {
          version: row.contact_version,
          consentGiven: row.consent_given ?? false,
          contactName: row.contact_name,
          phone: row.phone,
          latDeg: numberOf(row.lat_deg),
          lonDeg: numberOf(row.lon_deg),
          consentOn: row.consent_on,
        },
});

const toImport = (row: ImportRow): SiteImport => ({
  id: row.id,
  programmeId: row.programme_id,
  mode: row.mode,
  state: row.state,
  fileName: row.file_name,
  fileSha256: row.file_sha256,
  rowCount: row.row_count,
  errorCount: row.error_count,
  createdCount: row.created_count,
  updatedCount: row.updated_count,
  unchangedCount: row.unchanged_count,
  planHash: row.plan_hash,
  errors: row.errors,
  requestedById: row.requested_by_id,
  createdAt: row.created_at,
});
