import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { apiToken, issuedApiToken } from '../../shared/contract/api-token.ts';
import { issueToken } from '../../src/cli/issue-token.ts';
import { hashCredential } from '../../src/http/authenticate.ts';
import { shareAccount } from '../support/credentials.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let integrator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  integrator = await service.person(['integrator']);
});
afterAll(() => service.close());

const post = (body: object, headers: Record<string, string> = {}, by = integrator) =>
  service.http.post('/v1/api-tokens').set(by.auth).set(headers).send(body);
const current = (token: string) =>
  service.http.get('/v1/sessions/current').set('authorization', `Bearer ${token}`);

describe('API tokens', () => {
  it('are shown once, with a prefix that gives a leak away, and kept as a hash', async () => {
    const made = await post({ name: 'Field import' }).expect(201);
    const body = issuedApiToken.parse(made.body);
    expect(body.token).toMatch(/^hwt_[\w-]{43}$/);
    expect(body.ending).toBe(body.token?.slice(-4));
    expect(body).toMatchObject({ name: 'Field import', expiresAt: null, revokedAt: null });
    const listed = await service.http.get('/v1/api-tokens').set(integrator.auth).expect(200);
    expect(listed.text).not.toContain(body.token);
    const { token, ...record } = body;
    expect(listed.body.items).toContainEqual(apiToken.parse(record));
    const stored = await service.as(integrator, (tx) =>
      tx.sql<{ token_hash: string }>('select token_hash from api_token where id = $1', [body.id]),
    );
    expect(stored).toEqual([{ token_hash: hashCredential(token ?? '') }]);
  });

  it('act for their person and tell when they were last used', async () => {
    const { body } = await post({ name: 'Used' }).expect(201);
    const read = await current(body.token).expect(200);
    expect(read.body.person.id).toBe(integrator.personId);
    const { body: list } = await service.http.get('/v1/api-tokens').set(integrator.auth);
    const used = list.items.find(({ id }: { id: string }) => id === body.id);
    expect(used.lastUsedAt).not.toBeNull();
  });

  it('stop working when they are revoked or have expired', async () => {
    const { body: revoked } = await post({ name: 'Revoked' }).expect(201);
    const answer = await service.http
      .delete(`/v1/api-tokens/${revoked.id}`)
      .set(integrator.auth)
      .expect(200);
    expect(apiToken.parse(answer.body).revokedAt).not.toBeNull();
    expectProblem(await current(revoked.token), 401, 'unauthenticated');

    const { body: expired } = await post({
      name: 'Expired',
      expiresAt: '2999-01-01T00:00:00Z',
    }).expect(201);
    await current(expired.token).expect(200);
    await service.as(integrator, (tx) =>
      tx.sql('update api_token set expires_at = now() where id = $1', [expired.id]),
    );
    expectProblem(await current(expired.token), 401, 'unauthenticated');
  });

  it('are refused with an expiry in the past, without a name, or with an unknown field', async () => {
    const past = await post({ name: 'Past', expiresAt: '2020-01-01T00:00:00Z' });
    expect(expectProblem(past, 422, 'invalid-content').errors).toEqual([
      expect.objectContaining({ pointer: '/expiresAt', rejectedValue: '2020-01-01T00:00:00Z' }),
    ]);
    const wrong = await post({ scope: 'all', expiresAt: 'tomorrow' });
    const pointers = expectProblem(wrong, 422, 'invalid-content').errors?.map((e) => e.pointer);
    expect(pointers?.sort()).toEqual(['/expiresAt', '/name', '/scope']);
  });

  it('are made once for a repeated key, which does not give the secret again', async () => {
    const key = { 'idempotency-key': randomUUID() };
    const first = await post({ name: 'Keyed' }, key).expect(201);
    const second = await post({ name: 'Keyed' }, key).expect(201);
    expect(second.body).toEqual({ ...first.body, token: null });
    const kept = await service.as(integrator, (tx) =>
      tx.sql<{ body: string }>('select body from idempotency_key where key = $1', [
        key['idempotency-key'],
      ]),
    );
    expect(kept[0]?.body).toContain(first.body.id);
    expect(kept[0]?.body).not.toContain(first.body.token);
  });

  it('are seen and revoked by their person and by administrators, and by nobody else', async () => {
    const { body } = await post({ name: 'Private' }).expect(201);
    const colleague = await service.person(['coordinator'], integrator.organisationId);
    const admin = await service.person(['admin'], integrator.organisationId);
    const stranger = await service.person(['admin']);
    const list = (by: TestPerson) =>
      service.http.get(`/v1/api-tokens?personId=${integrator.personId}`).set(by.auth);
    const revoke = (by: TestPerson) =>
      service.http.delete(`/v1/api-tokens/${body.id}`).set(by.auth);
    expectProblem(await list(colleague), 403, 'forbidden');
    expect((await list(stranger).expect(200)).body.items).toEqual([]);
    expectProblem(await revoke(colleague), 404, 'not-found');
    expectProblem(await revoke(stranger), 404, 'not-found');
    await current(body.token).expect(200);
    const { body: seen } = await list(admin).expect(200);
    expect(seen.items.map(({ id }: { id: string }) => id)).toContain(body.id);
    await revoke(admin).expect(200);
    expectProblem(await current(body.token), 401, 'unauthenticated');
  });

  it('are listed newest first, page by page', async () => {
    const person = await service.person(['inspector']);
    for (const name of ['one', 'two']) await post({ name }, {}, person).expect(201);
    const first = await service.http.get('/v1/api-tokens?limit=1').set(person.auth).expect(200);
    expect(first.body.items[0].name).toBe('two');
    const rest = await service.http
      .get(`/v1/api-tokens?limit=5&cursor=${first.body.nextCursor}`)
      .set(person.auth)
      .expect(200);
    expect(rest.body.items.map(({ name }: { name: string }) => name)).toEqual(['one', 'test']);
  });

  it('do not work as a cookie, nor a session as a token', async () => {
    const { body } = await post({ name: 'Wrong place' }).expect(201);
    const asCookie = { cookie: `hoopwright_session=${body.token}` };
    expectProblem(
      await service.http.get('/v1/sessions/current').set(asCookie),
      401,
      'unauthenticated',
    );
    for (const header of ['Basic YTpi', 'Bearer', `Bearer ${'x'.repeat(300)}`, 'Bearer hwt_nope']) {
      const answer = await service.http.get('/v1/sessions/current').set('authorization', header);
      expectProblem(answer, 401, 'unauthenticated');
      expect(answer.headers['www-authenticate']).toBe('Bearer');
    }
  });
});

