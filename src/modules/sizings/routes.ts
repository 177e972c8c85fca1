import { z } from 'zod';
import { job } from '../../../shared/contract/job.ts';
import {
  type SiteSizing,
  siteSizing,
  siteSizingSummary,
  sizingRefusal,
} from '../../../shared/contract/site-sizing.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Sizings } from './use-cases.ts';

const listQuery = z.strictObject({
  ...pageQuery,
  programmeId: id,
  latest: z
    .enum(['true', 'false', 'all'])
    .default('true')
    .meta({ description: 'The latest sizing of each site, what it replaced, or both' }),
  villageId: id.optional(),
  siteId: id.optional(),
  designRevisionId: id.optional(),
  refusal: sizingRefusal.optional(),
  jobId: id.optional(),
});

/** Sizing: which standard design each site of a programme gets, and why some get none. */
export function sizingRoutes(routes: Routes, sizings: Sizings): void {
  const tag = 'Sizing';
  routes.route({
    method: 'POST',
    url: '/programmes/:id/sizings',
    operationId: 'sizeProgramme',
    tag,
    summary: 'Size every site of a programme; the answer names the job that does it',
    permission: 'sites:write',
    params: byId,
    response: job,
    status: 202,
    async handle(tx, { params }) {
      const requested = await sizings.request(tx, params.id);
      return {
        body: requested,
        location: `/v1/jobs/${requested.id}`,
        headers: { 'retry-after': '1' },
      };
    },
  });
  routes.route({
    method: 'GET',
    url: '/site-sizings',
    operationId: 'listSiteSizings',
    tag,
    summary: 'List what each site of a programme gets, by site code',
    permission: 'sites:read',
    query: listQuery,
    response: pageOf(siteSizing),
    async handle(tx, { query: { limit, cursor, latest, ...filter } }) {
      const list = `/site-sizings?${JSON.stringify({ latest, ...filter })}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const isLatest = latest === 'all' ? undefined : latest === 'true';
      const rows = await sizings.list(tx, { ...filter, latest: isLatest }, after, limit);
      const keyOf = (row: SiteSizing) => [row.siteCode, row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/site-sizings/summary',
    operationId: 'summariseSiteSizings',
    tag,
    summary: 'Count the latest sizings of a programme by design and by reason for none',
    permission: 'sites:read',
    query: z.strictObject({ programmeId: id }),
    response: siteSizingSummary,
    async handle(tx, { query }) {
      return { body: await sizings.summary(tx, query.programmeId) };
    },
  });
}
