import type { ImportError } from '../../shared/contract/file-import.ts';
import type { Table } from '../workers/tables/table.ts';
import { checkHeader } from './check-header.ts';
import type { FileShape } from './column.ts';
import { ImportErrors } from './import-errors.ts';
import { checkTitled, readCells, titledColumns } from './read-cells.ts';

/** A row by field: null where a cell is empty, undefined where it cannot be read or has no column. */
export type Cells = Readonly<Record<string, unknown>>;

export interface CheckedRow {
  readonly line: number;
  readonly cells: Cells;
  readonly isGood: boolean;
}

/** A file as far as it can be judged without the database. */
export interface CheckedFile {
  readonly rows: readonly CheckedRow[];
  readonly errors: readonly ImportError[];
  readonly errorCount: number;
}

/** What is wrong with the cells of a row together: field, code, hint. */
export type RowCheck = (
  cells: Cells,
) => readonly { readonly field: string; readonly code: string; readonly hint: string }[];

/** Examines every cell and every row of a file and lists all that is wrong. */
export function checkFile(table: Table, shape: FileShape, checkRow: RowCheck): CheckedFile {
  const errors = new ImportErrors();
  const placed = checkHeader(table.header, shape, errors);
  const isHeaderGood = errors.count === 0;
  const titled = titledColumns(table.header);
  const rows = table.rows.map((row): CheckedRow => {
    checkTitled(row, titled, errors);
    const cells: Cells = readCells(row, placed, errors);
    for (const { field, code, hint } of checkRow(cells)) {
      // A cell that could not be read has its error already, and a column that lacks another.
      if (cells[field] === undefined) continue;
      const known = placed.find(({ column }) => column.field === field);
      const text = known ? (row.cells[known.index] ?? '').trim() : '';
      errors.add(row.line, known?.column.name ?? field, { code, hint }, text || null);
    }
    return { line: row.line, cells, isGood: isHeaderGood && !errors.isBad(row.line) };
  });
  return { rows, errors: errors.listed, errorCount: errors.count };
}
