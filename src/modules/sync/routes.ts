import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { changes, syncBatch, syncResults } from '../../../shared/contract/sync.ts';
import { insideBatch } from '../../http/inside-batch.ts';
import { pageQuery } from '../../http/page.ts';
import { problemResponses, type Routes } from '../../http/route.ts';
import { changesAfter, runBatch, type SendOperation } from './use-cases.ts';

const tag = 'Devices';

/** Headers that say who asks, from where; an operation is asked with the same. */
const CARRIED = [
  'authorization',
  'cookie',
  'host',
  'origin',
  'sec-fetch-site',
  'x-forwarded-host',
  'x-forwarded-proto',
];

/**
 * What devices use that keep their work until there is a network. A batch goes through the service's
 * own routes, request by request, so that each operation meets the same permission, checks, key,
 * transaction and audit as if it had been sent alone: there is no second way to write.
 */
export function syncRoutes(app: FastifyInstance, routes: Routes): void {
  app.withTypeProvider<ZodTypeProvider>().route({
    method: 'POST',
    url: '/sync/batch',
    config: { permission: 'builds:read' },
    schema: {
      operationId: 'syncBatch',
      tags: [tag],
      summary:
        'Send what a device kept: up to 200 operations, each with its own key, transaction and result. Pictures are sent to /attachments, one by one',
      security: [{ session: [] }, { token: [] }],
      body: syncBatch,
      response: { 200: syncResults, ...problemResponses },
    } as never,
    handler: async (request) => runBatch(syncBatch.parse(request.body), senderOf(app, request)),
  });
  routes.route({
    method: 'GET',
    url: '/changes',
    operationId: 'listChanges',
    tag,
    summary: 'What changed since: records that a device may keep, by their latest change',
    permission: 'builds:read',
    query: z.strictObject({
      limit: pageQuery.limit,
      after: z.string().max(2_000).optional().meta({ description: '`next` of the answer before' }),
      from: z.literal('now').optional().meta({
        description:
          'Only the place reached by now, for a device that reads its records next; not with `after`',
      }),
    }),
    response: changes,
    handle: async (tx, { query }) => ({ body: await changesAfter(tx, query) }),
  });
}

function senderOf(app: FastifyInstance, request: FastifyRequest): SendOperation {
  const carried: Record<string, string> = { 'x-request-id': request.id };
  for (const name of CARRIED) {
    const value = request.headers[name];
    if (typeof value === 'string') carried[name] = value;
  }
  return async ({ key, method, path, body }) => {
    const answer = await insideBatch(() =>
      app.inject({
        method,
        url: path,
        remoteAddress: request.ip,
        headers: { ...carried, 'idempotency-key': key, 'content-type': 'application/json' },
        payload: JSON.stringify(body),
      }),
    );
    return {
      status: answer.statusCode,
      isReplay: answer.headers['idempotency-replayed'] === 'true',
      body: JSON.parse(answer.body) as unknown,
    };
  };
}
