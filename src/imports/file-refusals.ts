import { INLINE_ERRORS } from '../../shared/contract/file-import.ts';
import { DomainError } from '../domain/errors.ts';
import { WorkerFailure } from '../workers/pool.ts';
import type { ImportErrors } from './import-errors.ts';

export interface ImportedFile {
  readonly bytes: Uint8Array;
  readonly mediaType: string;
}

export const TABLE_LIMITS = { maxRows: 50_000, maxColumns: 200, maxCellLength: 10_000 };
/** Wall-clock limit of reading one file; 50,000 rows of a workbook take about six of a free core. */
export const READING_LIMIT_MS = 40_000;

/** Turns the end of a worker that read too long or too much into a refusal of the file. */
export async function readWithinLimits<Result>(
  noun: string,
  reading: Promise<Result>,
): Promise<Result> {
  try {
    return await reading;
  } catch (error) {
    if (!(error instanceof WorkerFailure)) throw error;
    throw new DomainError('too-large', {
      detail: `Reading the file takes more time or memory than a file of ${noun} may. Split it.`,
      cause: error,
    });
  }
}

/** A file with errors is not applied; each error points to its line and column. */
export function refusedFile(errors: ImportErrors): DomainError {
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

export interface PlanToApply {
  readonly given: string;
  readonly now: string;
  readonly fileSha256: string;
  /** What may have changed meanwhile, such as "Sites or villages". */
  readonly changing: string;
  readonly owner: string;
}

/**
 * Refuses to apply anything but what the dry run showed, saying what differs.
 *
 * @param fileOfPlan the hash of the file whose dry run gave a planHash, or null
 */
export async function requireSamePlan(
  { given, now, fileSha256, changing, owner }: PlanToApply,
  fileOfPlan: (planHash: string) => Promise<string | null>,
): Promise<void> {
  if (given === now) return;
  const checkedFile = await fileOfPlan(given);
  const reason =
    checkedFile === null
      ? `No dry run of this ${owner} gave this planHash`
      : checkedFile === fileSha256
        ? `${changing} have changed since the dry run`
        : 'This is not the file of the dry run';
  throw new DomainError('conflict', {
    detail: `${reason}; nothing was written. Make a new dry run.`,
    extra: { constraint: 'plan-hash' },
  });
}
