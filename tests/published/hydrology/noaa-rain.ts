import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';

/** Daily rain of the NOAA series that vega-datasets distributes (noaa-daily-vega). */
export const NOAA_FILES = {
  'seattle-weather.csv': '0845078a290b48e3149ab8639966824110a251db4e06fc144c06ebb534af23be',
  'weather.csv': '27219f1ca8dbd94c9b6f4b9f4f52ab2f1eb33dfdcf719cd9fc6481ed50b74549',
} as const;

const DATA = new URL('../../../node_modules/vega-datasets/data/', import.meta.url);

export const NOAA_STARTS_ON = '2012-01-01';

export type Station = 'seattle' | 'new-york';

export function noaaFile(name: keyof typeof NOAA_FILES): { text: string; sha256: string } {
  const bytes = readFileSync(new URL(name, DATA));
  return {
    text: bytes.toString('utf8'),
    sha256: createHash('sha256').update(bytes).digest('hex'),
  };
}

/** Dates and daily rain [mm] of one station, in file order; throws on a file that differs. */
export function noaaRows(
  name: keyof typeof NOAA_FILES,
  location?: string,
): { on: string; rainMm: number }[] {
  const { text, sha256 } = noaaFile(name);
  if (sha256 !== NOAA_FILES[name]) throw new Error(`${name} is not the file that was computed on`);
  const [header = '', ...lines] = text.trim().split('\n');
  const columns = header.trim().split(',');
  const at = (column: string) => columns.indexOf(column);
  return lines
    .map((line) => line.split(','))
    .filter((cells) => location === undefined || cells[at('location')] === location)
    .map((cells) => ({
      on: cells[at('date')] as string,
      rainMm: Number(cells[at('precipitation')]),
    }));
}

export function noaaRainMm(station: Station): number[] {
  const rows =
    station === 'seattle' ? noaaRows('seattle-weather.csv') : noaaRows('weather.csv', 'New York');
  return rows.map((row) => row.rainMm);
}
