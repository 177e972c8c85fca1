/** A cell of an exported table: text as it is to stand there, a number, or nothing. */
export type TableCell = string | number | null;

/** What a spreadsheet program may take for the start of a formula, also behind our own mark. */
const FORMULA_START = /^['\s]*[=+\-@\t\r\n]/;
const MARKED = /^'['\s]*[=+\-@\t\r\n]/;
const DECIMAL = /^-?\d+(\.\d+)?$/;
/** Significant digits that a spreadsheet program keeps. */
const KEPT_DIGITS = 15;

/**
 * Text that no spreadsheet program takes for a formula: what begins like one gets an apostrophe in
 * front. A plain decimal number is none and stays as it is.
 */
export function inertText(text: string): string {
  if (DECIMAL.test(text)) return text;
  return FORMULA_START.test(text) ? `'${text}` : text;
}

/** The text that `inertText` was given. */
export const originalText = (inert: string): string =>
  MARKED.test(inert) ? inert.slice(1) : inert;

/**
 * Decimal text as a number for a spreadsheet, or as text when a spreadsheet would lose digits of it.
 *
 * @throws {Error} when it is no decimal text: a table that we filled wrongly
 */
export function numberCell(text: string): number | string {
  if (!DECIMAL.test(text)) throw new Error(`${text} is not a decimal number`);
  const digits = text.replace('-', '').replace('.', '').replace(/^0+/, '');
  return digits.length > KEPT_DIGITS ? text : Number(text);
}
