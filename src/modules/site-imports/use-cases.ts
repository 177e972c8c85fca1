import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import { type ImportError, INLINE_ERRORS } from '../../../shared/contract/file-import.ts';
import { PERSONAL_FIELDS } from '../../../shared/contract/site.ts';
import type {
  SiteImport,
  SiteImportQuery,
  SiteImportWithPreview,
} from '../../../shared/contract/site-import.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, notFound } from '../../domain/errors.ts';
import { harmlessFileName } from '../../domain/file-name.ts';
import {
  type ImportedFile,
  READING_LIMIT_MS,
  readWithinLimits,
  refusedFile,
  requireSamePlan,
  TABLE_LIMITS,
} from '../../imports/file-refusals.ts';
import { ImportErrors } from '../../imports/import-errors.ts';
import { runInWorker } from '../../workers/pool.ts';
import { checkReferences } from './check-references.ts';
import type { SiteRow } from './check-rows.ts';
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

export interface SiteImports {
  /** Judges the whole file; applies it only when nothing is wrong and nothing changed since. */
  run(
    tx: Tx,
    programmeId: string,
    file: ImportedFile,
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
      const reading = { ...file, limits: TABLE_LIMITS, today };
      const checked = await readWithinLimits(
        'sites',
        runInWorker('read-site-file', reading, { timeoutMs: READING_LIMIT_MS }),
      );
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
        await requireSamePlan(
          {
            given: query.planHash ?? '',
            now: plan.hash,
            fileSha256,
            changing: 'Sites or villages',
            owner: 'programme',
          },
          (planHash) => fileOfPlan(tx, programmeId, planHash),
        );
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

function countsOf({ rows }: ImportPlan) {
  const count = (action: string) => rows.filter((row) => row.action === action).length;
  return {
    createdCount: count('create'),
    updatedCount: count('update'),
    unchangedCount: count('unchanged'),
  };
}
