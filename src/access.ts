import type { FastifyInstance } from 'fastify';
import type { Database } from './db/database.ts';
import type { Clock } from './domain/clock.ts';
import type { Routes } from './http/route.ts';
import { SESSION_LIFE_S, type SessionCookie } from './http/session-cookie.ts';
import { listAuditEntries } from './modules/audit/repository.ts';
import { auditRoutes } from './modules/audit/routes.ts';
import { invitationStore } from './modules/invitations/repository.ts';
import { acceptanceRoutes, invitationRoutes } from './modules/invitations/routes.ts';
import { createInvitations, type Invitations } from './modules/invitations/use-cases.ts';
import { personStore } from './modules/people/repository.ts';
import { peopleRoutes } from './modules/people/routes.ts';
import { createPeople, type People } from './modules/people/use-cases.ts';
import { createPasswordCheck } from './modules/sessions/password-check.ts';
import { createPasswordHasher, hashPassword } from './modules/sessions/password-hash.ts';
import { refuseWeakPassword } from './modules/sessions/password-rule.ts';
import { sessionStore } from './modules/sessions/repository.ts';
import { sessionRoutes, signInRoutes } from './modules/sessions/routes.ts';
import { signInFailures } from './modules/sessions/sign-in-failures.ts';
import { createSessions, type Sessions } from './modules/sessions/use-cases.ts';
import { tokenStore } from './modules/tokens/repository.ts';
import { tokenRoutes } from './modules/tokens/routes.ts';
import { createTokens, type Tokens } from './modules/tokens/use-cases.ts';

export interface Access {
  readonly sessions: Sessions;
  readonly tokens: Tokens;
  readonly invitations: Invitations;
  readonly people: People;
}

/** Everything about who may come in: people, invitations, passwords, sessions and API tokens. */
export function createAccess(db: Database, clock: Clock): Access {
  const store = sessionStore(db.pool);
  const hasher = createPasswordHasher();
  const failures = signInFailures(db.pool);
  const checkPassword = createPasswordCheck(store.accountByEmail, hasher, failures);
  const invitations = createInvitations({
    db,
    store: invitationStore(db.pool),
    checkPassword,
    hashPassword: (password) => hasher.inTurn(() => hashPassword(password)),
    refuseWeakPassword,
    setPassword: store.setPassword,
  });
  return {
    sessions: createSessions({ db, store, hasher, checkPassword, sessionLifeS: SESSION_LIFE_S }),
    tokens: createTokens(tokenStore, clock),
    invitations,
    people: createPeople({ store: personStore, invite: invitations.invite, clock }),
  };
}

/** The routes of all of it, and the audit trail. */
export function accessRoutes(
  app: FastifyInstance,
  routes: Routes,
  access: Access,
  cookie: SessionCookie,
): void {
  signInRoutes(app, access.sessions, cookie);
  acceptanceRoutes(app, access.invitations);
  sessionRoutes(routes, access.sessions, cookie);
  tokenRoutes(routes, access.tokens);
  peopleRoutes(routes, access.people);
  invitationRoutes(routes, access.invitations);
  auditRoutes(routes, listAuditEntries);
}
