import { stringify } from 'csv-stringify/sync';
import { runInWorker } from '../workers/pool.ts';
import type { FileAnswer } from './route.ts';
import { inertText, numberCell, type TableCell } from './table-cells.ts';

/** A column of an exported table; numbers go out as numbers, everything else as text. */
export interface Column<Row> {
  readonly header: string;
  readonly value: (row: Row) => string | number | boolean | null;
  /** True when the values are decimal text that a workbook holds as numbers. */
  readonly isNumber?: boolean;
}

export const CSV_TYPE = 'text/csv';
export const XLSX_TYPE = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

const WORKBOOK_TIMEOUT_MS = 20_000;

/** RFC 4180: CRLF line ends, quotes where needed; UTF-8 with a byte order mark for spreadsheets. */
export function csvTable<Row>(
  fileName: string,
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  options: { readonly byteOrderMark?: boolean } = {},
): FileAnswer {
  const table = [
    columns.map(({ header }) => inertText(header)),
    ...rows.map((row) => columns.map(({ value }) => textCell(value(row)))),
  ];
  const content = stringify(table, {
    record_delimiter: '\r\n',
    quoted_match: /[\r\n]/,
    bom: options.byteOrderMark ?? true,
  });
  return { content, mediaType: `${CSV_TYPE}; charset=utf-8`, fileName };
}

/** One worksheet with a header row, written in a worker thread; text is text, never a formula. */
export async function xlsxTable<Row>(
  fileName: string,
  sheetName: string,
  columns: readonly Column<Row>[],
  rows: readonly Row[],
): Promise<FileAnswer> {
  const bytes = await runInWorker(
    'write-workbook',
    {
      sheetName,
      headers: columns.map(({ header }) => inertText(header)),
      rows: rows.map((row) => columns.map((column) => sheetCell(column, row))),
    },
    { timeoutMs: WORKBOOK_TIMEOUT_MS },
  );
  return { content: Buffer.from(bytes), mediaType: XLSX_TYPE, fileName };
}

function textCell(value: string | number | boolean | null): string | null {
  if (value === null) return null;
  return typeof value === 'string' ? inertText(value) : String(value);
}

function sheetCell<Row>({ value, isNumber }: Column<Row>, row: Row): TableCell {
  const cell = value(row);
  if (typeof cell === 'number') return cell;
  return isNumber && typeof cell === 'string' ? numberCell(cell) : textCell(cell);
}
