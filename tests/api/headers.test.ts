import supertest from 'supertest';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildApp } from '../../src/app.ts';
import { openDatabase } from '../../src/db/database.ts';
import { PROBLEMS } from '../../src/domain/errors.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService({ limitsRates: true });
  coordinator = await service.person(['coordinator', 'admin']);
});
afterAll(() => service.close());

const get = (path: string) => service.http.get(path).set(coordinator.auth);
const post = (type: string, text: string) =>
  service.http.post('/v1/programmes').set(coordinator.auth).set('content-type', type).send(text);

describe('every answer', () => {
  it.each([
    ['a plain page', '/about', 200],
    ['health', '/livez', 200],
    ['a record list', '/v1/programmes', 200],
    ['a refusal', '/v1/people/00000000-0000-7000-8000-000000000000', 404],
    ['an unknown address', '/v1/nothing-here', 404],
  ])('carries the security headers: %s', async (_title, path, status) => {
    const { headers } = await get(path).expect(status);
    expect(headers).toMatchObject({
      'content-security-policy':
        "default-src 'none';style-src 'self';img-src 'self' data:;form-action 'none';base-uri 'none';frame-ancestors 'none'",
      'x-content-type-options': 'nosniff',
      'x-frame-options': 'DENY',
      'referrer-policy': 'no-referrer',
      'cross-origin-opener-policy': 'same-origin',
      'cross-origin-resource-policy': 'same-origin',
      'permissions-policy': 'camera=(self), geolocation=(self), microphone=()',
    });
    expect(headers['strict-transport-security']).toMatch(/^max-age=\d{8}/);
    expect(headers).not.toHaveProperty('x-powered-by');
    expect(headers).not.toHaveProperty('server');
  });

  it('stays out of caches when it is about an organisation', async () => {
    const { headers } = await get('/v1/programmes').expect(200);
    expect(headers['cache-control']).toBe('no-store');
  });

  it('opens nothing to pages of other sites', async () => {
    const asked = await get('/v1/programmes').set('origin', 'https://evil.example').expect(200);
    const preflight = await service.http
      .options('/v1/programmes')
      .set('origin', 'https://evil.example')
      .set('access-control-request-method', 'POST');
    for (const { headers } of [asked, preflight]) {
      const names = Object.keys(headers).filter((name) => name.startsWith('access-control-'));
      expect(names).toEqual([]);
    }
  });

  it('repeats the request id of the caller, or makes one', async () => {
    const given = await get('/livez').set('x-request-id', 'phone-0017_b').expect(200);
    expect(given.headers['x-request-id']).toBe('phone-0017_b');
    for (const unusable of ['short', 'x'.repeat(65), 'line break?', 'a=b;c=d;e=f']) {
      const { headers } = await get('/livez').set('x-request-id', unusable).expect(200);
      expect(headers['x-request-id']).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f-]{21}$/);
    }
  });

  it('writes the request id into the audit trail', async () => {
    const person = await service.http
      .post('/v1/api-tokens')
      .set(coordinator.auth)
      .set('x-request-id', 'trace-me-0001')
      .send({ name: 'traced' })
      .expect(201);
    const { body } = await get(`/v1/audit-entries?recordId=${person.body.id}`).expect(200);
    expect(body.items[0].requestId).toBe('trace-me-0001');
  });
});

describe('rates', () => {
  it('are told with each answer, and refused with 429 beyond the limit', async () => {
    const limited = await startTestService({ limitsRates: true });
    try {
      const attempt = () => limited.http.post('/v1/sessions').send({});
      const first = await attempt().expect(422);
      expect(first.headers['ratelimit-policy']).toBe('"auth";q=60;w=60');
      expect(first.headers.ratelimit).toMatch(/^"auth";r=59;t=\d+$/);
      expect(Object.keys(first.headers).filter((name) => name.startsWith('x-ratelimit'))).toEqual(
        [],
      );
      for (let count = 2; count <= 60; count++) await attempt().expect(422);
      const refused = await attempt();
      const problem = expectProblem(refused, 429, 'too-many-requests');
      expect(problem.retryable).toBe(true);
      expect(Number(refused.headers['retry-after'])).toBeGreaterThan(0);
      expect(Number(refused.headers['retry-after'])).toBeLessThanOrEqual(60);
      expect(refused.headers.ratelimit).toMatch(/^"auth";r=0;t=\d+$/);
      // Signing in is held up; reading is not.
      const read = await limited.http.get('/').expect(200);
      expect(read.headers['ratelimit-policy']).toBe('"read";q=1200;w=60');
    } finally {
      await limited.close();
    }
  });

  it('are counted for each person apart', async () => {
    const other = await service.person(['coordinator'], coordinator.organisationId);
    const remaining = async (person: TestPerson) => {
      const { headers } = await service.http.get('/v1/programmes').set(person.auth).expect(200);
      return Number(/r=(\d+)/.exec(headers.ratelimit ?? '')?.[1]);
    };
    const before = await remaining(coordinator);
    expect(await remaining(other)).toBe(1199);
    expect(await remaining(coordinator)).toBe(before - 1);
  });
});

