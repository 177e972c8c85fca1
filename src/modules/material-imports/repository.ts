import type { ImportError } from '../../../shared/contract/file-import.ts';
import type {
  MaterialImport,
  MaterialImportKind,
} from '../../../shared/contract/material-import.ts';
import type { Tx } from '../../db/database.ts';

const COLUMNS = `
  id, kind, mode, state, file_name as "fileName", file_sha256 as "fileSha256", row_count as "rowCount",
  error_count as "errorCount", created_count as "createdCount", updated_count as "updatedCount",
  unchanged_count as "unchangedCount", plan_hash as "planHash", requested_by_id as "requestedById",
  created_at as "createdAt"`;

const GET_SQL = `
  select ${COLUMNS},
    jsonb_path_query_array(errors, '$[0 to $last]', jsonb_build_object('last', $4::int)) as errors
  from material_import where organisation_id = $1 and kind = $2 and id = $3`;

const ERRORS_SQL = `
  select errors from material_import where organisation_id = $1 and kind = $2 and id = $3`;

const DRY_RUN_FILE_SQL = `
  select file_sha256 from material_import
  where organisation_id = $1 and kind = $2 and plan_hash = $3 and mode = 'dry-run' limit 1`;

const INSERT_SQL = `
  insert into material_import (organisation_id, id, kind, mode, state, file_name, file_sha256, row_count,
    error_count, created_count, updated_count, unchanged_count, plan_hash, errors, requested_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
  returning created_at`;

/** The hash of the file whose dry run gave the plan, or null when none did. */
export async function fileOfPlan(tx: Tx, kind: MaterialImportKind, planHash: string) {
  const values = [tx.organisationId, kind, planHash];
  const [row] = await tx.sql<{ file_sha256: string }>(DRY_RUN_FILE_SQL, values);
  return row?.file_sha256 ?? null;
}

export async function insertImport(
  tx: Tx,
  record: Omit<MaterialImport, 'createdAt' | 'requestedById'>,
): Promise<string> {
  const [row] = await tx.sql<{ created_at: string }>(INSERT_SQL, [
    tx.organisationId,
    record.id,
    record.kind,
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
export async function findImport(
  tx: Tx,
  kind: MaterialImportKind,
  id: string,
  errorCount: number,
): Promise<MaterialImport | null> {
  const values = [tx.organisationId, kind, id, errorCount - 1];
  const [row] = await tx.sql<MaterialImport>(GET_SQL, values);
  return row ?? null;
}

/** All errors kept of one import, or null when there is no such import. */
export async function findImportErrors(
  tx: Tx,
  kind: MaterialImportKind,
  id: string,
): Promise<ImportError[] | null> {
  const values = [tx.organisationId, kind, id];
  const [row] = await tx.sql<{ errors: ImportError[] }>(ERRORS_SQL, values);
  return row?.errors ?? null;
}
