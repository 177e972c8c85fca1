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

describe('villages', () => {
  it('carries roads to stores, nearest first, replaced whole', async () => {
    const [far, near] = [await made.store(), await made.store()];
    const village = await made.village({
      reachableMonths: [12, 1, 1, 2],
      roads: [
        { storeId: far.id, roadKm: 80.5 },
        { storeId: near.id, roadKm: 12 },
      ],
    });
    expect(village.reachableMonths).toEqual([1, 2, 12]);
    expect(village.roads).toEqual([
      { storeId: near.id, roadKm: 12 },
      { storeId: far.id, roadKm: 80.5 },
    ]);
    const path = `villages/${village.id}`;
    const renamed = await patch(path, 1, { name: 'Other name' }).expect(200);
    expect(renamed.body.roads).toHaveLength(2);
    const roads = [{ storeId: far.id, roadKm: 79 }];
    const replaced = await patch(path, 2, { roads }).expect(200);
    expect(replaced.body.roads).toEqual(roads);
    expect((await get(path).expect(200)).body).toEqual(replaced.body);
  });

  it('lists each village with its own roads', async () => {
    const other = await service.person(['coordinator']);
    const theirs = recordsOf(service, other);
    const store = await theirs.store();
    await theirs.village({ code: 'V-1', roads: [{ storeId: store.id, roadKm: 5 }] });
    await theirs.village({ code: 'V-2' });
    const { body } = await get('villages', other).expect(200);
    expect(body.items.map((item: { roads: unknown[] }) => item.roads.length)).toEqual([1, 0]);
  });

  it('is reachable all year unless it says otherwise', async () => {
    const village = await made.village();
    expect(village.reachableMonths).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
  });

  it('names a road to a store that does not exist, and one that occurs twice', async () => {
    const store = await made.store();
    const foreign = await recordsOf(service, await service.person(['coordinator'])).store();
    const body = { code: 'BAD', name: 'Village', district: 'North' };
    const unknown = expectProblem(
      await post('villages', {
        ...body,
        roads: [
          { storeId: store.id, roadKm: 1 },
          { storeId: foreign.id, roadKm: 1 },
        ],
      }),
      422,
      'invalid-content',
    );
    expect(unknown.errors).toEqual([
      expect.objectContaining({ pointer: '/roads/1/storeId', rejectedValue: foreign.id }),
    ]);
    const road = { storeId: store.id, roadKm: 1 };
    const twice = expectProblem(
      await post('villages', { ...body, roads: [road, road] }),
      422,
      'invalid-content',
    );
    expect(twice.errors?.[0]?.pointer).toBe('/roads/1/storeId');
    const month = expectProblem(
      await post('villages', { ...body, reachableMonths: [0] }),
      422,
      'invalid-content',
    );
    expect(month.errors?.[0]?.pointer).toBe('/reachableMonths/0');
  });

  it('refuses a rain station that does not exist', async () => {
    const answer = await post('villages', {
      code: 'RAIN',
      name: 'Village',
      district: 'North',
      rainStationId: '01890000-0000-7000-8000-000000000000',
    });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.[0]?.pointer).toBe('/rainStationId');
  });
});