describe('requests that cannot be read', () => {
  it('are too large above 1 MiB, and not a byte below', async () => {
    const frame = JSON.stringify({ name: '' }).length;
    const body = (bytes: number) => JSON.stringify({ name: 'x'.repeat(bytes - frame) });
    const atLimit = await post('application/json', body(1024 * 1024));
    expectProblem(atLimit, 422, 'invalid-content');
    expectProblem(await post('application/json', body(1024 * 1024 + 1)), 413, 'too-large');
  });

  it('are refused for their kind of content', async () => {
    const types = ['application/xml', 'text/plain', 'application/x-www-form-urlencoded'];
    for (const type of types) {
      expectProblem(await post(type, 'name=x'), 415, 'unsupported-media-type');
    }
  });

  it('are refused when they are no JSON, empty, or poison an object', async () => {
    for (const text of ['{"code":', '', 'code=1', '{"__proto__":{"admin":true}}']) {
      expectProblem(await post('application/json', text), 400, 'invalid-request');
    }
  });

  it('are refused when a text could not be stored, naming where it stands', async () => {
    const patch = (text: string) =>
      service.http
        .patch(`/v1/people/${coordinator.personId}`)
        .set(coordinator.auth)
        .set('if-match', '"v1"')
        .set('content-type', 'application/json')
        .send(text);
    for (const name of ['a\\u0000b', 'a\\ud800b', '\\udc00']) {
      const { errors } = expectProblem(await patch(`{"name":"${name}"}`), 422, 'invalid-content');
      expect(errors).toEqual([
        expect.objectContaining({ pointer: '/name', code: 'text.unstorable' }),
      ]);
    }
    const query = expectProblem(await get('/v1/audit-entries?noun=%00'), 422, 'invalid-content');
    expect(query.errors?.[0]?.pointer).toBe('/noun');
    await patch('{"name":"\\ud83d\\udca7 whole pair"}').expect(200);
  });

  it('are not found at unknown, overlong and wrongly encoded addresses, with problems too', async () => {
    expectProblem(await get('/v1/nothing-here'), 404, 'not-found');
    expectProblem(await get('/nothing-here'), 404, 'not-found');
    expectProblem(await get('/v0/programmes'), 404, 'not-found');
    expectProblem(await get(`/v1/programmes/${'a'.repeat(201)}`), 404, 'not-found');
    expectProblem(await get('/v1/programmes/%ff'), 400, 'invalid-request');
    expectProblem(await get('/v1/programmes/not-a-uuid'), 422, 'invalid-content');
  });
});

describe('problem pages', () => {
  it.each(Object.entries(PROBLEMS))('explain %s', async (code, [status, title]) => {
    const page = await service.http.get(`/problems/${code}`).expect(200);
    expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(page.text).toContain(`<h1>${title}</h1>`);
    expect(page.text).toContain(`HTTP ${status}, <code>${code}</code>`);
    const advice = /<\/code><\/p><p>(.+)<\/p>/.exec(page.text)?.[1] ?? '';
    expect(advice.length).toBeGreaterThan(20);
  });

  it('are listed', async () => {
    const { text } = await service.http.get('/problems').expect(200);
    for (const code of Object.keys(PROBLEMS)) expect(text).toContain(`href="/problems/${code}"`);
  });
});

describe('health', () => {
  it('says that the process lives and that the service is ready', async () => {
    expect((await service.http.get('/livez').expect(200)).body).toEqual({ status: 'alive' });
    expect((await service.http.get('/readyz').expect(200)).body).toEqual({ status: 'ready' });
  });

  it('is alive but not ready while it drains, and asks for the connection to be closed', async () => {
    const lifecycle = { draining: false };
    const draining = await startTestService({ lifecycle });
    try {
      const before = await draining.http.get('/readyz').set('connection', 'keep-alive').expect(200);
      expect(before.headers.connection).toBe('keep-alive');
      lifecycle.draining = true;
      const answer = await draining.http.get('/readyz').set('connection', 'keep-alive');
      expectProblem(answer, 503, 'unavailable');
      expect(answer.headers['retry-after']).toBe('5');
      expect(answer.headers.connection).toBe('close');
      await draining.http.get('/livez').expect(200);
    } finally {
      await draining.close();
    }
  });

  it('is alive but not ready without a database', async () => {
    const db = openDatabase({ url: 'postgresql://nobody@127.0.0.1:1/nothing' });
    const app = await buildApp({ db });
    try {
      await app.ready();
      const http = supertest(app.server);
      await http.get('/livez').expect(200);
      const answer = await http.get('/readyz');
      expectProblem(answer, 503, 'unavailable');
      expect(answer.text).not.toMatch(/ECONN|127\.0\.0\.1|postgres/);
      const work = await http
        .get('/v1/programmes')
        .set('authorization', `Bearer hwt_${'x'.repeat(43)}`);
      expectProblem(work, 503, 'unavailable');
    } finally {
      await app.close();
      await db.close();
    }
  });
});

describe('our own faults', () => {
  it('are logged whole and told to the caller without stack, SQL or file name', async () => {
    const lines: string[] = [];
    const stream = { write: (line: string) => void lines.push(line) };
    const app = await buildApp({ db: service.db, logger: { level: 'error', stream } });
    try {
      const config = { permission: 'public' as const };
      app.get('/v1/throws', { config }, async () => {
        throw new Error('a secret in src/secret.ts');
      });
      app.get('/v1/asks', { config }, async () =>
        service.db.pool.query('select secret_column from no_such_table'),
      );
      await app.ready();
      for (const path of ['/v1/throws', '/v1/asks']) {
        const answer = await supertest(app.server).get(path);
        const problem = expectProblem(answer, 500, 'internal');
        expect(Object.keys(problem).sort()).toEqual(
          ['code', 'instance', 'requestId', 'retryable', 'status', 'title', 'type'].sort(),
        );
        expect(answer.text).not.toMatch(/secret|select|no_such_table|\.ts|at /);
      }
      expect(lines).toHaveLength(2);
      expect(lines[0]).toContain('a secret in src/secret.ts');
      expect(lines[1]).toContain('no_such_table');
    } finally {
      await app.close();
    }
  });
});
