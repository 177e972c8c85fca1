import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  made = recordsOf(service, coordinator);
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);
const patch = (path: string, version: number, body: object) =>
  service.http
    .patch(`/v1/${path}`)
    .set(coordinator.auth)
    .set('if-match', `"v${version}"`)
    .send(body);

describe('donors', () => {
  it('makes, changes and lists donors of one organisation only', async () => {
    const donor = await made.donor({ code: 'DN-1', name: 'Fund one' });
    const changed = await patch(`donors/${donor.id}`, 1, { name: 'Fund 1' }).expect(200);
    expect(changed.body).toMatchObject({ code: 'DN-1', name: 'Fund 1', version: 2 });
    const other = await service.person(['coordinator']);
    expectProblem(await get(`donors/${donor.id}`, other), 404, 'not-found');
    expect((await get('donors', other).expect(200)).body.items).toEqual([]);
  });

  it('refuses a code twice and people without the permission', async () => {
    const donor = await made.donor();
    expectProblem(await post('donors', { code: donor.code, name: 'Again' }), 409, 'conflict');
    const storekeeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await get('donors', storekeeper), 403, 'forbidden');
    const admin = await service.person(['admin'], coordinator.organisationId);
    await get('donors', admin).expect(200);
    expectProblem(await post('donors', { code: 'X', name: 'X' }, admin), 403, 'forbidden');
  });
});
