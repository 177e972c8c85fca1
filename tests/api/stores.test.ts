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

describe('stores', () => {
  it('keeps a point to five decimals, or none', async () => {
    const store = await made.store({ latDeg: 1.234567, lonDeg: -30.5 });
    expect(store).toMatchObject({ latDeg: 1.23457, lonDeg: -30.5 });
    const cleared = await patch(`stores/${store.id}`, 1, { latDeg: null, lonDeg: null });
    expect(cleared.body).toMatchObject({ latDeg: null, lonDeg: null, place: 'Market road' });
  });

  it.each([
    [{ latDeg: 91, lonDeg: 0 }, '/latDeg'],
    [{ latDeg: 1 }, '/lonDeg'],
    [{ lonDeg: 1 }, '/latDeg'],
    [{ latDeg: null, lonDeg: 1 }, '/latDeg'],
  ])('refuses the point %o', async (point, pointer) => {
    const body = { code: 'BAD', name: 'Store', place: 'Road', ...point };
    const { errors } = expectProblem(await post('stores', body), 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toEqual([pointer]);
  });

  it('refuses half a point in a change, and is not seen by others', async () => {
    const store = await made.store();
    expectProblem(await patch(`stores/${store.id}`, 1, { latDeg: 1 }), 422, 'invalid-content');
    const other = await service.person(['coordinator']);
    expectProblem(await get(`stores/${store.id}`, other), 404, 'not-found');
  });
});
