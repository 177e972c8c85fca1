import { z } from 'zod';
import { buildWork } from '../../../shared/contract/build-work.ts';
import {
  buildProgress,
  newStageRecord,
  newStageRecordBatch,
  type StageRecord,
  stageRecord,
  stageRecordBatch,
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
    summary:
      'Record that a stage started, finished, was checked, was worked on, that its hold was judged or a non-conformity decided; refused at once when a rule forbids it at its date',
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
    method: 'POST',
    url: '/stage-record-batches',
    operationId: 'recordStageBatch',
    tag: 'Stages',
    summary:
      'Record what a device kept, in any order, late or sent before: only what no record to come can mend is refused, each record by itself',
    permission: 'stages:write',
    body: newStageRecordBatch,
    response: stageRecordBatch,
    async handle(tx, { body }) {
      return { body: await stages.recordBatch(tx, body) };
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
  routes.route({
    method: 'GET',
    url: '/builds/:buildId/work',
    operationId: 'getBuildWork',
    tag: 'Stages',
    summary:
      'People-days, person-hours and quantities of the work records by stage, beside the bill',
    permission: 'builds:read',
    params: buildParams,
    response: buildWork,
    async handle(tx, { params }) {
      return { body: await stages.work(tx, params.buildId) };
    },
  });
}
