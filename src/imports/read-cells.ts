import type { TableRow } from '../workers/tables/table.ts';
import type { PlacedColumn } from './check-header.ts';
import type { ImportErrors } from './import-errors.ts';

/** Which columns have a title. */
export const titledColumns = ({ cells }: TableRow) => cells.map((cell) => cell.trim() !== '');

/** A cell below no title is a mistake of the file, such as a delimiter inside a cell. */
export function checkTitled(
  { line, cells }: TableRow,
  titled: readonly boolean[],
  errors: ImportErrors,
): void {
  const index = cells.findIndex((cell, column) => !titled[column] && cell.trim() !== '');
  if (index === -1) return;
  const hint = `has a value in column ${index + 1}, which has no title; put cells that hold the delimiter in quotes`;
  errors.add(line, `column ${index + 1}`, { code: 'row.too-long', hint }, null);
}

/** The cells of a row by field: null where empty, undefined where not readable. */
export function readCells<Field extends string>(
  { line, cells }: TableRow,
  columns: readonly PlacedColumn<Field>[],
  errors: ImportErrors,
): Partial<Record<Field, never>> {
  const read: Partial<Record<Field, unknown>> = {};
  for (const { column, index } of columns) {
    const text = (cells[index] ?? '').trim();
    if (text === '') {
      if (column.isRequired) {
        errors.add(line, column.name, { code: 'value.missing', hint: 'must not be empty' }, null);
      }
      read[column.field] = null;
      continue;
    }
    const found = column.read(text);
    if ('fault' in found) {
      errors.add(line, column.name, found.fault, column.isPersonal ? null : text);
      read[column.field] = undefined;
    } else {
      read[column.field] = found.value;
    }
  }
  return read as Partial<Record<Field, never>>;
}
