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

describe('materials', () => {
  it('counts each material in a unit of UNECE Recommendation 20', async () => {
    const sand = await made.material({ name: 'Sand', category: 'aggregate', unitCode: 'MTQ' });
    expect(sand).toMatchObject({ unitCode: 'MTQ', category: 'aggregate' });
    const body = { code: 'BAD', name: 'Sand', category: 'aggregate', unitCode: 'm3' };
    const { errors } = expectProblem(await post('materials', body), 422, 'invalid-content');
    expect(errors?.[0]).toMatchObject({ pointer: '/unitCode', rejectedValue: 'm3' });
  });

  it('keeps its unit once an offer counts in it', async () => {
    const material = await made.material();
    const path = `materials/${material.id}`;
    await patch(path, 1, { unitCode: 'TNE' }).expect(200);
    await made.offer({ materialId: material.id });
    const refused = expectProblem(await patch(path, 2, { unitCode: 'KGM' }), 422, 'rule-broken');
    expect(refused.rule).toBe('material-unit-fixed');
    await patch(path, 2, { unitCode: 'TNE', name: 'Cement in bulk' }).expect(200);
  });

  it('says what it weighs, how much floor it takes and how its lots are told apart', async () => {
    const plain = await made.material();
    expect(plain).toMatchObject({
      massKgPerUnit: null,
      storageM2PerUnit: null,
      shelfLifeDays: null,
      lotIdentity: 'none',
    });
    const terms = { massKgPerUnit: 1, storageM2PerUnit: 0.0016, shelfLifeDays: 90 };
    const cement = await made.material({ ...terms, lotIdentity: 'manufacture-date' });
    expect(cement).toMatchObject({ ...terms, lotIdentity: 'manufacture-date' });
    const changed = await patch(`materials/${cement.id}`, 1, { massKgPerUnit: null }).expect(200);
    expect(changed.body).toMatchObject({ ...terms, massKgPerUnit: null, version: 2 });
  });

  it('counts a shelf life from a date of manufacture only', async () => {
    const body = { code: 'LIME', name: 'Lime', category: 'binder', unitCode: 'KGM' };
    const made422 = expectProblem(
      await post('materials', { ...body, shelfLifeDays: 60 }),
      422,
      'invalid-content',
    );
    expect(made422.errors?.[0]).toMatchObject({ pointer: '/shelfLifeDays', rejectedValue: 60 });
    const lime = await made.material({ shelfLifeDays: 60, lotIdentity: 'manufacture-date' });
    const path = `materials/${lime.id}`;
    const refused = expectProblem(
      await patch(path, 1, { lotIdentity: 'none' }),
      422,
      'invalid-content',
    );
    expect(refused.errors?.[0]?.pointer).toBe('/shelfLifeDays');
    await patch(path, 1, { lotIdentity: 'none', shelfLifeDays: null }).expect(200);
  });

  it.each([
    [{ massKgPerUnit: 0 }, '/massKgPerUnit'],
    [{ storageM2PerUnit: -1 }, '/storageM2PerUnit'],
    [{ shelfLifeDays: 1.5 }, '/shelfLifeDays'],
    [{ lotIdentity: 'colour' }, '/lotIdentity'],
  ])('refuses %o', async (fields, pointer) => {
    const body = { code: 'BAD', name: 'Bad', category: 'other', unitCode: 'KGM', ...fields };
    const { errors } = expectProblem(await post('materials', body), 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toContain(pointer);
  });

  it('lists one category', async () => {
    const mason = await made.material({ category: 'labour', unitCode: 'DAY', name: 'Mason' });
    const { body } = await get('materials?category=labour').expect(200);
    expect(body.items.map((item: { id: string }) => item.id)).toEqual([mason.id]);
    expectProblem(await get('materials?category=people'), 422, 'invalid-content');
  });
});
