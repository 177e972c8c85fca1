import { Readable } from 'node:stream';
import exceljs, { type CellValue } from 'exceljs';
import { DomainError } from '../../domain/errors.ts';
import { storedZip } from './stored-zip.ts';
import { type Table, TableBuilder, type TableLimits, tooLarge } from './table.ts';
import { workbookParts } from './workbook-parts.ts';

const CHUNK_BYTES = 64 * 1024;

/**
 * Reads the first visible sheet of an XLSX workbook as text: dates as YYYY-MM-DD, numbers with a
 * decimal point, formulas as their stored result.
 *
 * @throws {DomainError} `too-large` beyond a limit; `invalid-content` for what cannot be read
 */
export async function readXlsx(bytes: Uint8Array, limits: TableLimits): Promise<Table> {
  const file = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const archive = storedZip(await workbookParts(file));
  const workbook = new exceljs.stream.xlsx.WorkbookReader(Readable.from(chunksOf(archive)), {
    worksheets: 'emit',
    sharedStrings: 'cache',
    styles: 'cache',
    hyperlinks: 'ignore',
    entries: 'ignore',
  });
  const table = new TableBuilder(limits);
  try {
    for await (const sheet of workbook) {
      for await (const row of sheet) {
        if (row.cellCount > limits.maxColumns) {
          throw tooLarge(`Row ${row.number} has more than ${limits.maxColumns} columns.`);
        }
        const cells: string[] = [];
        for (let column = 1; column <= row.cellCount; column += 1) {
          cells.push(cellText(row.getCell(column).value));
        }
        table.add(row.number, cells);
      }
    }
  } catch (error) {
    if (error instanceof DomainError) throw error;
    throw new DomainError('invalid-content', {
      errors: [
        {
          pointer: '',
          code: 'xlsx.unreadable',
          message: 'has a first sheet that cannot be read; save it again as .xlsx or as CSV',
        },
      ],
      cause: error,
    });
  }
  return table.build();
}

function* chunksOf(buffers: readonly Buffer[]): Generator<Buffer> {
  for (const buffer of buffers) {
    for (let start = 0; start < buffer.length; start += CHUNK_BYTES) {
      yield buffer.subarray(start, start + CHUNK_BYTES);
    }
  }
}

/** What a person sees in the cell, as plain text. */
export function cellText(value: CellValue): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'string') return value;
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : '#VALUE!';
  if (typeof value === 'boolean') return value ? 'true' : 'false';
  if (value instanceof Date) return dateText(value);
  if ('richText' in value) return value.richText.map(({ text }) => text ?? '').join('');
  if ('error' in value) return value.error;
  if ('hyperlink' in value) return String(value.text);
  if ('result' in value) return cellText(value.result ?? null);
  return '';
}

function dateText(date: Date): string {
  if (Number.isNaN(date.getTime())) return '#VALUE!';
  const text = date.toISOString();
  return text.endsWith('T00:00:00.000Z') ? text.slice(0, 10) : text;
}
