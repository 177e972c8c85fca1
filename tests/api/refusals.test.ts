import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildApp } from '../../src/app.ts';
import { type Permission, ROLE_PERMISSIONS, ROLES } from '../../src/domain/permissions.ts';
import { type EveryRoute, everyRoute } from '../support/every-route.ts';
import {
  acceptMadeUpRows,
  type FilledOrganisation,
  fillEveryTable,
} from '../support/fill-every-table.ts';
import { listTables } from '../support/row-security.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

/** Routes below /v1 that need no credential; nothing joins them without being written here. */
const PUBLIC = [
  'GET /v1/calendar-feeds/:token/calendar.ics',
  'POST /v1/invitation-acceptances',
  'POST /v1/sessions',
];

/** Each test calls every route. */
const timeout = 180_000;

let service: TestService;
let admin: pg.Client;
let routes: EveryRoute[];
/** An organisation that has a record in every table, all with the same id. */
let filled: FilledOrganisation;
/** Somebody of that organisation, and somebody of another, each with every role. */
let owner: TestPerson;
let stranger: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  admin = new pg.Client({ connectionString: service.database.adminUrl });
  await admin.connect();
  filled = await fillEveryTable(admin, await acceptMadeUpRows(admin));
  owner = await service.person(ROLES, filled.organisationId);
  stranger = await service.person(ROLES);
  // One listener for all requests; otherwise each would open its own.
  await service.app.listen({ port: 0, host: '127.0.0.1' });
  routes = everyRoute(service.app);
});
afterAll(async () => {
  await admin.end();
  await service.close();
});

const guarded = () => routes.filter(({ permission }) => permission !== 'public');

interface Call {
  readonly address: string;
  readonly body?: { readonly type: string; readonly content: string };
}

function send(route: EveryRoute, { address, body }: Call, headers: Record<string, string>) {
  const request = service.http[route.method](address).set({ 'if-match': '"v1"', ...headers });
  return body ? request.set('content-type', body.type).send(body.content) : request;
}

/** Every way in which this test calls a route with that id. */
function callsOf(route: EveryRoute, id: string): Call[] {
  const address = route.address(id);
  const bodies = route.bodies(id);
  return bodies.length > 0 ? bodies.map((body) => ({ address, body })) : [{ address }];
}

/** A checksum of the organisation's rows of each table, and of what stands beside the tenants. */
async function checksums(organisationId: string): Promise<Record<string, string>> {
  const sums: Record<string, string> = {};
  for (const { name, is_tenant } of await listTables(admin)) {
    const column = is_tenant ? 'organisation_id' : name === 'organisation' ? 'id' : null;
    if (column === null && name !== 'account') continue;
    const { rows } = await admin.query<{ sum: string }>(
      `select count(*) || ' ' || coalesce(md5(string_agg(t::text, '|' order by t::text)), '') as sum
       from "${name}" t ${column ? `where ${column} = $1` : `where id = '${filled.recordId}'`}`,
      column ? [organisationId] : [],
    );
    sums[name] = rows[0]?.sum ?? '';
  }
  return sums;
}

describe('the table of routes', () => {
  it('is served, and keeps what needs no credential to a short list', () => {
    expect(routes.length).toBeGreaterThan(80);
    const open = routes.filter(({ permission }) => permission === 'public');
    expect(open.map(({ name }) => name).sort()).toEqual(PUBLIC);
  });

  it('takes no route that does not say who may call it', async () => {
    const app = await buildApp({ db: service.db });
    try {
      expect(() => app.get('/v1/forgotten', async () => 'open')).toThrow(
        'GET /v1/forgotten declares no permission',
      );
      expect(() =>
        app.get('/v1/remembered', { config: { permission: 'sites:read' } }, async () => 'guarded'),
      ).not.toThrow();
    } finally {
      await app.close();
    }
  });

  it('names a permission that somebody has and somebody lacks', () => {
    for (const { name, permission } of guarded()) {
      if (permission === 'signed-in') continue;
      const holders = ROLES.filter((role) => holds(role, permission));
      expect(holders.length, name).toBeGreaterThan(0);
      expect(holders.length, name).toBeLessThan(ROLES.length);
    }
  });
});

const holds = (role: (typeof ROLES)[number], permission: string) =>
  ROLE_PERMISSIONS[role].includes(permission as Permission);

