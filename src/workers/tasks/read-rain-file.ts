import { GREATEST_CREDIBLE_DAILY_RAIN_MM } from '../../../shared/hydrology/rainfall-series.ts';
import { dayNumber, isoDateOfDayNumber } from '../../../shared/units/calendar.ts';
import { DomainError, type FieldError } from '../../domain/errors.ts';
import { readDate, readNumber } from '../tables/cell-values.ts';
import { CSV_MEDIA_TYPE, readTable } from '../tables/read-table.ts';
import { type Table, type TableRow, tooLarge, unreadable } from '../tables/table.ts';

export interface RainFileInput {
  readonly bytes: Uint8Array;
  readonly maxDays: number;
}

export interface RainFile {
  readonly startsOn: string;
  readonly dailyRainMm: readonly (number | null)[];
  /** Line on which each day stands; 0 for a day without a line. */
  readonly lineOfDay: readonly number[];
}

const COLUMNS = ['date', 'rain_mm'] as const;
const MAX_LISTED_ERRORS = 1_000;

interface DayRow {
  readonly line: number;
  readonly day: number;
  readonly rainMm: number | null;
}

/**
 * Reads daily rain from CSV with the columns `date` and `rain_mm`, in any order of columns and of
 * lines. An empty rain is a missing day; so is a day between the first and the last without a line.
 *
 * @throws {DomainError} `invalid-content` with every bad line; `too-large` beyond `maxDays`
 */
export async function readRainFile({ bytes, maxDays }: RainFileInput): Promise<RainFile> {
  const table = await readTable(bytes, CSV_MEDIA_TYPE, {
    maxRows: maxDays,
    maxColumns: 20,
    maxCellLength: 200,
  });
  const [dateColumn, rainColumn] = columnsOf(table);
  const errors: FieldError[] = [];
  const days: DayRow[] = [];
  const lineByDay = new Map<number, number>();
  for (const row of table.rows) {
    const read = readDay(row, dateColumn, rainColumn);
    if ('errors' in read) {
      errors.push(...read.errors);
      continue;
    }
    const earlier = lineByDay.get(read.day);
    if (earlier === undefined) {
      lineByDay.set(read.day, read.line);
      days.push(read);
    } else {
      errors.push({
        pointer: `/lines/${read.line}/date`,
        code: 'date.duplicate',
        message: `stands on line ${earlier} already`,
        rejectedValue: isoDateOfDayNumber(read.day),
      });
    }
  }
  refuseAny(errors);
  return arrange(days, maxDays);
}

function columnsOf({ header }: Table): [number, number] {
  const names = header.cells.map((cell) => cell.trim().toLowerCase());
  const unknown = names.filter((name) => name !== '' && !COLUMNS.includes(name as 'date'));
  const errors: FieldError[] = unknown.map((name) => ({
    pointer: `/lines/${header.line}`,
    code: 'column.unknown',
    message: `holds the column ${name}; the columns are ${COLUMNS.join(' and ')}`,
  }));
  for (const column of COLUMNS) {
    const count = names.filter((name) => name === column).length;
    if (count === 1) continue;
    errors.push({
      pointer: `/lines/${header.line}`,
      code: count === 0 ? 'column.missing' : 'column.duplicate',
      message: count === 0 ? `lacks the column ${column}` : `holds the column ${column} twice`,
    });
  }
  refuseAny(errors);
  return [names.indexOf('date'), names.indexOf('rain_mm')];
}

function readDay(
  { line, cells }: TableRow,
  dateColumn: number,
  rainColumn: number,
): DayRow | { errors: FieldError[] } {
  const errors: FieldError[] = [];
  const refuse = (column: string, code: string, message: string, rejectedValue: string) =>
    errors.push({ pointer: `/lines/${line}/${column}`, code, message, rejectedValue });
  const dateText = cells[dateColumn] ?? '';
  const date = readDate(dateText);
  if ('fault' in date) refuse('date', date.fault.code, date.fault.hint, dateText);
  const rainText = (cells[rainColumn] ?? '').trim();
  const rain = rainText === '' ? { value: null } : readNumber(rainText);
  if ('fault' in rain) refuse('rain_mm', rain.fault.code, rain.fault.hint, rainText);
  else if (
    rain.value !== null &&
    (rain.value < 0 || rain.value > GREATEST_CREDIBLE_DAILY_RAIN_MM)
  ) {
    const limit = `must lie between 0 and ${GREATEST_CREDIBLE_DAILY_RAIN_MM} mm`;
    refuse('rain_mm', 'number.out-of-range', limit, rainText);
  }
  if ('fault' in date || 'fault' in rain || errors.length > 0) return { errors };
  return { line, day: dayNumber(date.value), rainMm: rain.value };
}

function arrange(days: readonly DayRow[], maxDays: number): RainFile {
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (const { day } of days) {
    first = Math.min(first, day);
    last = Math.max(last, day);
  }
  if (days.length === 0) throw unreadable('file.empty', 'holds no day');
  const dayCount = last - first + 1;
  if (dayCount > maxDays) {
    throw tooLarge(
      `The days run from ${isoDateOfDayNumber(first)} to ${isoDateOfDayNumber(last)}; ${maxDays} days are the most.`,
    );
  }
  const dailyRainMm = new Array<number | null>(dayCount).fill(null);
  const lineOfDay = new Array<number>(dayCount).fill(0);
  for (const { line, day, rainMm } of days) {
    dailyRainMm[day - first] = rainMm;
    lineOfDay[day - first] = line;
  }
  return { startsOn: isoDateOfDayNumber(first), dailyRainMm, lineOfDay };
}

function refuseAny(errors: readonly FieldError[]): void {
  if (errors.length === 0) return;
  throw new DomainError('invalid-content', {
    detail: `The file has ${errors.length} errors; nothing was written.`,
    errors: errors.slice(0, MAX_LISTED_ERRORS),
    extra: { errorCount: errors.length },
  });
}
