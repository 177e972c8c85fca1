import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import { PERSONAL_FIELDS } from '../../../shared/contract/site.ts';
import {
  type ImportError,
  INLINE_ERRORS,
  type SiteImport,
  type SiteImportQuery,
  type SiteImportWithPreview,
} from '../../../shared/contract/site-import.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, notFound } from '../../domain/errors.ts';
import { harmlessFileName } from '../../domain/file-name.ts';
import { runInWorker, WorkerFailure } from '../../workers/pool.ts';
import { checkReferences } from './check-references.ts';
import type { CheckedRows, SiteRow } from './check-rows.ts';
import { ImportErrors } from './import-errors.ts';
import { type ImportPlan, planImport, previewOf } from './plan.ts';
import {
  fileOfPlan,
  findImport,
  findImportErrors,
  insertImport,
  programmeExists,
  sitesByCode,
  villageIdsByCode,
} from './repository.ts';
import { writePlan } from './write-plan.ts';

const LIMITS = { maxRows: 50_000, maxColumns: 200, maxCellLength: 10_000 };
/** Wall-clock limit of reading one file; 50,000 rows of a workbook take about six of a free core. */
const READING_LIMIT_MS = 40_000;

export interface SiteFile {
  readonly bytes: Uint8Array;
  readonly mediaType: string;
}

export interface SiteImports {
  /** Judges the whole file; applies it only when nothing is wrong and nothing changed since. */
  run(
    tx: Tx,
    programmeId: string,
    file: SiteFile,
    query: SiteImportQuery,
  ): Promise<SiteImportWithPreview>;
  get(tx: Tx, id: string): Promise<SiteImport>;
  /** Every error kept of an import. */
  errors(tx: Tx, id: string): Promise<ImportError[]>;
}

export function createSiteImports(clock: Clock): SiteImports {
  return {
    async run(tx, programmeId, file, query) {
      if (!(await programmeExists(tx, programmeId))) throw notFound('programme', programmeId);
      const { mode } = query;
      const isApplied = mode === 'apply';
      const today = clock.today();
      const fileSha256 = createHash('sha256').update(file.bytes).digest('hex');
      const checked = await readInWorker(file, today);
      requireContactRight(tx, checked.rows);
      const errors = new ImportErrors(checked);
      const villageIdByCode = await villageIdsByCode(tx);
      const codes = checked.references.map(({ code }) => code).filter((code) => code !== null);
      const siteByCode = await sitesByCode(tx, programmeId, codes, isApplied);
      checkReferences(checked.references, villageIdByCode, siteByCode, errors);
      const plan = planImport(
        { programmeId, fileSha256, rows: checked.rows, villageIdByCode, siteByCode, today },
        errors,
      );
      errors.sort();
      const id = uuidv7();
      if (isApplied) {
        if (errors.count > 0) throw refusedFile(errors);
        await requireSamePlan(tx, programmeId, fileSha256, plan, query.planHash ?? '');
        await writePlan(tx, programmeId, id, plan);
      }
      const record = {
        id,
        programmeId,
        mode,
        state: isApplied ? 'applied' : errors.count > 0 ? 'rejected' : 'checked',
        fileName: harmlessFileName(query.fileName, 'sites'),
        fileSha256,
        rowCount: checked.rowCount,
        errorCount: errors.count,
        ...countsOf(plan),
        planHash: plan.hash,
        errors: errors.listed,
      } as const;
      const createdAt = await insertImport(tx, record);
      await tx.audit(isApplied ? 'apply' : 'check', 'site import', id, {
        programmeId,
        rowCount: record.rowCount,
        errorCount: record.errorCount,
        ...countsOf(plan),
      });
      return {
        ...record,
        errors: errors.listed.slice(0, INLINE_ERRORS),
        requestedById: tx.actor.personId,
        createdAt,
        preview: previewOf(plan),
      };
    },
    async get(tx, id) {
      const found = await findImport(tx, id, INLINE_ERRORS);
      if (!found) throw notFound('site import', id);
      return found;
    },
    async errors(tx, id) {
      const found = await findImportErrors(tx, id);
      if (!found) throw notFound('site import', id);
      return found;
    },
  };
}

async function readInWorker({ bytes, mediaType }: SiteFile, today: string): Promise<CheckedRows> {
  try {
    return await runInWorker(
      'read-site-file',
      { bytes, mediaType, limits: LIMITS, today },
      { timeoutMs: READING_LIMIT_MS },
    );
  } catch (error) {
    if (!(error instanceof WorkerFailure)) throw error;
    throw new DomainError('too-large', {
      detail: 'Reading the file takes more time or memory than a file of sites may. Split it.',
      cause: error,
    });
  }
}

/** Contacts are a right of their own, also through a file. */
function requireContactRight(tx: Tx, rows: readonly SiteRow[]): void {
  if (tx.actor.permissions.has('contacts:write')) return;
  const hasPersonal = rows.some(({ cells }) =>
    PERSONAL_FIELDS.some((field) => (cells[field] ?? null) !== null),
  );
  if (!hasPersonal) return;
  throw new DomainError('forbidden', {
    detail:
      'The columns contact_name, phone, lat_deg and lon_deg need the permission contacts:write.',
  });
}

function refusedFile(errors: ImportErrors): DomainError {
  return new DomainError('invalid-content', {
    detail: `The file has ${errors.count} errors; nothing was written.`,
    errors: errors.listed.slice(0, INLINE_ERRORS).map((error) => ({
      pointer: `/lines/${error.line}/${error.column}`,
      message: error.hint,
      ...error,
    })),
    extra: { errorCount: errors.count },
  });
}

async function requireSamePlan(
  tx: Tx,
  programmeId: string,
  fileSha256: string,
  plan: ImportPlan,
  planHash: string,
): Promise<void> {
  if (plan.hash === planHash) return;
  const checkedFile = await fileOfPlan(tx, programmeId, planHash);
  const reason =
    checkedFile === null
      ? 'No dry run of this programme gave this planHash'
      : checkedFile === fileSha256
        ? 'Sites or villages have changed since the dry run'
        : 'This is not the file of the dry run';
  throw new DomainError('conflict', {
    detail: `${reason}; nothing was written. Make a new dry run.`,
    extra: { constraint: 'plan-hash' },
  });
}

function countsOf({ rows }: ImportPlan) {
  const count = (action: string) => rows.filter((row) => row.action === action).length;
  return {
    createdCount: count('create'),
    updatedCount: count('update'),
    unchangedCount: count('unchanged'),
  };
}
