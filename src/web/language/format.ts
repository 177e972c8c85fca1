import { language } from './language.ts';
import { localeOf } from './locale.ts';

interface MoneyValue {
  readonly amount: string;
  readonly currency: string;
}

const formats = new Map<string, Intl.NumberFormat>();

function numberFormat(options: Intl.NumberFormatOptions): Intl.NumberFormat {
  const key = `${language.value} ${JSON.stringify(options)}`;
  const known = formats.get(key);
  if (known) return known;
  const made = new Intl.NumberFormat(localeOf(language.value), options);
  formats.set(key, made);
  return made;
}

/** Decimal text is formatted digit by digit, never by way of a floating-point number. */
const exact = (value: number | string) => value as Intl.StringNumericLiteral;

/** A number with at most `maxDecimals`, and always that many when `isFixed`. */
export const formatNumber = (value: number | string, maxDecimals = 2, isFixed = false): string =>
  numberFormat({
    maximumFractionDigits: maxDecimals,
    ...(isFixed ? { minimumFractionDigits: maxDecimals } : {}),
  }).format(exact(value));

/** Every digit that the number has, as the engine gave it; only the decimal sign is local. */
export const formatExact = (value: number): string =>
  numberFormat({ maximumSignificantDigits: 17, useGrouping: false }).format(exact(String(value)));

export const formatMoney = ({ amount, currency }: MoneyValue): string =>
  numberFormat({ style: 'currency', currency, currencyDisplay: 'code' }).format(exact(amount));

/** A ratio as a percentage. */
export const formatPercent = (ratio: number, maxDecimals = 0): string =>
  numberFormat({ style: 'percent', maximumFractionDigits: maxDecimals }).format(ratio);

/** Litres of water or of a tank; a capital, since a small one reads as the digit one. */
export const formatLitres = (litres: number): string =>
  `${numberFormat({ maximumFractionDigits: 0 }).format(litres)}\u00a0L`;

/** A calendar date, YYYY-MM-DD; it has no time zone. */
export const formatDate = (civilDate: string): string =>
  new Intl.DateTimeFormat(localeOf(language.value), {
    dateStyle: 'medium',
    timeZone: 'UTC',
  }).format(new Date(`${civilDate}T00:00:00Z`));

/** An instant, in the time zone of the organisation. */
export const formatInstant = (instant: string, timeZone: string): string =>
  new Intl.DateTimeFormat(localeOf(language.value), {
    dateStyle: 'medium',
    timeStyle: 'short',
    timeZone,
  }).format(new Date(instant));
