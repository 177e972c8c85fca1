import { newVillage, village, villagePatch } from '../../../shared/contract/village.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { Villages } from './use-cases.ts';

/** Villages: where builds stand, with the months in which a truck gets there and the roads to stores. */
export function villageRoutes(routes: Routes, villages: Villages): void {
  documentRoutes(routes, {
    path: '/villages',
    names: ['Village', 'Villages'],
    tag: 'Villages',
    read: 'places:read',
    write: 'places:write',
    item: village,
    create: newVillage,
    patch: villagePatch,
    ...villages,
  });
}
