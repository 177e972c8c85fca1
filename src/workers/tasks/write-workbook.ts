import ExcelJs from 'exceljs';
import type { TableCell } from '../../http/table-cells.ts';

export interface WorkbookInput {
  readonly sheetName: string;
  readonly headers: readonly string[];
  readonly rows: readonly (readonly TableCell[])[];
}

/** Writes a workbook of one sheet with a header row. Text goes in as text, never as a formula. */
export async function writeWorkbook(input: WorkbookInput): Promise<Uint8Array> {
  const workbook = new ExcelJs.Workbook();
  const sheetName = input.sheetName.replace(/[\\/*?:[\]']/g, ' ').slice(0, 31);
  const sheet = workbook.addWorksheet(sheetName, { views: [{ state: 'frozen', ySplit: 1 }] });
  sheet.addRow(input.headers.map(escaped)).font = { bold: true };
  for (const row of input.rows) {
    sheet.addRow(row.map((cell) => (typeof cell === 'string' ? escaped(cell) : cell)));
  }
  return new Uint8Array(await workbook.xlsx.writeBuffer());
}

const LIKE_AN_ESCAPE = /_(?=x[0-9A-Fa-f]{4}_)/g;
const LONE_SURROGATE = /\p{Surrogate}/gu;
// biome-ignore lint/suspicious/noControlCharactersInRegex: what XML 1.0 cannot carry as it is
const NOT_XML = /[\u0000-\u0008\u000b-\u001f\ufffe\uffff]/g;

/**
 * Text in the escapes of a workbook: _xHHHH_ for what XML would lose, and for an underscore that
 * would read as the start of such an escape.
 *
 * @source ecma-376 part 1, 22.9.2.19 ST_Xstring [memory]
 */
function escaped(text: string): string {
  return text
    .replace(LONE_SURROGATE, '\ufffd')
    .replace(LIKE_AN_ESCAPE, '_x005F_')
    .replace(
      NOT_XML,
      (character) => `_x${character.charCodeAt(0).toString(16).toUpperCase().padStart(4, '0')}_`,
    );
}
