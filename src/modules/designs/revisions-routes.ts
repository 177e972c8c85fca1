import { z } from 'zod';
import {
  approvalState,
  type DesignRevisionSummary,
  designDecision,
  designRevision,
  designRevisionFilters,
  designRevisionSummary,
  newDesignDecision,
  newDesignRevision,
} from '../../../shared/contract/design-revision.ts';
import { byId } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { DesignRevisions, RevisionFilter } from './revision-use-cases.ts';

const tag = 'Tank designs';
const SVG_TYPE = 'image/svg+xml';
const sheetNumber = z.coerce.number().int().min(1).max(1_000).default(1).meta({
  description:
    'Sheet of the drawing, from 1: section, plan, dome grid, then cautions; long tables take sheets between.',
});
const ofOneDesign = z.strictObject({ ...pageQuery, approval: approvalState.optional() });
const ofAll = z.strictObject({ ...pageQuery, ...designRevisionFilters });

/** Revisions: dimensions with their checks and take-off, and the engineers' decisions on them. */
export function revisionRoutes(routes: Routes, revisions: DesignRevisions): void {
  async function page(
    tx: Parameters<DesignRevisions['list']>[0],
    filter: RevisionFilter,
    { limit, cursor }: { limit: number; cursor?: string | undefined },
  ) {
    const list = `/design-revisions?${JSON.stringify(filter)}`;
    const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
    const rows = await revisions.list(tx, filter, after, limit);
    const keyOf = (row: DesignRevisionSummary) => [row.designCode, String(row.revisionNumber)];
    return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
  }
  routes.route({
    method: 'GET',
    url: '/design-revisions',
    operationId: 'listDesignRevisions',
    tag,
    summary: 'List design revisions with their outcome and approval',
    permission: 'designs:read',
    query: ofAll,
    response: pageOf(designRevisionSummary),
    handle: (tx, { query: { limit, cursor, ...filter } }) => page(tx, filter, { limit, cursor }),
  });
  routes.route({
    method: 'GET',
    url: '/tank-designs/:id/revisions',
    operationId: 'listRevisionsOfDesign',
    tag,
    summary: 'List the revisions of one design, oldest first',
    permission: 'designs:read',
    params: byId,
    query: ofOneDesign,
    response: pageOf(designRevisionSummary),
    async handle(tx, { params, query: { approval, ...paging } }) {
      await revisions.requireDesign(tx, params.id);
      return page(tx, { designId: params.id, approval }, paging);
    },
  });
  routes.route({
    method: 'POST',
    url: '/tank-designs/:id/revisions',
    operationId: 'createDesignRevision',
    tag,
    summary: 'Check a set of dimensions and take it off; the revision is never changed afterwards',
    permission: 'designs:write',
    params: byId,
    body: newDesignRevision,
    response: designRevision,
    status: 201,
    async handle(tx, { params, body }) {
      const made = await revisions.create(tx, params.id, body);
      return { body: made, location: `/v1/design-revisions/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/design-revisions/:id',
    operationId: 'getDesignRevision',
    tag,
    summary: 'Read one revision with its checks, cautions, take-off and decisions',
    permission: 'designs:read',
    params: byId,
    response: designRevision,
    async handle(tx, { params }) {
      return { body: await revisions.get(tx, params.id) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/design-revisions/:id/drawing.svg',
    operationId: 'downloadDesignDrawing',
    tag,
    summary: 'Draw one revision: section, plan, dome grid and cautions, one A4 sheet at a time',
    permission: 'designs:read',
    params: byId,
    query: z.strictObject({ sheet: sheetNumber }),
    mediaTypes: [SVG_TYPE],
    async handle(tx, { params, query }) {
      const { svg, fileName } = await revisions.drawing(tx, params.id, query.sheet);
      return { content: svg, mediaType: SVG_TYPE, fileName };
    },
  });
  routes.route({
    method: 'POST',
    url: '/design-revisions/:id/decisions',
    operationId: 'decideDesignRevision',
    tag,
    summary: 'Approve or refuse a revision, or withdraw its approval, as a registered engineer',
    permission: 'designs:approve',
    params: byId,
    body: newDesignDecision,
    response: designDecision,
    status: 201,
    async handle(tx, { params, body }) {
      return { body: await revisions.decide(tx, params.id, body) };
    },
  });
}
