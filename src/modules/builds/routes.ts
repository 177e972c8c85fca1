import { z } from 'zod';
import {
  type Build,
  build,
  buildFilters,
  buildPatch,
  madeBuilds,
  newBuild,
  newBuildCancellation,
  newBuilds,
  newRepricing,
  repricing,
} from '../../../shared/contract/build.ts';
import { byId } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Builds } from './use-cases.ts';

/** Milliseconds for thousands of builds with their bills. */
const MANY_TIMEOUT_MS = 60_000;

/** Builds: one tank at one site, with its bill priced when it is made. */
export function buildRoutes(routes: Routes, builds: Builds): void {
  const tag = 'Builds';
  routes.route({
    method: 'GET',
    url: '/builds',
    operationId: 'listBuilds',
    tag,
    summary: 'List builds by code',
    permission: 'builds:read',
    query: z.strictObject({ ...pageQuery, ...buildFilters }),
    response: pageOf(build),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/builds?${JSON.stringify(filter)}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const rows = await builds.list(tx, filter, after, limit);
      const keyOf = (row: Build) => [row.code, row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/builds/:id',
    operationId: 'getBuild',
    tag,
    summary: 'Read one build',
    permission: 'builds:read',
    params: byId,
    response: build,
    async handle(tx, { params }) {
      const found = await builds.get(tx, params.id);
      return { body: found, version: found.version };
    },
  });
  routes.route({
    method: 'POST',
    url: '/builds',
    operationId: 'createBuild',
    tag,
    summary:
      'Make a build on an approved revision, priced by the cheapest valid offers in the currency of the programme',
    permission: 'builds:write',
    body: newBuild,
    response: build,
    status: 201,
    async handle(tx, { body }) {
      const made = await builds.create(tx, body);
      return { body: made, location: `/v1/builds/${made.id}`, version: made.version };
    },
  });
  routes.route({
    method: 'POST',
    url: '/programmes/:id/builds',
    operationId: 'createBuilds',
    tag,
    summary: 'Make builds at many sites at once, on the designs of their latest sizing',
    permission: 'builds:write',
    params: byId,
    body: newBuilds,
    response: madeBuilds,
    status: 201,
    statementTimeoutMs: MANY_TIMEOUT_MS,
    async handle(tx, { params, body }) {
      return { body: await builds.createMany(tx, params.id, body) };
    },
  });
  routes.route({
    method: 'PATCH',
    url: '/builds/:id',
    operationId: 'editBuild',
    tag,
    summary: 'Change when a build is to start and which crew does it (JSON merge patch)',
    permission: 'builds:write',
    params: byId,
    body: buildPatch,
    versioned: true,
    response: build,
    async handle(tx, { params, body, version }) {
      const changed = await builds.edit(tx, params.id, version, body);
      return { body: changed, version: changed.version };
    },
  });
  routes.route({
    method: 'POST',
    url: '/builds/:id/cancellations',
    operationId: 'cancelBuild',
    tag,
    summary: 'Cancel a build that is not complete; its site may get another',
    permission: 'builds:write',
    params: byId,
    body: newBuildCancellation,
    response: build,
    async handle(tx, { params, body }) {
      const changed = await builds.cancel(tx, params.id, body);
      return { body: changed, version: changed.version };
    },
  });
  routes.route({
    method: 'POST',
    url: '/programmes/:id/repricings',
    operationId: 'repriceBuilds',
    tag,
    summary: 'Price the bills of all builds that have not started again, at another day',
    permission: 'builds:write',
    params: byId,
    body: newRepricing,
    response: repricing,
    statementTimeoutMs: MANY_TIMEOUT_MS,
    async handle(tx, { params, body }) {
      return { body: await builds.reprice(tx, params.id, body) };
    },
  });
}
