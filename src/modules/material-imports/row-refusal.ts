import { refusalOf } from '../../db/constraint-errors.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError, type ProblemCode } from '../../domain/errors.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';

/** Refusals that speak of the row; any other ends the import. */
const OF_THE_ROW: ReadonlySet<ProblemCode> = new Set([
  'invalid-content',
  'rule-broken',
  'not-found',
  'conflict',
  'out-of-range',
]);

export interface RowOfFile {
  readonly line: number;
  readonly cells: Readonly<Record<string, unknown>>;
  /** Which column speaks of a field that a refusal names; any other has none. */
  readonly columnOf: Readonly<Record<string, string>>;
  /** Field of `cells` behind a column, where it is not the field that the refusal names. */
  readonly cellOf?: Readonly<Record<string, string>>;
  /** Which row a pointer speaks of, where the work is of several; this row when it does not say. */
  readonly rowAt?: (pointer: string) => { line: number; cells: object } | undefined;
}

/**
 * Does the work of one row. What refuses it becomes errors of the row, and what it wrote so far is
 * taken back.
 *
 * @returns what the work gave, or null when it was refused
 */
export async function orRowErrors<Result>(
  tx: Tx,
  row: RowOfFile,
  errors: ImportErrors,
  work: () => Promise<Result>,
): Promise<Result | null> {
  await tx.sql('savepoint import_row');
  try {
    const result = await work();
    await tx.sql('release savepoint import_row');
    return result;
  } catch (error) {
    const refusal = error instanceof DomainError ? error : refusalOf(error);
    if (!refusal || !OF_THE_ROW.has(refusal.code)) throw error;
    await tx.sql('rollback to savepoint import_row');
    addRefusal(row, refusal, errors);
    return null;
  }
}

function addRefusal(
  row: RowOfFile,
  { code, message, details }: DomainError,
  errors: ImportErrors,
): void {
  const { columnOf, cellOf = {} } = row;
  const named = details.errors ?? [];
  if (named.length === 0) {
    errors.add(row.line, '', { code: details.rule ?? code, hint: message }, null);
    return;
  }
  for (const found of named) {
    const field = found.pointer.split('/').at(-1) ?? '';
    const { line, cells } = row.rowAt?.(found.pointer) ?? row;
    const cell = (cells as RowOfFile['cells'])[cellOf[field] ?? field];
    const value = typeof cell === 'string' || typeof cell === 'number' ? String(cell) : null;
    errors.add(line, columnOf[field] ?? '', { code: found.code, hint: found.message }, value);
  }
}