describe('every route', { timeout }, () => {
  it('answers 401 without a credential, and with one that nobody holds', async () => {
    const before = await checksums(filled.organisationId);
    const nobody: Record<string, string>[] = [
      {},
      { authorization: `Bearer hwt_${'x'.repeat(43)}` },
      { authorization: 'Basic YWRtaW46YWRtaW4=' },
      { cookie: `hoopwright_session=${'x'.repeat(43)}` },
    ];
    for (const route of guarded()) {
      const [call] = callsOf(route, filled.recordId);
      for (const headers of nobody) {
        const answer = await send(route, call ?? { address: '' }, headers);
        expect(answer.status, `${route.name} ${JSON.stringify(headers)}`).toBe(401);
        expectProblem(answer, 401, 'unauthenticated');
      }
    }
    expect(await checksums(filled.organisationId)).toEqual(before);
  });

  it('answers 403 to a person with every role that lacks its permission', async () => {
    const people = new Map<string, TestPerson>();
    for (const { permission } of guarded()) {
      if (permission === 'signed-in' || people.has(permission)) continue;
      const lacking = ROLES.filter((role) => !holds(role, permission));
      people.set(permission, await service.person(lacking, filled.organisationId));
    }
    const before = await checksums(filled.organisationId);
    for (const route of guarded()) {
      const person = people.get(route.permission);
      if (!person) continue;
      for (const call of callsOf(route, filled.recordId)) {
        const answer = await send(route, call, person.auth);
        expect(answer.status, `${route.name} ${answer.text}`).toBe(403);
        expectProblem(answer, 403, 'forbidden');
      }
    }
    const after = await checksums(filled.organisationId);
    // The credential's last use is all that may be noted.
    expect({ ...after, api_token: '' }).toEqual({ ...before, api_token: '' });
  });

  it('answers 404 to another organisation, word for word as for an id that does not exist', async () => {
    const before = await checksums(filled.organisationId);
    expect(await foundByStranger()).toEqual([]);
    expect(await checksums(filled.organisationId)).toEqual(before);
  });

  it('tells another organisation nothing by a list, whatever ids it asks for', async () => {
    expect(await listedToStranger()).toEqual([]);
  });

  it('takes no reference to another organisation’s record in a body', async () => {
    const before = await checksums(filled.organisationId);
    expect(await referredToByStranger()).toEqual([]);
    expect(await checksums(filled.organisationId)).toEqual(before);
  });

  it('finds those records for their own organisation, so that the refusals mean something', async () => {
    const readable = guarded().filter(({ method, hasId }) => method === 'get' && hasId);
    const notFound: string[] = [];
    for (const route of readable) {
      const answer = await send(route, { address: route.address(filled.recordId) }, owner.auth);
      if (answer.status === 404) notFound.push(route.name);
    }
    expect(readable.length).toBeGreaterThan(15);
    // Some look for more than a row, for example for a figure of a report.
    expect(notFound.length, notFound.join(', ')).toBeLessThan(readable.length / 3);
  });
});

describe('without row security', () => {
  it('the conditions of the queries alone hold the organisations apart', { timeout }, async () => {
    const tenants = (await listTables(admin)).filter(({ is_tenant }) => is_tenant);
    for (const { name } of tenants) {
      await admin.query(`alter table "${name}" disable row level security`);
    }
    const before = await checksums(filled.organisationId);
    expect(await foundByStranger()).toEqual([]);
    expect(await listedToStranger()).toEqual([]);
    expect(await referredToByStranger()).toEqual([]);
    expect(await checksums(filled.organisationId)).toEqual(before);
  });
});

/** What a person of another organisation gets for the records' id, where that is not a plain 404. */
async function foundByStranger(): Promise<string[]> {
  const unknown = randomUUID();
  const faults: string[] = [];
  for (const route of guarded().filter(({ hasId }) => hasId)) {
    const missing = callsOf(route, unknown);
    for (const [index, call] of callsOf(route, filled.recordId).entries()) {
      const answer = await send(route, call, stranger.auth);
      // A body may be refused before the record is looked for; nothing else may happen.
      const allowed = route.method === 'get' ? [404] : [404, 422];
      if (!allowed.includes(answer.status)) {
        faults.push(`${route.name}: ${answer.status} ${answer.text.slice(0, 200)}`);
        continue;
      }
      const other = await send(route, missing[index] ?? call, stranger.auth);
      const told = plain(answer.body, filled.recordId);
      const toldOfNothing = plain(other.body, unknown);
      if (told !== toldOfNothing) faults.push(`${route.name}: ${told} is not ${toldOfNothing}`);
    }
  }
  return faults;
}

/** Lists that show another organisation's records, or that some exist. */
async function listedToStranger(): Promise<string[]> {
  const unknown = randomUUID();
  const faults: string[] = [];
  for (const route of guarded().filter(({ method, hasId }) => method === 'get' && !hasId)) {
    const answer = await send(route, { address: route.address('') }, stranger.auth);
    if (mentions(answer.text, filled)) faults.push(`${route.name}: ${answer.text.slice(0, 300)}`);
    const asked = route.addressWithQuery(filled.recordId);
    if (asked === null) continue;
    const foreign = await send(route, { address: asked }, stranger.auth);
    const nowhere = route.addressWithQuery(unknown) ?? '';
    const missing = await send(route, { address: nowhere }, stranger.auth);
    const isSame =
      foreign.status === missing.status &&
      plain(foreign.body, filled.recordId) === plain(missing.body, unknown);
    if (isSame) continue;
    faults.push(`${asked}: ${foreign.text.slice(0, 300)} is not ${missing.text.slice(0, 300)}`);
  }
  return faults;
}

/** Routes that take a reference to another organisation's record. */
async function referredToByStranger(): Promise<string[]> {
  const faults: string[] = [];
  for (const route of guarded().filter(({ method, hasId }) => method !== 'get' && !hasId)) {
    for (const { address, body } of callsOf(route, filled.recordId)) {
      // The record's own id may be the same in two organisations; only references are foreign.
      const own = `"id":"${filled.recordId}"`;
      const content = body?.content.replace(own, `"id":"${randomUUID()}"`);
      if (!body || !content?.includes(filled.recordId)) continue;
      const answer = await send(route, { address, body: { ...body, content } }, stranger.auth);
      if (![404, 409, 422].includes(answer.status)) {
        faults.push(`${route.name}: ${answer.status} ${answer.text.slice(0, 200)}`);
      }
    }
  }
  return faults;
}

/** A body without what differs from one request to the next. */
const plain = (body: object, id: string) =>
  JSON.stringify({ ...body, requestId: '', instance: '' }).replaceAll(id, 'ID');

const mentions = (text: string, { organisationId, recordId }: FilledOrganisation) =>
  text.includes(organisationId) || text.includes(recordId);
