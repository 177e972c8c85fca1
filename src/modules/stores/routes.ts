import {
  newSafetyStock,
  newStore,
  safetyStock,
  storePatch,
  store as storeShape,
} from '../../../shared/contract/store.ts';
import { byId } from '../../../shared/contract/values.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { Stores } from './use-cases.ts';

/** Stores: where materials lie before they go to a build, and what each keeps back. */
export function storeRoutes(routes: Routes, stores: Stores): void {
  documentRoutes(routes, {
    path: '/stores',
    names: ['Store', 'Stores'],
    tag: 'Stores',
    read: 'places:read',
    write: 'places:write',
    item: storeShape,
    create: newStore,
    patch: storePatch,
    store: stores.store,
  });
  routes.route({
    method: 'GET',
    url: '/stores/:id/safety-stock',
    operationId: 'getSafetyStock',
    tag: 'Stores',
    summary: 'Read what a store keeps back of each material',
    permission: 'places:read',
    params: byId,
    response: safetyStock,
    handle: async (tx, { params }) => ({ body: await stores.safetyStock(tx, params.id) }),
  });
  routes.route({
    method: 'PUT',
    url: '/stores/:id/safety-stock',
    operationId: 'setSafetyStock',
    tag: 'Stores',
    summary: 'Say what a store keeps back of each material, in place of what was said before',
    permission: 'places:write',
    params: byId,
    body: newSafetyStock,
    response: safetyStock,
    handle: async (tx, { params, body }) => ({
      body: await stores.setSafetyStock(tx, params.id, body),
    }),
  });
}
