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

const terms = async (fields: object = {}) => ({
  supplierId: (await made.supplier()).id,
  villageId: (await made.village()).id,
  costPerTrip: '40.5',
  currency: 'EUR',
  payloadKg: 3_500,
  validFrom: '2026-10-01',
  validUntil: '2027-03-31',
  ...fields,
});

const idsOf = async (query: string) => {
  const { body } = await get(`delivery-offers?${query}`).expect(200);
  return body.items.map((item: { id: string }) => item.id);
};

describe('delivery offers', () => {
  it('say what a trip costs, carries and on which days it goes', async () => {
    const plain = await made.make('delivery-offers', await terms());
    expect(plain).toMatchObject({
      costPerTrip: '40.5',
      costPerKm: '0',
      roadKm: 0,
      deliveryWeekdays: [1, 2, 3, 4, 5, 6, 7],
      withdrawnOn: null,
    });
    const rich = { costPerKm: '0.855', roadKm: 18.5, deliveryWeekdays: [2, 5] };
    const offer = await made.make('delivery-offers', await terms(rich));
    expect(offer).toMatchObject(rich);
    expect((await get(`delivery-offers/${offer.id}`).expect(200)).body).toEqual(offer);
  });

  it('are listed by supplier, village and day, and withdrawn once', async () => {
    const body = await terms();
    const { id } = await made.make('delivery-offers', body);
    await made.make('delivery-offers', await terms());
    expect(await idsOf(`supplierId=${body.supplierId}`)).toEqual([id]);
    expect(await idsOf(`villageId=${body.villageId}`)).toEqual([id]);
    const on = (day: string) => idsOf(`villageId=${body.villageId}&validOn=${day}`);
    expect(await on('2026-09-30')).toEqual([]);
    expect(await on('2027-03-31')).toEqual([id]);
    const withdrawal = () =>
      post(`delivery-offers/${id}/withdrawals`, { withdrawnOn: '2026-12-01' });
    expect((await withdrawal().expect(200)).body.withdrawnOn).toBe('2026-12-01');
    expect(await on('2026-11-30')).toEqual([id]);
    expect(await on('2026-12-01')).toEqual([]);
    const again = expectProblem(await withdrawal(), 422, 'rule-broken');
    expect(again.rule).toBe('delivery-offer-withdrawn-once');
  });

  it('are made by who may write materials, within the own organisation', async () => {
    const { id } = await made.make('delivery-offers', await terms());
    const other = await service.person(['coordinator']);
    expectProblem(await get(`delivery-offers/${id}`, other), 404, 'not-found');
    const strange = await post('delivery-offers', await terms(), other);
    expectProblem(strange, 422, 'invalid-content');
    const keeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await post('delivery-offers', await terms(), keeper), 403, 'forbidden');
  });

  it.each([
    [{ costPerTrip: '40.555' }, '/costPerTrip'],
    [{ costPerTrip: '-1' }, '/costPerTrip'],
    [{ costPerKm: '0.1234567' }, '/costPerKm'],
    [{ roadKm: -1 }, '/roadKm'],
    [{ payloadKg: 0 }, '/payloadKg'],
    [{ deliveryWeekdays: [] }, '/deliveryWeekdays'],
    [{ deliveryWeekdays: [8] }, '/deliveryWeekdays/0'],
    [{ deliveryWeekdays: [1, 1] }, '/deliveryWeekdays'],
    [{ validUntil: '2026-09-30' }, '/validUntil'],
    [{ currency: 'EUX' }, '/currency'],
  ])('refuse %o', async (fields, pointer) => {
    const answer = await post('delivery-offers', await terms(fields));
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toContain(pointer);
  });
});
