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

const line = (grantId: string, code: string, amount: string, currency = 'EUR') => ({
  grantId,
  code,
  title: 'Line',
  amount: { amount, currency },
});

describe('budget lines', () => {
  it('divide a grant to the last cent and not beyond', async () => {
    const grant = await made.grant();
    const first = await made.budgetLine(grant.id, '999.99');
    const over = expectProblem(
      await post('budget-lines', line(grant.id, 'L-2', '0.02')),
      422,
      'rule-broken',
    );
    expect(over.rule).toBe('budget-within-grant');
    expect(over.errors?.[0]).toMatchObject({ pointer: '/amount/amount', rejectedValue: '0.02' });
    await post('budget-lines', line(grant.id, 'L-2', '0.01')).expect(201);
    // its own amount does not count against itself
    const changed = await patch(`budget-lines/${first.id}`, 1, {
      amount: { amount: '999.98', currency: 'EUR' },
    }).expect(200);
    expect(changed.body.amount).toEqual({ amount: '999.98', currency: 'EUR' });
    const { body } = await get(`budget-lines?grantId=${grant.id}`).expect(200);
    expect(body.items).toHaveLength(2);
  });

  it('cannot exceed the grant together when two are made at once', async () => {
    const grant = await made.grant();
    const answers = await Promise.all(
      [1, 2, 3, 4].map((n) => post('budget-lines', line(grant.id, `R-${n}`, '400.00'))),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 201, 422, 422]);
  });

  it('refuses another currency, an unknown grant, and a code twice in one grant', async () => {
    const grant = await made.grant();
    const currency = expectProblem(
      await post('budget-lines', line(grant.id, 'A', '1.00', 'USD')),
      422,
      'invalid-content',
    );
    expect(currency.errors?.[0]).toMatchObject({
      pointer: '/amount/currency',
      rejectedValue: 'USD',
    });
    const stranger = recordsOf(service, await service.person(['coordinator']));
    const foreign = await stranger.grant();
    const unknown = expectProblem(
      await post('budget-lines', line(foreign.id, 'A', '1.00')),
      422,
      'invalid-content',
    );
    expect(unknown.errors?.[0]).toMatchObject({ pointer: '/grantId', rejectedValue: foreign.id });
    await post('budget-lines', line(grant.id, 'A', '1.00')).expect(201);
    expectProblem(await post('budget-lines', line(grant.id, 'A', '1.00')), 409, 'conflict');
  });
});
