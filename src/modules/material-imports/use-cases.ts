import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import {
  type ImportError,
  INLINE_ERRORS,
  PREVIEW_ROWS,
} from '../../../shared/contract/file-import.ts';
import type {
  MaterialImport,
  MaterialImportQuery,
  MaterialImportWithPreview,
} from '../../../shared/contract/material-import.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
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
import type { DoneRow, ImportKind } from './import-kind.ts';
import { fileOfPlan, findImport, findImportErrors, insertImport } from './repository.ts';
import { SHAPES } from './shapes.ts';

export interface MaterialImports {
  readonly kind: ImportKind;
  /** Judges the whole file; applies it only when nothing is wrong and nothing changed since. */
  run(tx: Tx, file: ImportedFile, query: MaterialImportQuery): Promise<MaterialImportWithPreview>;
  get(tx: Tx, id: string): Promise<MaterialImport>;
  /** Every error kept of an import. */
  errors(tx: Tx, id: string): Promise<ImportError[]>;
}

/** Imports of one kind of file. */
export function createMaterialImports(kind: ImportKind): MaterialImports {
  const noun = `${kind.noun} import`;
  return {
    kind,
    async run(tx, file, query) {
      const { mode } = query;
      const isApplied = mode === 'apply';
      const fileSha256 = createHash('sha256').update(file.bytes).digest('hex');
      const limits = { ...TABLE_LIMITS, maxRows: kind.maxRows };
      const checked = await readWithinLimits(
        SHAPES[kind.kind].noun,
        runInWorker(
          'read-material-file',
          { ...file, kind: kind.kind, limits },
          { timeoutMs: READING_LIMIT_MS },
        ),
      );
      const errors = new ImportErrors(checked);
      const id = uuidv7();
      await tx.sql('savepoint import_work');
      const done = await kind.run(tx, id, checked.rows, errors);
      if (!isApplied) await tx.sql('rollback to savepoint import_work');
      errors.sort();
      const planHash = hashOf(kind, fileSha256, done);
      if (isApplied) {
        if (errors.count > 0) throw refusedFile(errors);
        await requireSamePlan(
          {
            given: query.planHash ?? '',
            now: planHash,
            fileSha256,
            changing: kind.changing,
            owner: 'organisation',
          },
          (given) => fileOfPlan(tx, kind.kind, given),
        );
      }
      const record = {
        id,
        kind: kind.kind,
        mode,
        state: isApplied ? 'applied' : errors.count > 0 ? 'rejected' : 'checked',
        fileName: harmlessFileName(query.fileName, kind.kind),
        fileSha256,
        rowCount: checked.rows.length,
        errorCount: errors.count,
        ...countsOf(done),
        planHash,
        errors: errors.listed,
      } as const;
      const createdAt = await insertImport(tx, record);
      await tx.audit(isApplied ? 'apply' : 'check', noun, id, {
        rowCount: record.rowCount,
        errorCount: record.errorCount,
        ...countsOf(done),
      });
      return {
        ...record,
        errors: errors.listed.slice(0, INLINE_ERRORS),
        requestedById: tx.actor.personId,
        createdAt,
        preview: done.slice(0, PREVIEW_ROWS).map(({ touched: _, ...row }) => row),
      };
    },
    async get(tx, id) {
      const found = await findImport(tx, kind.kind, id, INLINE_ERRORS);
      if (!found) throw notFound(noun, id);
      return found;
    },
    async errors(tx, id) {
      const found = await findImportErrors(tx, kind.kind, id);
      if (!found) throw notFound(noun, id);
      return found;
    },
  };
}

/** Covers the file, what every row does, and what that depended on. */
function hashOf({ kind }: ImportKind, fileSha256: string, rows: readonly DoneRow[]): string {
  const hash = createHash('sha256').update(`${kind}\n${fileSha256}\n`);
  for (const { line, action, touched } of rows) {
    hash.update(`${JSON.stringify([line, action, touched])}\n`);
  }
  return hash.digest('base64url');
}

function countsOf(rows: readonly DoneRow[]) {
  const count = (action: DoneRow['action']) => rows.filter((row) => row.action === action).length;
  return {
    createdCount: count('create'),
    updatedCount: count('update'),
    unchangedCount: count('unchanged'),
  };
}
