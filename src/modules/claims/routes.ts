import { z } from 'zod';
import { claim, claimFilters, newClaimSettlement } from '../../../shared/contract/claim.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Claims } from './use-cases.ts';

const tag = 'Claims';

/** Claims on suppliers: what came damaged, did not come, or came above the delivery note. */
export function claimRoutes(routes: Routes, claims: Claims): void {
  routes.route({
    method: 'GET',
    url: '/claims',
    operationId: 'listClaims',
    tag,
    summary: 'List claims by code',
    permission: 'orders:read',
    query: z.strictObject({ ...pageQuery, ...claimFilters }),
    response: pageOf(claim),
    handle: async (tx, { query }) => ({ body: await claims.list(tx, query) }),
  });
  routes.route({
    method: 'GET',
    url: '/claims/:id',
    operationId: 'getClaim',
    tag,
    summary: 'Read one claim',
    permission: 'orders:read',
    params: byId,
    response: claim,
    handle: async (tx, { params }) => ({ body: await claims.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/claims/:id/settlements',
    operationId: 'settleClaim',
    tag,
    summary: 'Say how a claim ended: credited, replaced, returned, bought or rejected',
    permission: 'orders:write',
    params: byId,
    body: newClaimSettlement,
    response: claim,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await claims.settle(tx, params.id, body) }),
  });
}
