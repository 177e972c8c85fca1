import { randomBytes, randomUUID } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import supertest from 'supertest';
import { expect } from 'vitest';
import { type AppOptions, buildApp } from '../../src/app.ts';
import { type Database, openDatabase, type Tx } from '../../src/db/database.ts';
import type { Actor } from '../../src/domain/identity.ts';
import { permissionsOf, type Role } from '../../src/domain/permissions.ts';
import { hashCredential, TOKEN_PREFIX } from '../../src/http/authenticate.ts';
import { createTestDatabase, type TestDatabase } from './database.ts';

export interface TestPerson {
  readonly organisationId: string;
  readonly personId: string;
  readonly email: string;
  readonly token: string;
  readonly actor: Actor;
  /** Header of a request by this person. */
  readonly auth: { authorization: string };
}

export interface TestService {
  readonly app: FastifyInstance;
  readonly db: Database;
  readonly database: TestDatabase;
  readonly http: ReturnType<typeof supertest>;
  /** A new organisation with nobody in it. */
  organisation(): Promise<string>;
  /** A new person with these roles and a bearer token; in a new organisation unless one is named. */
  person(roles: readonly Role[], organisationId?: string, donorId?: string): Promise<TestPerson>;
  /** Runs work in a transaction of that person. */
  as<T>(person: TestPerson, work: (tx: Tx) => Promise<T>): Promise<T>;
  close(): Promise<void>;
}

/** The whole service on a database of its own; rates are not limited unless asked for. */
export async function startTestService(options: Partial<AppOptions> = {}): Promise<TestService> {
  const database = await createTestDatabase();
  const db = openDatabase({ url: database.appUrl });
  const app = await buildApp({ db, limitsRates: false, shedsLoad: false, ...options });
  await app.ready();

  async function organisation() {
    const organisationId = randomUUID();
    await db.withTenant(actorFor(organisationId, randomUUID(), []), (tx) =>
      tx.sql('insert into organisation (id, name) values ($1, $2)', [
        organisationId,
        `Organisation ${organisationId.slice(0, 8)}`,
      ]),
    );
    return organisationId;
  }

  async function person(roles: readonly Role[], givenOrganisationId?: string, donorId?: string) {
    const organisationId = givenOrganisationId ?? (await organisation());
    const personId = randomUUID();
    const accountId = randomUUID();
    const email = `${roles.join('-') || 'nobody'}-${personId.slice(0, 8)}@example.org`;
    const token = TOKEN_PREFIX + randomBytes(32).toString('base64url');
    const actor = {
      ...actorFor(organisationId, personId, roles),
      accountId,
      donorId: donorId ?? null,
    };
    const cursorKey = await db.withTenant(actor, async (tx) => {
      await tx.sql('insert into account (id, email) values ($1, $2)', [accountId, email]);
      await tx.sql(
        `insert into person (organisation_id, id, account_id, name, email, roles, donor_id, engineer_registration_number)
         values ($1, $2, $3, $4, $5, $6, $7, $8)`,
        [
          organisationId,
          personId,
          accountId,
          `Test ${roles.join(' ')}`,
          email,
          roles,
          donorId ?? null,
          roles.includes('engineer') ? 'REG-0001' : null,
        ],
      );
      await tx.sql(
        `insert into api_token (organisation_id, id, token_hash, account_id, person_id, name, ending)
         values ($1, $2, $3, $4, $5, 'test', $6)`,
        [organisationId, randomUUID(), hashCredential(token), accountId, personId, token.slice(-4)],
      );
      const rows = await tx.sql<{ cursor_key: string }>(
        'select cursor_key from organisation where id = $1',
        [organisationId],
      );
      return rows[0]?.cursor_key ?? '';
    });
    return {
      organisationId,
      personId,
      email,
      token,
      actor: { ...actor, cursorKey },
      auth: { authorization: `Bearer ${token}` },
    };
  }

  return {
    app,
    db,
    database,
    http: supertest(app.server),
    organisation,
    person,
    as: (who, work) => db.withTenant(who.actor, work),
    async close() {
      await app.close();
      await db.close();
      await database.drop();
    },
  };
}

function actorFor(organisationId: string, personId: string, roles: readonly Role[]): Actor {
  return {
    organisationId,
    personId,
    accountId: personId,
    credentialId: null,
    name: 'Test',
    roles,
    permissions: permissionsOf(roles),
    donorId: null,
    cursorKey: '',
    requestId: null,
  };
}

/** Asserts an RFC 9457 problem of that code and returns its body. */
export function expectProblem(response: supertest.Response, status: number, code: string) {
  expect(response.body, response.text).toMatchObject({ status, code, type: `/problems/${code}` });
  expect(response.status).toBe(status);
  expect(response.headers['content-type']).toMatch(/^application\/problem\+json/);
  expect(response.body.requestId).toBe(response.headers['x-request-id']);
  return response.body as {
    detail?: string;
    rule?: string;
    errors?: { pointer: string; code: string; message: string; rejectedValue?: unknown }[];
    [key: string]: unknown;
  };
}
