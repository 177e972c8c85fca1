import { z } from 'zod';
import {
  type ContributionRecord,
  contribution,
  contributionFilters,
  contributionPatch,
  contributionRecord,
  contributionReversal,
  contributionWaiver,
  dispatchGate,
  dispatchGateQuery,
  newContribution,
  newContributionRecord,
  newContributionWaiver,
} from '../../../shared/contract/contribution.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { gateState } from './dispatch-gate.ts';
import type { Contributions } from './use-cases.ts';

/** Contributions: what villages agreed to give, what came, and whether materials may go to them. */
export function contributionRoutes(routes: Routes, contributions: Contributions): void {
  const tag = 'Contributions';
  documentRoutes(routes, {
    path: '/contributions',
    names: ['Contribution', 'Contributions'],
    tag,
    read: 'builds:read',
    write: 'builds:write',
    item: contribution,
    create: newContribution,
    patch: contributionPatch,
    filters: contributionFilters,
    store: contributions.store,
    guardCreate: contributions.guardCreate,
    guardEdit: contributions.guardEdit,
  });
  routes.route({
    method: 'GET',
    url: '/contributions/:id/records',
    operationId: 'listContributionRecords',
    tag,
    summary: 'List what a village gave of a contribution, by day',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject(pageQuery),
    response: pageOf(contributionRecord),
    async handle(tx, { params, query: { limit, cursor } }) {
      const list = `/contributions/${params.id}/records`;
      const after = cursor ? openCursor(tx.actor, list, cursor) : null;
      const rows = await contributions.listRecords(tx, params.id, after, limit);
      const keyOf = (row: ContributionRecord) => [row.observedOn, row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/contributions/:id/records',
    operationId: 'recordContribution',
    tag,
    summary: 'Record what a village gave; its value at the agreed rate becomes a cost in kind',
    permission: 'stages:write',
    params: byId,
    body: newContributionRecord,
    response: contributionRecord,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await contributions.record(tx, params.id, body),
    }),
  });
  routes.route({
    method: 'POST',
    url: '/contributions/:id/records/:recordId/reversals',
    operationId: 'reverseContribution',
    tag,
    summary: 'Take a record back with one of the opposite quantity, and its cost with it',
    permission: 'stages:write',
    params: z.strictObject({ id, recordId: id }),
    body: contributionReversal,
    response: contributionRecord,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await contributions.reverse(tx, params.id, params.recordId, body),
    }),
  });
  routes.route({
    method: 'GET',
    url: '/contributions/:id/waivers',
    operationId: 'listContributionWaivers',
    tag,
    summary: 'List who let materials go although a contribution was missing, and why',
    permission: 'builds:read',
    params: byId,
    response: z.object({ items: z.array(contributionWaiver) }),
    handle: async (tx, { params }) => ({
      body: { items: await contributions.listWaivers(tx, params.id) },
    }),
  });
  routes.route({
    method: 'POST',
    url: '/contributions/:id/waivers',
    operationId: 'waiveContribution',
    tag,
    summary: 'Let materials go although a contribution is missing, answering for it by name',
    permission: 'builds:write',
    params: byId,
    body: newContributionWaiver,
    response: contributionWaiver,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await contributions.waive(tx, params.id, body),
    }),
  });
  routes.route({
    method: 'GET',
    url: '/villages/:id/dispatch-gate',
    operationId: 'getDispatchGate',
    tag,
    summary: 'Read whether materials may go to a village, and what of its own inputs is missing',
    permission: 'builds:read',
    params: byId,
    query: dispatchGateQuery,
    response: dispatchGate,
    handle: async (tx, { params, query }) => ({
      body: await gateState(tx, params.id, query.programmeId),
    }),
  });
}
