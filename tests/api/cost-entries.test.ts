import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  type MadeGrant,
  makeBuild,
  makeGrant,
  makePlaces,
  type Places,
  shareBuild,
} from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };

let service: TestService;
let coordinator: TestPerson;
let places: Places;
let euros: MadeGrant;

beforeAll(async () => {
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator']);
  places = await makePlaces(service, coordinator);
  euros = await makeGrant(service, coordinator, places.programmeId);
});
afterAll(() => service.close());

const post = (path: string, body: object) =>
  service.http.post(`/v1${path}`).set(coordinator.auth).send(body);

const cost = (fields: object = {}) => ({
  programmeId: places.programmeId,
  state: 'paid',
  funding: 'cash',
  occurredOn: '2026-10-10',
  description: 'Cement, invoice 12',
  amount: { amount: '100.00', currency: 'EUR' },
  ...fields,
});

const addRate = (rate: string, rateOn: string, from = 'KES', to = 'EUR') =>
  service.as(coordinator, (tx) =>
    tx.sql(
      `insert into exchange_rate (organisation_id, id, from_currency, to_currency, rate, rate_on, source)
       values ($1, $2, $3, $4, $5, $6, 'invented bank')`,
      [coordinator.organisationId, randomUUID(), from, to, rate, rateOn],
    ),
  );

describe('cost entries', () => {
  it('keeps amount, rate, day and source of the rate, and the amount in the grant currency', async () => {
    await addRate('0.0071', '2026-10-01');
    await addRate('0.0073', '2026-10-09');
    await addRate('0.0099', '2026-10-11');
    const made = await post(
      '/cost-entries',
      cost({
        grantId: euros.grantId,
        budgetLineId: euros.budgetLineId,
        amount: { amount: '14100.00', currency: 'KES' },
      }),
    ).expect(201);
    // 14,100 × 0.0073 = 102.93 by hand
    expect(made.body).toMatchObject({
      amount: { amount: '14100.00', currency: 'KES' },
      grantAmount: { amount: '102.93', currency: 'EUR' },
      exchange: { rate: '0.0073', rateOn: '2026-10-09', source: 'invented bank' },
    });
  });

  it('takes the monthly mean or the rate at the start where the grant says so', async () => {
    await addRate('0.0050', '2026-09-02', 'UGX');
    await addRate('0.0060', '2026-09-20', 'UGX');
    await addRate('0.0040', '2025-12-31', 'UGX');
    const amount = { amount: '1000', currency: 'UGX' };
    for (const [ratePolicy, expected] of [
      ['period-average', '5.50'],
      ['fixed', '4.00'],
    ] as const) {
      const grant = await makeGrant(service, coordinator, places.programmeId, { ratePolicy });
      const made = await post(
        '/cost-entries',
        cost({ grantId: grant.grantId, amount, occurredOn: '2026-09-05' }),
      ).expect(201);
      expect(made.body.grantAmount, ratePolicy).toEqual({ amount: expected, currency: 'EUR' });
    }
  });

  it('refuses a cost without a rate, outside the grant, of a foreign budget line, or too precise', async () => {
    const refused = (fields: object) =>
      post('/cost-entries', cost({ grantId: euros.grantId, ...fields }));
    const noRate = await refused({ amount: { amount: '10.00', currency: 'CHF' } });
    expect(expectProblem(noRate, 422, 'rule-broken').rule).toBe('no-exchange-rate');
    const early = await refused({ occurredOn: '2025-12-31' });
    expect(expectProblem(early, 422, 'rule-broken').rule).toBe('outside-grant-period');
    const other = await makeGrant(service, coordinator, places.programmeId);
    const foreign = await refused({ budgetLineId: other.budgetLineId });
    expect(expectProblem(foreign, 422, 'invalid-content').errors?.[0]?.pointer).toBe(
      '/budgetLineId',
    );
    const precise = await refused({ amount: { amount: '10.001', currency: 'EUR' } });
    expect(expectProblem(precise, 422, 'invalid-content').errors?.[0]?.pointer).toBe(
      '/amount/amount',
    );
    const kind = await refused({ funding: 'in-kind' });
    expect(expectProblem(kind, 422, 'rule-broken').rule).toBe('in-kind-needs-evidence');
  });

  it('splits a cost over the grants of a build so that the parts add up to the last cent', async () => {
    const { buildId } = await makeBuild(service, coordinator, places);
    const second = await makeGrant(service, coordinator, places.programmeId);
    const third = await makeGrant(service, coordinator, places.programmeId);
    await shareBuild(service, coordinator, buildId, {
      [euros.grantId]: '0.33333333',
      [second.grantId]: '0.33333333',
      [third.grantId]: '0.33333334',
    });
    const { body } = await post('/cost-splits', cost({ buildId, budgetLineCode: 'MAT' })).expect(
      201,
    );
    const cents = body.items.map((item: { amount: { amount: string } }) =>
      Math.round(Number(item.amount.amount) * 100),
    );
    expect(cents.reduce((sum: number, part: number) => sum + part, 0)).toBe(10_000);
    expect([...cents].sort()).toEqual([3333, 3333, 3334]);
  });

  it('moves a commitment to paid by reversal and new entry, and reverses once only', async () => {
    const made = await post(
      '/cost-entries',
      cost({ grantId: euros.grantId, state: 'committed' }),
    ).expect(201);
    const advance = () =>
      post(`/cost-entries/${made.body.id}/advances`, {
        state: 'paid',
        occurredOn: '2026-11-01',
        evidence: 'R-7',
      });
    expect((await advance().expect(201)).body).toMatchObject({ state: 'paid', evidence: 'R-7' });
    expect(expectProblem(await advance(), 422, 'rule-broken').rule).toBe('reversed-already');
    const [sum] = await service.as(coordinator, (tx) =>
      tx.sql(
        `select sum(amount) filter (where state = 'committed')::text as committed,
           sum(amount) filter (where state = 'paid')::text as paid
         from cost_entry where id = $1 or reverses_id = $1 or evidence = 'R-7'`,
        [made.body.id],
      ),
    );
    expect(sum).toEqual({ committed: '0.0000', paid: '100.0000' });
  });

  it('lets two people reverse one entry once', async () => {
    const made = await post('/cost-entries', cost()).expect(201);
    const reverse = () =>
      post(`/cost-entries/${made.body.id}/reversals`, {
        occurredOn: '2026-11-02',
        reason: 'typed twice',
      });
    const answers = await Promise.all([reverse(), reverse()]);
    expect(answers.map(({ status }) => status).filter((status) => status === 201)).toHaveLength(1);
    expect(answers.find(({ status }) => status !== 201)?.status).toBeOneOf([409, 422]);
  });
});
