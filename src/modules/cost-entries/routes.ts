import { z } from 'zod';
import {
  type CostEntry,
  costAdvance,
  costEntry,
  costReversal,
  costSplit,
  newCostEntry,
  newCostSplit,
} from '../../../shared/contract/cost-entry.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { CostEntries } from './use-cases.ts';

const listQuery = z.strictObject({
  ...pageQuery,
  programmeId: id.optional(),
  grantId: id.optional(),
  buildId: id.optional(),
  orderId: id.optional(),
  state: costEntry.shape.state.optional(),
  funding: costEntry.shape.funding.optional(),
});

/** The ledger of costs: entries are only ever added; a mistake is reversed. */
export function costEntryRoutes(routes: Routes, entries: CostEntries): void {
  const tag = 'Costs';
  routes.route({
    method: 'GET',
    url: '/cost-entries',
    operationId: 'listCostEntries',
    tag,
    summary: 'List cost entries by day',
    permission: 'money:read',
    query: listQuery,
    response: pageOf(costEntry),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/cost-entries?${JSON.stringify(filter)}`;
      const after = cursor ? openCursor(tx.actor, list, cursor) : null;
      const rows = await entries.list(tx, filter, after, limit);
      const keyOf = (row: CostEntry) => [row.occurredOn, row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/cost-entries/:id',
    operationId: 'getCostEntry',
    tag,
    summary: 'Read one cost entry',
    permission: 'money:read',
    params: byId,
    response: costEntry,
    handle: async (tx, { params }) => ({ body: await entries.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/cost-entries',
    operationId: 'recordCost',
    tag,
    summary: 'Record a cost, charged to a grant at a rate that stays with it',
    permission: 'money:write',
    body: newCostEntry,
    response: costEntry,
    status: 201,
    async handle(tx, { body }) {
      const entry = await entries.record(tx, body);
      return { body: entry, location: `/v1/cost-entries/${entry.id}` };
    },
  });
  routes.route({
    method: 'POST',
    url: '/cost-splits',
    operationId: 'splitCost',
    tag,
    summary: 'Record a cost of a build over its grants by their shares; the parts add up exactly',
    permission: 'money:write',
    body: newCostSplit,
    response: costSplit,
    status: 201,
    handle: async (tx, { body }) => ({ body: { items: await entries.split(tx, body) } }),
  });
  routes.route({
    method: 'POST',
    url: '/cost-entries/:id/reversals',
    operationId: 'reverseCost',
    tag,
    summary: 'Take a cost entry back with an entry of the opposite amount',
    permission: 'money:write',
    params: byId,
    body: costReversal,
    response: costEntry,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await entries.reverse(tx, params.id, body) }),
  });
  routes.route({
    method: 'POST',
    url: '/cost-entries/:id/advances',
    operationId: 'advanceCost',
    tag,
    summary: 'Move an entry from committed to accrued or paid, or from accrued to paid',
    permission: 'money:write',
    params: byId,
    body: costAdvance,
    response: costEntry,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await entries.advance(tx, params.id, body) }),
  });
}
