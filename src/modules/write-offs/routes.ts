import { z } from 'zod';
import { byId } from '../../../shared/contract/values.ts';
import {
  decidedWriteOff,
  newWriteOff,
  newWriteOffDecision,
  writeOff,
  writeOffFilters,
} from '../../../shared/contract/write-off.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { WriteOffs } from './use-cases.ts';

const tag = 'Stock';

/** Write-offs of stock, each by two people. */
export function writeOffRoutes(routes: Routes, writeOffs: WriteOffs): void {
  routes.route({
    method: 'POST',
    url: '/write-offs',
    operationId: 'requestWriteOff',
    tag,
    summary: 'Ask to write stock off; nothing leaves the ledger before another person approves',
    permission: 'stock:write',
    body: newWriteOff,
    response: writeOff,
    status: 201,
    async handle(tx, { body }) {
      const asked = await writeOffs.request(tx, body);
      return { body: asked, location: `/v1/write-offs/${asked.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/write-offs',
    operationId: 'listWriteOffs',
    tag,
    summary: 'List write-offs in the order in which they were asked for',
    permission: 'stock:read',
    query: z.strictObject({ ...pageQuery, ...writeOffFilters }),
    response: pageOf(writeOff),
    handle: async (tx, { query }) => ({ body: await writeOffs.list(tx, query) }),
  });
  routes.route({
    method: 'GET',
    url: '/write-offs/:id',
    operationId: 'getWriteOff',
    tag,
    summary: 'Read one write-off',
    permission: 'stock:read',
    params: byId,
    response: writeOff,
    handle: async (tx, { params }) => ({ body: await writeOffs.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/write-offs/:id/decisions',
    operationId: 'decideWriteOff',
    tag,
    summary: 'Approve or refuse a write-off that another person asked for',
    permission: 'stock:approve',
    params: byId,
    body: newWriteOffDecision,
    response: decidedWriteOff,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await writeOffs.decide(tx, params.id, body),
    }),
  });
}
