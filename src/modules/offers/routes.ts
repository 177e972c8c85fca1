import { z } from 'zod';
import {
  newOffer,
  newOfferWithdrawal,
  offer,
  offerFilters,
} from '../../../shared/contract/offer.ts';
import { byId } from '../../../shared/contract/values.ts';
import { DomainError } from '../../domain/errors.ts';
import { recordRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable } from '../../http/table-export.ts';
import { MAX_EXPORTED, PRICE_LIST_COLUMNS, priceListRows } from './price-list-export.ts';
import type { Offers } from './use-cases.ts';

/** Offers: the price of a material in packs, from a supplier, between two dates. */
export function offerRoutes(routes: Routes, offers: Offers): void {
  recordRoutes(routes, {
    path: '/offers',
    names: ['Offer', 'Offers'],
    tag: 'Offers',
    read: 'materials:read',
    write: 'materials:write',
    item: offer,
    create: newOffer,
    filters: offerFilters,
    store: offers.store,
  });
  routes.download({
    method: 'GET',
    url: '/offers.csv',
    operationId: 'downloadOffers',
    tag: 'Offers',
    summary: 'Download offers as a price list, which can be imported again',
    permission: 'materials:read',
    query: z.strictObject(offerFilters),
    mediaTypes: [CSV_TYPE],
    async handle(tx, { query }) {
      const rows = await priceListRows(tx, query);
      if (rows.length > MAX_EXPORTED) throw tooManyOffers();
      return csvTable('price-list.csv', PRICE_LIST_COLUMNS, rows);
    },
  });
  routes.route({
    method: 'POST',
    url: '/offers/:id/withdrawals',
    operationId: 'withdrawOffer',
    tag: 'Offers',
    summary: 'Withdraw an offer from a day on; what was priced before stays priced',
    permission: 'materials:write',
    params: byId,
    body: newOfferWithdrawal,
    response: offer,
    async handle(tx, { params, body }) {
      return { body: await offers.withdraw(tx, params.id, body) };
    },
  });
}

const tooManyOffers = () =>
  new DomainError('too-large', {
    detail: `There are over ${MAX_EXPORTED} offers; narrow them by supplier, material or day.`,
  });
