import { type Money, money } from '../../shared/costing/money.ts';

/** Prisma reads a DATE as midnight UTC; on the wire it is the civil date. */
export const civilDate = (date: Date): string => date.toISOString().slice(0, 10);
export const civilDateOrNull = (date: Date | null): string | null => date && civilDate(date);

/** A civil date as Prisma writes it. */
export const toDate = (text: string): Date => new Date(`${text}T00:00:00Z`);
export const toDateOrNull = (text: string | null): Date | null =>
  text === null ? null : toDate(text);

/**
 * Civil dates of an input turned into what Prisma writes; other fields pass. Absent fields stay
 * absent, so that a patch changes only what it names.
 */
export function withDates<Input extends object>(
  input: Input,
  fields: readonly (keyof Input)[],
): object {
  const columns = { ...input } as Record<string, unknown>;
  for (const field of fields) {
    const value = input[field];
    if (typeof value === 'string') columns[field as string] = toDate(value);
  }
  return columns;
}

interface DecimalLike {
  toFixed(): string;
}
export const decimalText = (value: DecimalLike): string => value.toFixed();
export const numberOrNull = (value: DecimalLike | null): number | null =>
  value === null ? null : Number(value.toFixed());

const withoutTrailingZeros = (text: string) =>
  text.includes('.') ? text.replace(/\.?0+$/, '') : text;

/** NUMERIC of either driver as plain decimal text: 12.500000 is "12.5". */
export const quantityText = (value: DecimalLike | string): string =>
  withoutTrailingZeros(typeof value === 'string' ? value : value.toFixed());

/** NUMERIC of either driver as money at the exponent of its currency. */
export const moneyOf = (value: DecimalLike | string, currency: string): Money =>
  money(quantityText(value), currency);

/** The four fields that every document shows. */
export const documentFieldsOf = (row: {
  id: string;
  version: number;
  createdAt: Date;
  updatedAt: Date;
}) => ({
  id: row.id,
  version: row.version,
  createdAt: row.createdAt.toISOString(),
  updatedAt: row.updatedAt.toISOString(),
});
