import { stringify } from 'csv-stringify/sync';
import ExcelJS from 'exceljs';
import type { FileAnswer } from './route.ts';

/** A column of an exported table; numbers go out as numbers, everything else as text. */
export interface Column<Row> {
  readonly header: string;
  readonly value: (row: Row) => string | number | boolean | null;
}

export const CSV_TYPE = 'text/csv';
export const XLSX_TYPE = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

/** First characters that make a spreadsheet read a cell as a formula. */
const FORMULA_START = /^[\s\u00a0]*[=+\-@\t\r\n]/;
const DECIMAL = /^-?\d+(\.\d+)?$/;

/**
 * Text that no spreadsheet takes for a formula: what begins like one gets an apostrophe in front.
 * Plain decimal numbers stay as they are.
 */
export function inertText(text: string): string {
  if (DECIMAL.test(text)) return text;
  return FORMULA_START.test(text) ? `'${text}` : text;
}

const cellOf = (value: string | number | boolean | null) =>
  typeof value === 'string' ? inertText(value) : value === null ? '' : value;

/** RFC 4180: CRLF line ends, quotes where needed; UTF-8 with a byte order mark for spreadsheets. */
export function csvTable<Row>(
  fileName: string,
  columns: readonly Column<Row>[],
  rows: readonly Row[],
): FileAnswer {
  const table = [
    columns.map(({ header }) => header),
    ...rows.map((row) => columns.map(({ value }) => cellOf(value(row)))),
  ];
  const content = stringify(table, {
    record_delimiter: '\r\n',
    bom: true,
    cast: { boolean: (value) => (value ? 'true' : 'false') },
  });
  return { content, mediaType: `${CSV_TYPE}; charset=utf-8`, fileName };
}

/** One worksheet with a header row; text cells are strings, never formulas. */
export async function xlsxTable<Row>(
  fileName: string,
  sheetName: string,
  columns: readonly Column<Row>[],
  rows: readonly Row[],
): Promise<FileAnswer> {
  const workbook = new ExcelJS.Workbook();
  const sheet = workbook.addWorksheet(sheetName.replace(/[\\/*?:[\]]/g, ' ').slice(0, 31));
  sheet.addRow(columns.map(({ header }) => header)).font = { bold: true };
  for (const row of rows) sheet.addRow(columns.map(({ value }) => cellOf(value(row))));
  sheet.views = [{ state: 'frozen', ySplit: 1 }];
  const content = Buffer.from(await workbook.xlsx.writeBuffer());
  return { content, mediaType: XLSX_TYPE, fileName };
}
