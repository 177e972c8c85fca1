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

describe('where a store stands', () => {
  it('may be a village, with the floor that it has', async () => {
    const village = await made.village();
    const store = await made.store({ villageId: village.id, floorAreaM2: 42.5 });
    expect(store).toMatchObject({ villageId: village.id, floorAreaM2: 42.5 });
    expect(await made.store()).toMatchObject({ villageId: null, floorAreaM2: null });
    const changed = await patch(`stores/${store.id}`, 1, { villageId: null }).expect(200);
    expect(changed.body).toMatchObject({ villageId: null, floorAreaM2: 42.5 });
    const nowhere = await patch(`stores/${store.id}`, 2, { villageId: store.id });
    expect(expectProblem(nowhere, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/villageId');
    const flat = await patch(`stores/${store.id}`, 2, { floorAreaM2: 0 });
    expect(expectProblem(flat, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/floorAreaM2');
  });
});

describe('a safety stock', () => {
  const put = (id: string, items: object[], who = coordinator) =>
    service.http.put(`/v1/stores/${id}/safety-stock`).set(who.auth).send({ items });

  it('is put whole in the place of what it was', async () => {
    const store = await made.store();
    const [cement, wire] = [
      await made.material({ code: 'SS-CEMENT' }),
      await made.material({ code: 'SS-WIRE', category: 'steel' }),
    ];
    expect((await get(`stores/${store.id}/safety-stock`).expect(200)).body).toEqual({ items: [] });
    const first = await put(store.id, [
      { materialId: wire.id, quantity: '12.5' },
      { materialId: cement.id, quantity: '500' },
    ]).expect(200);
    expect(first.body.items).toEqual([
      { materialId: cement.id, materialCode: 'SS-CEMENT', unitCode: 'KGM', quantity: '500' },
      { materialId: wire.id, materialCode: 'SS-WIRE', unitCode: 'KGM', quantity: '12.5' },
    ]);
    await put(store.id, [{ materialId: wire.id, quantity: '7' }]).expect(200);
    const { body } = await get(`stores/${store.id}/safety-stock`).expect(200);
    expect(body.items).toMatchObject([{ materialId: wire.id, quantity: '7' }]);
  });

  it('refuses unknown, repeated and empty materials and other stores, and keeps what it was', async () => {
    const store = await made.store();
    const cement = await made.material();
    await put(store.id, [{ materialId: cement.id, quantity: '3' }]).expect(200);
    const pointersOf = async (items: object[]) =>
      expectProblem(await put(store.id, items), 422, 'invalid-content').errors?.map(
        ({ pointer }) => pointer,
      );
    const one = { materialId: cement.id, quantity: '1' };
    expect(await pointersOf([one, { ...one, materialId: store.id }])).toEqual([
      '/items/1/materialId',
    ]);
    expect(await pointersOf([one, one])).toEqual(['/items/1/materialId']);
    expect(await pointersOf([{ ...one, quantity: '0' }])).toEqual(['/items/0/quantity']);
    expect((await get(`stores/${store.id}/safety-stock`)).body.items).toMatchObject([
      { quantity: '3' },
    ]);
    const other = await service.person(['coordinator']);
    expectProblem(await put(store.id, [], other), 404, 'not-found');
    expectProblem(await get(`stores/${store.id}/safety-stock`, other), 404, 'not-found');
    const keeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await put(store.id, [one], keeper), 403, 'forbidden');
  });
});
