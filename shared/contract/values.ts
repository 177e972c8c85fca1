import { z } from 'zod';
import { currencyCodes, currencyExponent } from '../costing/currency.ts';

/** UUID in lower case; a client may make its own, version 7. */
export const id = z.uuid().toLowerCase();

/** Human code of a record, unique in its organisation or programme. */
export const code = z
  .string()
  .trim()
  .regex(/^[A-Za-z0-9][A-Za-z0-9._/-]{0,39}$/, '1 to 40 letters, digits or . _ / -');

export const name = z.string().trim().min(1).max(200);
export const shortText = z.string().trim().max(500);
export const longText = z.string().trim().max(10_000);

export const civilDate = z.iso.date().meta({ description: 'Calendar date, YYYY-MM-DD' });
export const instant = z.iso.datetime().meta({ description: 'Instant, RFC 3339, UTC' });

const CURRENCIES: ReadonlySet<string> = new Set(currencyCodes());

export const currency = z
  .string()
  .regex(/^[A-Z]{3}$/, { error: 'three capital letters', abort: true })
  .refine((code) => CURRENCIES.has(code), 'must be an ISO 4217 code')
  .meta({ description: 'ISO 4217 code' });

/** Decimal number as text, so that no digit is lost on the way. */
export const decimal = z
  .string()
  .regex(/^-?\d{1,18}(\.\d{1,6})?$/, 'a decimal number with at most 6 decimals');

export const positiveDecimal = decimal.refine(
  (text) => !text.startsWith('-') && /[1-9]/.test(text),
  'must be above 0',
);

export const money = z
  .strictObject({
    amount: z.string().regex(/^-?\d{1,14}(\.\d{1,4})?$/, 'a decimal amount'),
    currency,
  })
  .superRefine((value, context) => {
    if (!CURRENCIES.has(value.currency)) return;
    const exponent = currencyExponent(value.currency);
    if ((value.amount.split('.')[1]?.length ?? 0) <= exponent) return;
    context.addIssue({
      code: 'custom',
      path: ['amount'],
      message: `${value.currency} has ${exponent} decimals`,
    });
  })
  .meta({ id: 'Money', description: 'Decimal amount at the exponent of its ISO 4217 currency' });
export type MoneyWire = z.infer<typeof money>;

export const notNegativeMoney = money.refine(({ amount }) => !/^-.*[1-9]/.test(amount), {
  path: ['amount'],
  message: 'must not be negative',
});

export const latDeg = z.number().min(-90).max(90);
export const lonDeg = z.number().min(-180).max(180);

export const ratio = z.number().min(0).max(1);

/** Fields that every editable document carries when read. */
export const documentFields = {
  id,
  version: z.int(),
  createdAt: instant,
  updatedAt: instant,
};

export const byId = z.strictObject({ id });
