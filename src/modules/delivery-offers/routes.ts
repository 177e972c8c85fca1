import {
  deliveryOffer,
  deliveryOfferFilters,
  newDeliveryOffer,
} from '../../../shared/contract/delivery-offer.ts';
import { newOfferWithdrawal } from '../../../shared/contract/offer.ts';
import { byId } from '../../../shared/contract/values.ts';
import { recordRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { DeliveryOffers } from './use-cases.ts';

/** Delivery offers: what a supplier asks for one trip to a village, between two dates. */
export function deliveryOfferRoutes(routes: Routes, offers: DeliveryOffers): void {
  recordRoutes(routes, {
    path: '/delivery-offers',
    names: ['DeliveryOffer', 'DeliveryOffers'],
    tag: 'Offers',
    read: 'materials:read',
    write: 'materials:write',
    item: deliveryOffer,
    create: newDeliveryOffer,
    filters: deliveryOfferFilters,
    store: offers.store,
  });
  routes.route({
    method: 'POST',
    url: '/delivery-offers/:id/withdrawals',
    operationId: 'withdrawDeliveryOffer',
    tag: 'Offers',
    summary: 'Withdraw a delivery offer from a day on; what was planned with it stays',
    permission: 'materials:write',
    params: byId,
    body: newOfferWithdrawal,
    response: deliveryOffer,
    async handle(tx, { params, body }) {
      return { body: await offers.withdraw(tx, params.id, body) };
    },
  });
}
