import { z } from 'zod';
import { nonconformity, nonconformityFilters } from '../../../shared/contract/nonconformity.ts';
import { id } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Nonconformities } from './use-cases.ts';

/** Work that did not pass, of one build and across a season; it is decided with a stage record. */
export function nonconformityRoutes(routes: Routes, nonconformities: Nonconformities): void {
  routes.route({
    method: 'GET',
    url: '/nonconformities',
    operationId: 'listNonconformities',
    tag: 'Stages',
    summary: 'List work that did not pass across a season, oldest first',
    permission: 'builds:read',
    query: z.strictObject({ ...pageQuery, ...nonconformityFilters }),
    response: pageOf(nonconformity),
    async handle(tx, { query: { limit, cursor, ...filters } }) {
      return { body: await nonconformities.list(tx, filters, { limit, cursor }) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/builds/:buildId/nonconformities',
    operationId: 'listBuildNonconformities',
    tag: 'Stages',
    summary: 'List work that did not pass of one build, oldest first',
    permission: 'builds:read',
    params: z.strictObject({ buildId: id }),
    query: z.strictObject(pageQuery),
    response: pageOf(nonconformity),
    async handle(tx, { params, query }) {
      return { body: await nonconformities.ofBuild(tx, params.buildId, query) };
    },
  });
}
