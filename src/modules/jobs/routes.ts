import { z } from 'zod';
import { JOB_STATES, job } from '../../../shared/contract/job.ts';
import { byId } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Jobs } from './use-cases.ts';

const query = z.strictObject({
  ...pageQuery,
  kind: z.string().max(60).optional(),
  state: z.enum(JOB_STATES).optional(),
});

/** Jobs: work that goes on after the answer, to look at and to cancel. */
export function jobRoutes(routes: Routes, jobs: Jobs): void {
  const tag = 'Jobs';
  routes.route({
    method: 'GET',
    url: '/jobs',
    operationId: 'listJobs',
    tag,
    summary: 'List jobs, newest first',
    permission: 'jobs:read',
    query,
    response: pageOf(job),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/jobs?${JSON.stringify(filter)}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const found = await jobs.list(tx, filter, after, limit);
      return {
        body: toPage(
          tx.actor,
          list,
          found,
          limit,
          (row) => [row.createdAt, row.id],
          (row) => row,
        ),
      };
    },
  });
  routes.route({
    method: 'GET',
    url: '/jobs/:id',
    operationId: 'getJob',
    tag,
    summary: 'Read how one job stands',
    permission: 'jobs:read',
    params: byId,
    response: job,
    async handle(tx, { params }) {
      return { body: await jobs.get(tx, params.id) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/jobs/:id/cancellations',
    operationId: 'cancelJob',
    tag,
    summary: 'Cancel a job: a waiting one never starts, a running one stops after its step',
    permission: 'jobs:read',
    params: byId,
    response: job,
    async handle(tx, { params }) {
      return { body: await jobs.cancel(tx, params.id) };
    },
  });
}
