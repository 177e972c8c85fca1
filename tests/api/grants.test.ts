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

describe('grants', () => {
  it('keeps the amount at the exponent of its currency', async () => {
    const euros = await made.grant({ amount: { amount: '12500', currency: 'EUR' } });
    expect(euros.amount).toEqual({ amount: '12500.00', currency: 'EUR' });
    // ISO 4217: UGX has no minor unit in use, KWD has three decimals [memory]
    const shillings = await made.grant({ amount: { amount: '45000000', currency: 'UGX' } });
    expect(shillings.amount).toEqual({ amount: '45000000', currency: 'UGX' });
    const dinars = await made.grant({ amount: { amount: '1.5', currency: 'KWD' } });
    expect((await get(`grants/${dinars.id}`).expect(200)).body.amount).toEqual({
      amount: '1.500',
      currency: 'KWD',
    });
  });

  it.each([
    [{ amount: '10.50', currency: 'UGX' }, '/amount/amount'],
    [{ amount: '10.123', currency: 'EUR' }, '/amount/amount'],
    [{ amount: '-1.00', currency: 'EUR' }, '/amount/amount'],
    [{ amount: '10.00', currency: 'QQQ' }, '/amount/currency'],
    [{ amount: 10, currency: 'EUR' }, '/amount/amount'],
  ])('refuses the amount %o', async (amount, pointer) => {
    const programme = await made.programme();
    const donor = await made.donor();
    const answer = await post('grants', {
      programmeId: programme.id,
      donorId: donor.id,
      code: 'G',
      title: 'Grant',
      amount,
      startsOn: '2026-11-01',
      endsOn: '2027-10-31',
      ratePolicy: 'fixed',
    });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toEqual([pointer]);
  });

  it('refuses to fall below its budget lines or to change currency under them', async () => {
    const grant = await made.grant();
    await made.budgetLine(grant.id, '700.00');
    const path = `grants/${grant.id}`;
    const below = expectProblem(
      await patch(path, 1, { amount: { amount: '699.99', currency: 'EUR' } }),
      422,
      'rule-broken',
    );
    expect(below.rule).toBe('budget-within-grant');
    expect(below.detail).toContain('700.00 EUR');
    const other = expectProblem(
      await patch(path, 1, { amount: { amount: '900.00', currency: 'CHF' } }),
      422,
      'rule-broken',
    );
    expect(other.rule).toBe('grant-currency-fixed');
    await patch(path, 1, { amount: { amount: '700.00', currency: 'EUR' } }).expect(200);
  });

  it('lets the currency be corrected before anything is counted in it', async () => {
    const grant = await made.grant();
    const amount = { amount: '900', currency: 'XOF' };
    const changed = await patch(`grants/${grant.id}`, 1, { amount }).expect(200);
    expect(changed.body.amount).toEqual(amount);
  });

  it('refuses an end before the start, and a programme of another organisation', async () => {
    const grant = await made.grant();
    const dates = expectProblem(
      await patch(`grants/${grant.id}`, 1, { endsOn: '2026-10-31' }),
      422,
      'invalid-content',
    );
    expect(dates.errors?.[0]).toMatchObject({ pointer: '/endsOn', rejectedValue: '2026-10-31' });
    const stranger = recordsOf(service, await service.person(['coordinator']));
    const foreign = await stranger.programme();
    const { version: _, createdAt: _c, updatedAt: _u, id: _i, ...fields } = grant;
    const answer = await post('grants', { ...fields, code: 'FOREIGN', programmeId: foreign.id });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.[0]).toMatchObject({ pointer: '/programmeId', code: 'reference.unknown' });
  });

  it('lists the grants of one programme', async () => {
    const programme = await made.programme();
    const grant = await made.grant({ programmeId: programme.id });
    const { body } = await get(`grants?programmeId=${programme.id}`).expect(200);
    expect(body.items.map((item: { id: string }) => item.id)).toEqual([grant.id]);
  });
});
