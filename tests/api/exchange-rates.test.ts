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

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);
const patch = (path: string, version: number, body: object) =>
  service.http
    .patch(`/v1/${path}`)
    .set(coordinator.auth)
    .set('if-match', `"v${version}"`)
    .send(body);

const rate = (fields: object = {}) => ({
  fromCurrency: 'EUR',
  toCurrency: 'UGX',
  rate: '4012.3456789012',
  rateOn: '2026-11-02',
  source: 'Invented bank',
  ...fields,
});

describe('exchange rates', () => {
  it('keeps ten decimals and lists by day, page by page', async () => {
    const days = ['2026-11-05', '2026-11-03', '2026-11-04', '2026-11-03'];
    for (const [index, rateOn] of days.entries()) {
      await post('exchange-rates', rate({ rateOn, source: `Bank ${index}` })).expect(201);
    }
    await post('exchange-rates', rate({ toCurrency: 'XOF', rate: '655.957' })).expect(201);
    const filter = 'exchange-rates?fromCurrency=EUR&toCurrency=UGX&limit=3';
    const first = await get(filter).expect(200);
    const rest = await get(`${filter}&cursor=${first.body.nextCursor}`).expect(200);
    const listed = [...first.body.items, ...rest.body.items];
    expect(listed.map((item: { rateOn: string }) => item.rateOn)).toEqual([...days].sort());
    expect(listed[0].rate).toBe('4012.3456789012');
    expect(new Set(listed.map((item: { source: string }) => item.source)).size).toBe(4);
    expect(rest.body.nextCursor).toBeNull();
  });

  it('is append-only: no change by the interface or by the app role', async () => {
    const { body } = await post('exchange-rates', rate({ source: 'Fixed' })).expect(201);
    const changed = await patch(`exchange-rates/${body.id}`, 1, { rate: '1' });
    expectProblem(changed, 404, 'not-found');
    await expect(
      service.as(coordinator, (tx) => tx.sql('update exchange_rate set rate = 1')),
    ).rejects.toThrow('permission denied');
  });

  it.each([
    [{ toCurrency: 'EUR' }, '/toCurrency'],
    [{ rate: '0.0' }, '/rate'],
    [{ rate: '-2' }, '/rate'],
    [{ rate: '1.00000000001' }, '/rate'],
    [{ fromCurrency: 'ABC' }, '/fromCurrency'],
    [{ rateOn: '2026-02-30' }, '/rateOn'],
  ])('refuses %o', async (fields, pointer) => {
    const { errors } = expectProblem(
      await post('exchange-rates', rate(fields)),
      422,
      'invalid-content',
    );
    expect(errors?.map((error) => error.pointer)).toEqual([pointer]);
  });

  it('refuses the same day from the same source twice', async () => {
    await post('exchange-rates', rate({ source: 'Twice' })).expect(201);
    expectProblem(await post('exchange-rates', rate({ source: 'Twice' })), 409, 'conflict');
  });
});
