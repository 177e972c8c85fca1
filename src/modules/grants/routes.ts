import { grant, grantFilters, grantPatch, newGrant } from '../../../shared/contract/grant.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { Grants } from './use-cases.ts';

/** Grants: what a donor gives a programme, in which currency, for what not. */
export function grantRoutes(routes: Routes, grants: Grants): void {
  documentRoutes(routes, {
    path: '/grants',
    names: ['Grant', 'Grants'],
    tag: 'Grants',
    read: 'money:read',
    write: 'money:write',
    item: grant,
    create: newGrant,
    patch: grantPatch,
    filters: grantFilters,
    ...grants,
  });
}
