import { PERSONAL_FIELDS } from '../../../shared/contract/site.ts';
import { checkHeader, type PlacedColumn } from '../../imports/check-header.ts';
import { ImportErrors } from '../../imports/import-errors.ts';
import { checkTitled, readCells, titledColumns } from '../../imports/read-cells.ts';
import type { Table } from '../../workers/tables/table.ts';
import { SITE_SHAPE, type SiteCells } from './columns.ts';

export interface SiteRow {
  readonly line: number;
  readonly cells: SiteCells;
}

/** What a row says of other records, good row or not. */
export interface RowReference {
  readonly line: number;
  readonly code: string | null;
  readonly villageCode: string | null;
  readonly refusesConsent: boolean;
}

/** A site file as far as it can be judged without the database. */
export interface CheckedRows {
  readonly rowCount: number;
  /** The rows without errors. */
  readonly rows: readonly SiteRow[];
  readonly references: readonly RowReference[];
  readonly errors: ImportErrors['listed'];
  readonly errorCount: number;
}

/** Examines every cell of every row and lists all that is wrong. */
export function checkRows(table: Table, today: string): CheckedRows {
  const errors = new ImportErrors();
  const columns = checkHeader(table.header, SITE_SHAPE, errors);
  requireConsentColumn(table.header.line, columns, errors);
  const isHeaderGood = errors.count === 0;
  const lineByCode = new Map<string, number>();
  const rows: SiteRow[] = [];
  const references: RowReference[] = [];
  const titled = titledColumns(table.header);
  for (const row of table.rows) {
    checkTitled(row, titled, errors);
    const cells: Partial<SiteCells> = readCells(row, columns, errors);
    checkUnique(row.line, cells, lineByCode, errors);
    checkConsent(row.line, cells, today, errors);
    checkPoint(row.line, cells, errors);
    references.push({
      line: row.line,
      code: cells.code ?? null,
      villageCode: cells.villageCode ?? null,
      refusesConsent: cells.consent === 'no',
    });
    if (isHeaderGood && !errors.isBad(row.line)) {
      rows.push({ line: row.line, cells: cells as SiteCells });
    }
  }
  return {
    rowCount: table.rows.length,
    rows,
    references,
    errors: errors.listed,
    errorCount: errors.count,
  };
}

function requireConsentColumn(
  line: number,
  placed: readonly PlacedColumn<keyof SiteCells>[],
  errors: ImportErrors,
) {
  const hasPersonal = placed.some(({ column }) => column.isPersonal);
  if (!hasPersonal || placed.some(({ column }) => column.name === 'consent')) return;
  const hint = 'must be there beside contact_name, phone, lat_deg or lon_deg';
  errors.add(line, 'consent', { code: 'column.missing', hint }, null);
}

function checkUnique(
  line: number,
  { code }: Partial<SiteCells>,
  lineByCode: Map<string, number>,
  errors: ImportErrors,
) {
  if (!code) return;
  const earlier = lineByCode.get(code);
  if (earlier === undefined) lineByCode.set(code, line);
  else {
    const hint = `stands on line ${earlier} already`;
    errors.add(line, 'code', { code: 'code.duplicate', hint }, code);
  }
}

function checkConsent(
  line: number,
  cells: Partial<SiteCells>,
  today: string,
  errors: ImportErrors,
) {
  const { consent } = cells;
  const hasPersonal = PERSONAL_FIELDS.some((field) => (cells[field] ?? null) !== null);
  if (hasPersonal && consent !== undefined && (consent === null || consent === 'no')) {
    const hint = 'must be yes or a date before a name, a phone number or a place is kept';
    errors.add(line, 'consent', { code: 'consent.required', hint }, consent);
  }
  if (typeof consent === 'object' && consent !== null && consent.on > today) {
    const hint = `must not lie after today, ${today}`;
    errors.add(line, 'consent', { code: 'date.in-future', hint }, consent.on);
  }
}

function checkPoint(line: number, cells: Partial<SiteCells>, errors: ImportErrors) {
  const isUnreadable = (field: 'latDeg' | 'lonDeg') => field in cells && cells[field] === undefined;
  if (isUnreadable('latDeg') || isUnreadable('lonDeg')) return;
  const hasLat = (cells.latDeg ?? null) !== null;
  const hasLon = (cells.lonDeg ?? null) !== null;
  if (hasLat === hasLon) return;
  const hint = 'latitude and longitude come together';
  errors.add(line, hasLat ? 'lon_deg' : 'lat_deg', { code: 'value.missing', hint }, null);
}
