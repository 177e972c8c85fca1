import { z } from 'zod';
import { civilDate, currency, id, instant, name } from './values.ts';

const fields = {
  fromCurrency: currency,
  toCurrency: currency,
  rate: z
    .string()
    .regex(/^\d{1,10}(\.\d{1,10})?$/, {
      error: 'a decimal number with at most 10 decimals',
      abort: true,
    })
    .refine((text) => /[1-9]/.test(text), 'must be above 0')
    .meta({ description: 'Units of toCurrency for one unit of fromCurrency' }),
  rateOn: civilDate,
  source: name.meta({ description: 'Who published the rate' }),
};

export const exchangeRate = z
  .object({ id, ...fields, createdAt: instant })
  .meta({ id: 'ExchangeRate' });

export const newExchangeRate = z
  .strictObject({ id: id.optional(), ...fields })
  .refine(({ fromCurrency, toCurrency }) => fromCurrency !== toCurrency, {
    path: ['toCurrency'],
    message: 'must differ from fromCurrency',
  });

export const exchangeRateFilters = {
  fromCurrency: currency.optional(),
  toCurrency: currency.optional(),
};

export type ExchangeRate = z.infer<typeof exchangeRate>;
export type NewExchangeRate = z.infer<typeof newExchangeRate>;
