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

describe('suppliers', () => {
  it('makes, changes and lists suppliers of one organisation only', async () => {
    const supplier = await made.supplier({ place: 'River town' });
    const changed = await patch(`suppliers/${supplier.id}`, 1, { place: 'Hill town' }).expect(200);
    expect(changed.body).toMatchObject({ code: supplier.code, place: 'Hill town' });
    const other = await service.person(['coordinator']);
    expectProblem(await get(`suppliers/${supplier.id}`, other), 404, 'not-found');
  });

  it('refuses an empty place and a write by a storekeeper, who may read', async () => {
    const body = { code: 'S', name: 'Supplier', place: ' ' };
    const { errors } = expectProblem(await post('suppliers', body), 422, 'invalid-content');
    expect(errors?.[0]?.pointer).toBe('/place');
    const storekeeper = await service.person(['storekeeper'], coordinator.organisationId);
    await get('suppliers', storekeeper).expect(200);
    expectProblem(await post('suppliers', body, storekeeper), 403, 'forbidden');
  });
});
