import { z } from 'zod';
import {
  newOffer,
  newOfferWithdrawal,
  offer,
  offerFilters,
} from '../../../shared/contract/offer.ts';
import { byId } from '../../../shared/contract/values.ts';
import { recordRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable } from '../../http/table-export.ts';
import { PRICE_LIST_COLUMNS } from './price-list-export.ts';
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
      return csvTable('price-list.csv', PRICE_LIST_COLUMNS, await offers.priceList(tx, query));
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
