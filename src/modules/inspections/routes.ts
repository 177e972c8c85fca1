import { z } from 'zod';
import {
  actionClosure,
  correctiveAction,
  inspection,
  newInspection,
} from '../../../shared/contract/inspection.ts';
import { byId, civilDate, id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { InspectionLists, Inspections } from './use-cases.ts';

const listQuery = z.strictObject({
  ...pageQuery,
  buildId: id.optional(),
  programmeId: id.optional(),
  condition: inspection.shape.condition.optional(),
});

const actionQuery = z.strictObject({
  ...pageQuery,
  isOpen: z.stringbool().optional(),
  dueBy: civilDate.optional(),
  buildId: id.optional(),
  programmeId: id.optional(),
});

/** Visits to tanks, what they found, and what has to be done about it by when. */
export function inspectionRoutes(routes: Routes, inspections: Inspections & InspectionLists): void {
  routes.route({
    method: 'POST',
    url: '/builds/:buildId/inspections',
    operationId: 'recordInspection',
    tag: 'Inspections',
    summary: 'Record a visit with its findings and the actions due',
    permission: 'inspections:write',
    params: z.strictObject({ buildId: id }),
    body: newInspection,
    response: inspection,
    status: 201,
    async handle(tx, { params, body }) {
      const recorded = await inspections.record(tx, params.buildId, body);
      return { body: recorded, location: `/v1/inspections/${recorded.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/inspections',
    operationId: 'listInspections',
    tag: 'Inspections',
    summary: 'List visits, the newest first',
    permission: 'inspections:read',
    query: listQuery,
    response: pageOf(inspection),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/inspections?${JSON.stringify(filter)}`;
      const after = cursor ? openCursor(tx.actor, list, cursor) : null;
      const rows = await inspections.list(tx, filter, after, limit);
      const page = toPage(
        tx.actor,
        list,
        rows,
        limit,
        (row) => [row.inspectedOn, row.id],
        (row) => row,
      );
      return { body: { ...page, items: await inspections.complete(tx, page.items) } };
    },
  });
  routes.route({
    method: 'GET',
    url: '/inspections/:id',
    operationId: 'getInspection',
    tag: 'Inspections',
    summary: 'Read one visit',
    permission: 'inspections:read',
    params: byId,
    response: inspection,
    handle: async (tx, { params }) => ({ body: await inspections.get(tx, params.id) }),
  });
  routes.route({
    method: 'GET',
    url: '/corrective-actions',
    operationId: 'listCorrectiveActions',
    tag: 'Inspections',
    summary: 'List actions, the first due first',
    permission: 'inspections:read',
    query: actionQuery,
    response: pageOf(correctiveAction),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/corrective-actions?${JSON.stringify(filter)}`;
      const after = cursor ? openCursor(tx.actor, list, cursor) : null;
      const rows = await inspections.listActions(tx, filter, after, limit);
      return {
        body: toPage(
          tx.actor,
          list,
          rows,
          limit,
          (row) => [row.dueOn, row.id],
          (row) => row,
        ),
      };
    },
  });
  routes.route({
    method: 'POST',
    url: '/corrective-actions/:id/closures',
    operationId: 'closeCorrectiveAction',
    tag: 'Inspections',
    summary: 'Say that an action is done',
    permission: 'stages:write',
    params: byId,
    body: actionClosure,
    response: correctiveAction,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await inspections.closeAction(tx, params.id, body),
    }),
  });
}
