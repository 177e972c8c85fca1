import { formatNumber } from './format.ts';

/** Symbols of the units of UNECE Recommendation 20 that materials use; counted things have none. */
const SYMBOLS: Readonly<Record<string, string>> = {
  KGM: 'kg',
  GRM: 'g',
  TNE: 't',
  LTR: 'L',
  MTR: 'm',
  KMT: 'km',
  MTK: 'm²',
  MTQ: 'm³',
  DAY: 'd',
  HUR: 'h',
  LH: 'h',
};

/** A quantity of a material with its unit; decimal text keeps its digits. */
export function formatQuantity(quantity: number | string, unitCode: string, decimals = 2): string {
  const symbol = SYMBOLS[unitCode];
  return `${formatNumber(quantity, decimals)}${symbol ? `\u00a0${symbol}` : ''}`;
}
