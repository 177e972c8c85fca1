import {
  type NewStore,
  newStore,
  type Store,
  type StorePatch,
  storePatch,
  store as storeShape,
} from '../../../shared/contract/store.ts';
import { type DocumentStore, documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';

/** Stores: where materials lie before they go to a build. */
export function storeRoutes(
  routes: Routes,
  store: DocumentStore<Store, NewStore, StorePatch>,
): void {
  documentRoutes(routes, {
    path: '/stores',
    names: ['Store', 'Stores'],
    tag: 'Stores',
    read: 'places:read',
    write: 'places:write',
    item: storeShape,
    create: newStore,
    patch: storePatch,
    store,
  });
}
