import { nearest } from '../workers/tables/cell-values.ts';
import type { TableRow } from '../workers/tables/table.ts';
import type { Column, FileShape } from './column.ts';
import type { ImportErrors } from './import-errors.ts';

export interface PlacedColumn<Field extends string = string> {
  readonly column: Column<Field>;
  readonly index: number;
}

/** Finds the columns of the header line; unknown, missing and repeated ones become errors. */
export function checkHeader<Field extends string>(
  header: TableRow,
  shape: FileShape<Field>,
  errors: ImportErrors,
): PlacedColumn<Field>[] {
  const placed: PlacedColumn<Field>[] = [];
  const { line } = header;
  const columnOf = (title: string) => shape.columns.find(({ name }) => name === nameOf(title));
  if (!header.cells.some((cell) => columnOf(cell))) {
    // The titles are not repeated: without a header line they are the data of the first row.
    const hint = `the first line must name the columns: ${namesOf(shape)}`;
    errors.add(line, '', { code: 'header.missing', hint }, null);
    return placed;
  }
  header.cells.forEach((cell, index) => {
    const title = cell.trim();
    if (title === '') return;
    const column = columnOf(title);
    if (!column) {
      errors.add(line, title, { code: 'column.unknown', hint: suggestion(title, shape) }, title);
    } else if (placed.some((one) => one.column === column)) {
      const hint = 'stands twice in the header; keep one';
      errors.add(line, column.name, { code: 'column.duplicate', hint }, title);
    } else {
      placed.push({ column, index });
    }
  });
  const isPlaced = (wanted: string) => placed.some(({ column }) => column.name === wanted);
  for (const { name, isRequired } of shape.columns) {
    if (isRequired && !isPlaced(name)) {
      errors.add(line, name, { code: 'column.missing', hint: 'every file must have it' }, null);
    }
  }
  return placed;
}

const nameOf = (title: string) =>
  title
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/g, '_');
const namesOf = ({ columns }: FileShape) => columns.map(({ name }) => name).join(', ');

function suggestion(title: string, shape: FileShape): string {
  const name = nameOf(title);
  const names = shape.columns.map((column) => column.name);
  const near = shape.synonyms[name] ?? nearest(name, names);
  return near
    ? `did you mean ${near}?`
    : `is not a column of ${shape.noun}; the columns are ${namesOf(shape)}`;
}
