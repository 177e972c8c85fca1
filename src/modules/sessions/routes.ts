import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import {
  newPasswordChange,
  newSession,
  passwordChange,
  session,
  signedIn,
} from '../../../shared/contract/session.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { actorOf } from '../../http/authenticate.ts';
import { bareRoute } from '../../http/bare-route.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { SessionCookie } from '../../http/session-cookie.ts';
import type { Sessions } from './use-cases.ts';

const tag = 'Sessions';

/** Signing in with a password, for browsers; the session travels in a cookie. */
export function signInRoutes(
  app: FastifyInstance,
  sessions: Sessions,
  cookie: SessionCookie,
): void {
  bareRoute(app, {
    url: '/sessions',
    operationId: 'signIn',
    tag,
    summary: 'Sign in with e-mail and password; sets the session cookie',
    permission: 'public',
    body: newSession,
    response: signedIn,
    async handle(body, request, reply) {
      const made = await sessions.signIn({
        ...body,
        address: request.ip,
        requestId: request.id,
        replacedToken: request.cookies[cookie.name],
      });
      reply.header('set-cookie', cookie.issue(made.token));
      reply.header('location', '/v1/sessions/current');
      return made.signedIn;
    },
  });
  bareRoute(app, {
    url: '/password-changes',
    operationId: 'changePassword',
    tag,
    summary: 'Change your password; ends your other sessions',
    permission: 'signed-in',
    body: newPasswordChange,
    response: passwordChange,
    handle: (body, request) => sessions.changePassword(actorOf(request), body, request.ip),
  });
}

/** Reading and ending sessions. */
export function sessionRoutes(routes: Routes, sessions: Sessions, cookie: SessionCookie): void {
  routes.route({
    method: 'GET',
    url: '/sessions',
    operationId: 'listSessions',
    tag,
    summary: 'List your live sessions; administrators may name a person',
    permission: 'signed-in',
    query: z.strictObject({ ...pageQuery, personId: id.optional() }),
    response: pageOf(session),
    async handle(tx, { query: { limit, cursor, personId = tx.actor.personId } }) {
      const list = `/sessions?${personId}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const found = await sessions.list(tx, personId, after, limit + 1);
      return {
        body: toPage(
          tx.actor,
          list,
          found,
          limit,
          (item) => [item.createdAt, item.id],
          (item) => item,
        ),
      };
    },
  });
  routes.route({
    method: 'GET',
    url: '/sessions/current',
    operationId: 'getCurrentSession',
    tag,
    summary: 'Who you are: person, roles, permissions, organisation',
    permission: 'signed-in',
    response: signedIn,
    handle: async (tx) => ({ body: await sessions.current(tx) }),
  });
  routes.route({
    method: 'DELETE',
    url: '/sessions/current',
    operationId: 'signOut',
    tag,
    summary: 'Sign out; takes the cookie back',
    permission: 'signed-in',
    response: session,
    handle: async (tx) => ({
      body: await sessions.signOut(tx),
      headers: { 'set-cookie': cookie.withdraw },
    }),
  });
  routes.route({
    method: 'DELETE',
    url: '/sessions/:id',
    operationId: 'revokeSession',
    tag,
    summary: 'End one of your sessions; administrators may end any',
    permission: 'signed-in',
    params: byId,
    response: session,
    handle: async (tx, { params }) => ({ body: await sessions.revoke(tx, params.id) }),
  });
}
