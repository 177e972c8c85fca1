import { isIsoDate } from '../../../shared/units/calendar.ts';

/** Why a cell is not the value that it should be, and what to write instead. */
export interface CellFault {
  readonly code: string;
  readonly hint: string;
}

export type Read<Value> = { readonly value: Value } | { readonly fault: CellFault };

const fault = (code: string, hint: string): { fault: CellFault } => ({ fault: { code, hint } });

/** What people and programs put between thousands, apart from the comma. */
const GAP = /[\s\u00a0\u2007\u2009\u202f']/g;
const GROUPED = /^[+-]?\d{1,3}( \d{3})+([.,]\d*)?$/;
const MINUS = /^[\u2212\u2013]/;
const PLAIN_NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?$/;
const THOUSANDS_OR_DECIMALS = /^[+-]?[1-9]\d{0,2},\d{3}$/;

/**
 * A number as people write it: decimal point or comma, spaces between thousands. `1,200` may mean
 * 1200 or 1.2 and is refused rather than guessed.
 */
export function readNumber(text: string): Read<number> {
  const read = plainNumber(text);
  if ('fault' in read) return read;
  const value = Number(read.value);
  return Number.isFinite(value)
    ? { value }
    : fault('number.unreadable', 'write a plain number such as 42.5');
}

const DECIMAL_PARTS = /^([+-]?)0*(\d*)(?:\.(\d*?)0*)?$/;

/** A number as people write it, kept digit by digit: "07,50" is "7.5". */
export function readDecimal(text: string): Read<string> {
  const read = plainNumber(text);
  if ('fault' in read) return read;
  const parts = DECIMAL_PARTS.exec(read.value);
  if (!parts) return fault('number.unreadable', 'write the number out, such as 0.000042');
  const [, sign, whole = '', decimals = ''] = parts;
  const size = `${whole || '0'}${decimals ? `.${decimals}` : ''}`;
  return { value: sign === '-' && size !== '0' ? `-${size}` : size };
}

function plainNumber(text: string): Read<string> {
  const spaced = text.trim().replace(GAP, ' ').replace(MINUS, '-');
  const compact = GROUPED.test(spaced) ? spaced.replaceAll(' ', '') : spaced;
  if (THOUSANDS_OR_DECIMALS.test(compact)) {
    const joined = compact.replace(',', '');
    return fault('number.ambiguous', `write ${joined} or ${compact.replace(',', '.')}`);
  }
  const pointed = compact.replace(/^([^,.]*),([^,.]*)$/, '$1.$2');
  return PLAIN_NUMBER.test(pointed)
    ? { value: pointed }
    : fault('number.unreadable', 'write a plain number such as 42.5, without a unit');
}

/** A civil date, YYYY-MM-DD; other orders of day and month are refused rather than guessed. */
export function readDate(text: string): Read<string> {
  const trimmed = text.trim();
  return isIsoDate(trimmed)
    ? { value: trimmed }
    : fault('date.unreadable', 'write the date as YYYY-MM-DD, such as 2026-11-30');
}

/** One of a list of words, whatever their case and whether spaces or hyphens join them. */
export function readChoice<Choice extends string>(
  text: string,
  choices: readonly Choice[],
): Read<Choice> {
  const wanted = text
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, '-');
  const found = choices.find((choice) => choice === wanted);
  if (found) return { value: found };
  const near = nearest(wanted, choices);
  return fault(
    'choice.unknown',
    `${near ? `did you mean ${near}? ` : ''}write one of ${choices.join(', ')}`,
  );
}

/** The candidate that is the fewest letters away, when it is not far off; else null. */
export function nearest(text: string, candidates: readonly string[]): string | null {
  const wanted = text.slice(0, MAX_COMPARED).toLowerCase();
  let best: string | null = null;
  let bestDistance = Math.max(2, Math.floor(wanted.length / 3)) + 1;
  for (const candidate of candidates) {
    const distance = editDistance(wanted, candidate.slice(0, MAX_COMPARED).toLowerCase());
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

const MAX_COMPARED = 40;

/** Levenshtein distance: fewest single letters inserted, removed or replaced. */
function editDistance(a: string, b: string): number {
  let previous = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i += 1) {
    const current = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const replaced = (previous[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      current.push(Math.min(replaced, (previous[j] ?? 0) + 1, (current[j - 1] ?? 0) + 1));
    }
    previous = current;
  }
  return previous[b.length] ?? 0;
}
