import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
});
afterAll(() => service.close());

const newProgramme = (code: string) => ({
  code,
  name: `Season ${code}`,
  startsOn: '2026-11-01',
  endsOn: '2027-05-31',
  currency: 'EUR',
  targetReliabilityRatio: 0.85,
  litresPerPersonPerDay: 20,
});

const post = (body: object, headers: Record<string, string> = {}) =>
  service.http.post('/v1/programmes').set(coordinator.auth).set(headers).send(body);

describe('programmes', () => {
  it('makes a programme and reads it back with its entity tag', async () => {
    const made = await post(newProgramme('S-1')).expect(201);
    expect(made.headers.location).toBe(`/v1/programmes/${made.body.id}`);
    const read = await service.http
      .get(`/v1/programmes/${made.body.id}`)
      .set(coordinator.auth)
      .expect(200);
    expect(read.headers.etag).toBe('"v1"');
    expect(read.body).toEqual(made.body);
    expect(read.body).toMatchObject({
      startsOn: '2026-11-01',
      operatingRule: 'yield-after-spillage',
    });
  });

  it('answers a repeated key once and refuses the key for another body', async () => {
    const key = { 'idempotency-key': randomUUID() };
    const [first, second] = await Promise.all([
      post(newProgramme('S-2'), key),
      post(newProgramme('S-2'), key),
    ]);
    expect([first.status, second.status]).toEqual([201, 201]);
    expect(second.body).toEqual(first.body);
    const replayed = [first, second].filter((answer) => answer.headers['idempotency-replayed']);
    expect(replayed).toHaveLength(1);
    expectProblem(await post(newProgramme('S-3'), key), 422, 'key-reused');
  });

  it('changes a programme only against the version that was read', async () => {
    const { body } = await post(newProgramme('S-4'));
    const patch = (headers: Record<string, string>) =>
      service.http
        .patch(`/v1/programmes/${body.id}`)
        .set(coordinator.auth)
        .set(headers)
        .send({ name: 'New' });
    expectProblem(await patch({}), 428, 'precondition-required');
    const changed = await patch({ 'if-match': '"v1"' }).expect(200);
    expect(changed.body).toMatchObject({ name: 'New', version: 2 });
    const stale = expectProblem(await patch({ 'if-match': '"v1"' }), 412, 'stale-version');
    expect(stale.currentEtag).toBe('"v2"');
  });

  it('names every value that is not acceptable, and an unknown field', async () => {
    const answer = await post({ ...newProgramme('S-5'), currency: 'euro', colour: 'green' });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map(({ pointer }) => pointer).sort()).toEqual(['/colour', '/currency']);
    expectProblem(
      await service.http.post('/v1/programmes').set(coordinator.auth).type('json').send('{"code":'),
      400,
      'invalid-request',
    );
  });

  it('refuses a code twice and an end before the start', async () => {
    await post(newProgramme('S-6')).expect(201);
    expectProblem(await post(newProgramme('S-6')), 409, 'conflict');
    const { errors } = expectProblem(
      await post({ ...newProgramme('S-7'), endsOn: '2026-01-01' }),
      422,
      'invalid-content',
    );
    expect(errors?.[0]).toMatchObject({ pointer: '/endsOn', rejectedValue: '2026-01-01' });
  });

  it('pages through all programmes with a sealed cursor', async () => {
    const other = await service.person(['coordinator']);
    const create = (code: string) =>
      service.http.post('/v1/programmes').set(other.auth).send(newProgramme(code)).expect(201);
    for (const code of ['P-3', 'P-1', 'P-2']) await create(code);
    const first = await service.http.get('/v1/programmes?limit=2').set(other.auth).expect(200);
    const rest = await service.http
      .get(`/v1/programmes?limit=2&cursor=${first.body.nextCursor}`)
      .set(other.auth)
      .expect(200);
    const codes = [...first.body.items, ...rest.body.items].map(
      (item: { code: string }) => item.code,
    );
    expect(codes).toEqual(['P-1', 'P-2', 'P-3']);
    expect(rest.body.nextCursor).toBeNull();
    expectProblem(
      await service.http
        .get(`/v1/programmes?cursor=${first.body.nextCursor}`)
        .set(coordinator.auth),
      422,
      'invalid-content',
    );
  });

  it('writes the audit entry in the same transaction', async () => {
    const { body } = await post(newProgramme('S-8')).expect(201);
    const entries = await service.as(coordinator, (tx) =>
      tx.sql<{ action: string }>('select action from audit_entry where record_id = $1', [body.id]),
    );
    expect(entries).toEqual([{ action: 'create' }]);
  });
});
