import { nearest } from '../../workers/tables/cell-values.ts';
import type { TableRow } from '../../workers/tables/table.ts';
import { type Column, columnNames, SITE_COLUMNS, SYNONYMS } from './columns.ts';
import type { ImportErrors } from './import-errors.ts';

export interface PlacedColumn {
  readonly column: Column;
  readonly index: number;
}

/** Finds the columns of the header line; unknown, missing and repeated ones become errors. */
export function checkHeader(header: TableRow, errors: ImportErrors): PlacedColumn[] {
  const placed: PlacedColumn[] = [];
  const { line } = header;
  if (!header.cells.some((cell) => columnOf(cell))) {
    // The titles are not repeated: without a header line they are the data of the first site.
    const hint = `the first line must name the columns: ${columnNames.join(', ')}`;
    errors.add(line, '', { code: 'header.missing', hint }, null);
    return placed;
  }
  header.cells.forEach((cell, index) => {
    const title = cell.trim();
    if (title === '') return;
    const column = columnOf(title);
    if (!column) {
      errors.add(line, title, { code: 'column.unknown', hint: suggestion(title) }, title);
    } else if (placed.some((one) => one.column === column)) {
      const hint = 'stands twice in the header; keep one';
      errors.add(line, column.name, { code: 'column.duplicate', hint }, title);
    } else {
      placed.push({ column, index });
    }
  });
  const isPlaced = (wanted: string) => placed.some(({ column }) => column.name === wanted);
  for (const { name, isRequired } of SITE_COLUMNS) {
    if (isRequired && !isPlaced(name)) {
      errors.add(line, name, { code: 'column.missing', hint: 'every file must have it' }, null);
    }
  }
  if (placed.some(({ column }) => column.isPersonal) && !isPlaced('consent')) {
    const hint = 'must be there beside contact_name, phone, lat_deg or lon_deg';
    errors.add(line, 'consent', { code: 'column.missing', hint }, null);
  }
  return placed;
}

const nameOf = (title: string) =>
  title
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/g, '_');
const columnOf = (title: string) => SITE_COLUMNS.find(({ name }) => name === nameOf(title));

function suggestion(title: string): string {
  const name = nameOf(title);
  const near = SYNONYMS[name] ?? nearest(name, columnNames);
  return near
    ? `did you mean ${near}?`
    : `is not a column of sites; the columns are ${columnNames.join(', ')}`;
}
