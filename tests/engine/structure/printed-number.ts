import { expect } from 'vitest';

const PRINTED = /^(~?)([+-]?\d+(?:\.(\d+))?(?:e([+-]?\d+))?)$/;

/** Units of the last place by which a number printed from rounded intermediates may be off. */
const CHAINED_ROUNDING_UNITS = 1.1;

interface PrintedNumber {
  readonly value: number;
  readonly tolerance: number;
}

/** Half a unit in the last printed place; a leading ~ marks a value from rounded intermediates. */
export function printedNumber(printed: string): PrintedNumber {
  const match = PRINTED.exec(printed);
  if (match === null) throw new Error(`"${printed}" is not a printed number`);
  const unit = 10 ** (Number(match[4] ?? 0) - (match[3]?.length ?? 0));
  const units = match[1] === '~' ? CHAINED_ROUNDING_UNITS : 0.5;
  return { value: Number(match[2]), tolerance: unit * units };
}

/**
 * Expects a value to round to the number as printed; a hair is allowed for a value on the very
 * border of two roundings.
 */
export function expectPrinted(actual: number, printed: string, what = ''): void {
  const { value, tolerance } = printedNumber(printed);
  const agrees = Math.abs(actual - value) <= tolerance * (1 + 1e-6);
  expect(agrees, `${what} is ${actual}, printed ${printed}`).toBe(true);
}

/** As `expectPrinted`, for a printed row of numbers apart by commas. */
export function expectPrintedRow(actual: readonly number[], printed: string, what = ''): void {
  const cells = printed.split(',').map((cell) => cell.trim());
  expect(actual.length, `${what} length`).toBe(cells.length);
  cells.forEach((cell, i) => {
    expectPrinted(actual[i] ?? Number.NaN, cell, `${what}[${i}]`);
  });
}
