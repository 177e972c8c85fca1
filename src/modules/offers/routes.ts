import {
  newOffer,
  newOfferWithdrawal,
  offer,
  offerFilters,
} from '../../../shared/contract/offer.ts';
import { byId } from '../../../shared/contract/values.ts';
import { recordRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
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