describe('the token command', () => {
  it('makes a token for the person with that e-mail, and writes it into the audit trail', async () => {
    const token = await issueToken(service.db, integrator.email.toUpperCase());
    const read = await current(token).expect(200);
    expect(read.body.person.id).toBe(integrator.personId);
    const entries = await service.as(integrator, (tx) =>
      tx.sql<{ name: string }>(
        `select detail ->> 'name' as name from audit_entry
         where noun = 'api-token' and action = 'create' and person_id = $1
         order by recorded_at desc limit 1`,
        [integrator.personId],
      ),
    );
    expect(entries).toEqual([{ name: 'made on the command line' }]);
  });

  it('refuses an unknown e-mail and a disabled person', async () => {
    await expect(issueToken(service.db, 'nobody@example.org')).rejects.toThrow(
      'Nobody with the e-mail nobody@example.org may sign in.',
    );
    const disabled = await service.person(['inspector']);
    await service.as(disabled, (tx) =>
      tx.sql('update person set disabled_at = now() where id = $1', [disabled.personId]),
    );
    await expect(issueToken(service.db, disabled.email)).rejects.toThrow('may sign in');
  });

  it('asks for the organisation when there are several', async () => {
    const here = await service.person(['engineer']);
    const there = await service.person(['inspector']);
    await shareAccount(service, here, there);
    await expect(issueToken(service.db, here.email)).rejects.toThrow(there.organisationId);
    const token = await issueToken(service.db, here.email, there.organisationId);
    const read = await current(token).expect(200);
    expect(read.body.person.id).toBe(there.personId);
  });
});
