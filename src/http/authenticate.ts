import { createHash } from 'node:crypto';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Database } from '../db/database.ts';
import { DomainError } from '../domain/errors.ts';
import type { Actor } from '../domain/identity.ts';
import { permissionsOf, type Role } from '../domain/permissions.ts';

/** Prefix of API tokens, so that a leaked one is recognised in a log or a repository. */
export const TOKEN_PREFIX = 'hwt_';

declare module 'fastify' {
  interface FastifyRequest {
    actor: Actor | null;
  }
}

interface AuthenticatedRow {
  organisation_id: string;
  person_id: string;
  account_id: string;
  credential_id: string;
  name: string;
  roles: Role[];
  donor_id: string | null;
  cursor_key: string;
  is_stale: boolean;
}

/** Credentials are 256 random bits, so a plain hash is enough to keep them out of the database. */
export const hashCredential = (credential: string) =>
  createHash('sha256').update(credential).digest('hex');

export type CredentialKind = 'session' | 'token';

/** Finds who holds the credential that the request carries; null when it carries none. */
export function authenticator(db: Database, cookieName: string) {
  return async (request: FastifyRequest): Promise<Actor | null> => {
    const presented = presentedCredential(request, cookieName);
    if (!presented) return null;
    const { rows } = await db.pool.query<AuthenticatedRow>({
      name: 'authenticate',
      text: 'select * from authenticate($1, $2)',
      values: [hashCredential(presented.credential), presented.kind],
    });
    const row = rows[0];
    if (!row) return null;
    const actor: Actor = {
      organisationId: row.organisation_id,
      personId: row.person_id,
      accountId: row.account_id,
      credentialId: row.credential_id,
      name: row.name,
      roles: row.roles,
      permissions: permissionsOf(row.roles),
      donorId: row.donor_id,
      cursorKey: row.cursor_key,
      requestId: request.id,
    };
    if (row.is_stale) await touchCredential(db, actor, presented.kind);
    return actor;
  };
}

function presentedCredential(request: FastifyRequest, cookieName: string) {
  const header = request.headers.authorization;
  if (header !== undefined) {
    const token = /^Bearer ([\x21-\x7e]{20,200})$/i.exec(header)?.[1];
    return token ? { kind: 'token' as const, credential: token } : null;
  }
  const cookie = request.cookies[cookieName];
  if (!cookie) return null;
  refuseForeignOrigin(request);
  return { kind: 'session' as const, credential: cookie };
}

/** A cookie counts for a change only when our own pages sent the request. */
export function refuseForeignOrigin(request: FastifyRequest): void {
  if (request.method === 'GET' || request.method === 'HEAD') return;
  const { origin, 'sec-fetch-site': site } = request.headers;
  const fromElsewhere =
    origin !== undefined
      ? !URL.canParse(origin) || new URL(origin).host !== request.host
      : site !== undefined && site !== 'same-origin';
  if (fromElsewhere) {
    throw new DomainError('forbidden', { detail: 'The request came from another site.' });
  }
}

async function touchCredential(db: Database, actor: Actor, kind: CredentialKind) {
  const text =
    kind === 'session'
      ? 'update session set last_seen_at = now() where organisation_id = $1 and id = $2'
      : 'update api_token set last_used_at = now() where organisation_id = $1 and id = $2';
  await db.withTenant(actor, (tx) => tx.sql(text, [actor.organisationId, actor.credentialId]));
}

/** The actor of a route that needs one. Throws `unauthenticated` without. */
export function actorOf(request: FastifyRequest): Actor {
  if (!request.actor) throw new DomainError('unauthenticated');
  return request.actor;
}

/** Answers of signed-in routes must not stay in any cache. */
export function forbidCaching(_request: FastifyRequest, reply: FastifyReply) {
  reply.header('cache-control', 'no-store');
}
