import {
  type ExchangeRate,
  exchangeRate,
  exchangeRateFilters,
  type NewExchangeRate,
  newExchangeRate,
} from '../../../shared/contract/exchange-rate.ts';
import { type RecordStore, recordRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';

/** Exchange rates, append-only: what a report used stays what it was. */
export function exchangeRateRoutes(
  routes: Routes,
  store: RecordStore<ExchangeRate, NewExchangeRate>,
): void {
  recordRoutes(routes, {
    path: '/exchange-rates',
    names: ['ExchangeRate', 'ExchangeRates'],
    tag: 'Exchange rates',
    read: 'money:read',
    write: 'money:write',
    item: exchangeRate,
    create: newExchangeRate,
    filters: exchangeRateFilters,
    store,
  });
}
