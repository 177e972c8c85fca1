import { z } from 'zod';
import { apiToken, issuedApiToken, newApiToken } from '../../../shared/contract/api-token.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Tokens } from './use-cases.ts';

const tag = 'API tokens';

/** Bearer tokens of people and of the programs that act for them. */
export function tokenRoutes(routes: Routes, tokens: Tokens): void {
  routes.route({
    method: 'POST',
    url: '/api-tokens',
    operationId: 'createApiToken',
    tag,
    summary: 'Make an API token with your own permissions; it is shown this once',
    permission: 'signed-in',
    body: newApiToken,
    response: issuedApiToken,
    status: 201,
    withoutSecret: (made) => ({ ...made, token: null }),
    handle: async (tx, { body }) => ({ body: await tokens.issue(tx, body) }),
  });
  routes.route({
    method: 'GET',
    url: '/api-tokens',
    operationId: 'listApiTokens',
    tag,
    summary: 'List your API tokens; administrators may name a person',
    permission: 'signed-in',
    query: z.strictObject({ ...pageQuery, personId: id.optional() }),
    response: pageOf(apiToken),
    async handle(tx, { query: { limit, cursor, personId = tx.actor.personId } }) {
      const list = `/api-tokens?${personId}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const found = await tokens.list(tx, personId, after, limit + 1);
      const keyOf = (item: (typeof found)[number]) => [item.createdAt, item.id];
      return { body: toPage(tx.actor, list, found, limit, keyOf, (item) => item) };
    },
  });
  routes.route({
    method: 'DELETE',
    url: '/api-tokens/:id',
    operationId: 'revokeApiToken',
    tag,
    summary: 'Revoke one of your API tokens; administrators may revoke any',
    permission: 'signed-in',
    params: byId,
    response: apiToken,
    handle: async (tx, { params }) => ({ body: await tokens.revoke(tx, params.id) }),
  });
}
