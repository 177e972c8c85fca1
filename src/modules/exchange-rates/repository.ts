import type { ExchangeRate, NewExchangeRate } from '../../../shared/contract/exchange-rate.ts';
import { recordStore } from '../../db/document-store.ts';
import type { ExchangeRateModel as ExchangeRateRow } from '../../db/generated/models.ts';
import { civilDate, decimalText, withDates } from '../../db/wire-values.ts';

/** Exchange rates by day; a wrong one is followed by a right one of another source, never changed. */
export const exchangeRateStore = recordStore<ExchangeRateRow, ExchangeRate, NewExchangeRate>({
  noun: 'exchange rate',
  sortKey: 'rateOn',
  delegate: (prisma) => prisma.exchangeRate,
  toWire: (row) => ({
    id: row.id,
    fromCurrency: row.fromCurrency,
    toCurrency: row.toCurrency,
    rate: decimalText(row.rate),
    rateOn: civilDate(row.rateOn),
    source: row.source,
    createdAt: row.createdAt.toISOString(),
  }),
  toColumns: (input) => withDates(input, ['rateOn']),
});
