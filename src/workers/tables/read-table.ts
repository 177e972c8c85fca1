import type { Table, TableLimits } from './table.ts';

export const XLSX_MEDIA_TYPE = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';
export const CSV_MEDIA_TYPE = 'text/csv';

/** Reads a file of either format; the reader of workbooks is loaded only when one comes. */
export async function readTable(
  bytes: Uint8Array,
  mediaType: string,
  limits: TableLimits,
): Promise<Table> {
  return mediaType === XLSX_MEDIA_TYPE
    ? (await import('./read-xlsx.ts')).readXlsx(bytes, limits)
    : (await import('./read-csv.ts')).readCsv(bytes, limits);
}
