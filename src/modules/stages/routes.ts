import { z } from 'zod';
import {
  buildProgress,
  newStageRecord,
  type StageRecord,
  stageRecord,
} from '../../../shared/contract/stage-record.ts';
import { id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { StageReads, Stages } from './use-cases.ts';

const buildParams = z.strictObject({ buildId: id });

/** Facts from the field and what they say about a build. */
export function stageRoutes(routes: Routes, stages: Stages & StageReads): void {
  routes.route({
    method: 'POST',
    url: '/builds/:buildId/stage-records',
    operationId: 'recordStage',
    tag: 'Stages',
    summary: 'Record that a stage started, finished, was checked, or that its hold was judged',
    permission: 'stages:write',
    params: buildParams,
    body: newStageRecord,
    response: stageRecord,
    status: 201,
    async handle(tx, { params, body }) {
      return { body: await stages.record(tx, params.buildId, body) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/builds/:buildId/stage-records',
    operationId: 'listStageRecords',
    tag: 'Stages',
    summary: 'List the facts of a build in the order in which they were seen',
    permission: 'builds:read',
    params: buildParams,
    query: z.strictObject(pageQuery),
    response: pageOf(stageRecord),
    async handle(tx, { params, query }) {
      const list = `/builds/${params.buildId}/stage-records`;
      const after = query.cursor ? openCursor(tx.actor, list, query.cursor) : null;
      const rows = await stages.listRecords(tx, params.buildId, after, query.limit);
      const keyOf = (row: StageRecord) => [row.observedOn, row.id];
      return { body: toPage(tx.actor, list, rows, query.limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/builds/:buildId/progress',
    operationId: 'getBuildProgress',
    tag: 'Stages',
    summary: 'Status of every stage, open holds, waits, non-conformities and percent complete',
    permission: 'builds:read',
    params: buildParams,
    response: buildProgress,
    async handle(tx, { params }) {
      return { body: await stages.progress(tx, params.buildId) };
    },
  });
}
