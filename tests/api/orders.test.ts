import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { makeBuild } from '../support/factories.ts';
import { clearBill, makeBuildWithBill } from '../support/made-bills.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let person: TestPerson;
/** Another coordinator, who approves. */
let approver: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2026-11-20' } });
  person = await service.person(['coordinator', 'storekeeper']);
  approver = await service.person(['coordinator'], person.organisationId);
  made = recordsOf(service, person);
});
afterAll(() => service.close());

const get = (path: string, who = person) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = person) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

const decide = (id: string, decision: string, who = approver) =>
  post(`orders/${id}/decisions`, { decision, remarks: 'Seen' }, who);

/** A draft of 100 kg of cement in two bags, from a plan. */
async function draft() {
  const like = await makeBuild(service, person);
  await clearBill(service, person, like.buildId);
  const [cement, store] = [await made.material(), await made.store()];
  await made.offer({ materialId: cement.id });
  await makeBuildWithBill(service, person, like, like.villageId, [
    { materialId: cement.id, quantity: '80' },
  ]);
  const plan = await post(`programmes/${like.programmeId}/order-plans`, {
    pricedOn: '2026-11-02',
  }).expect(201);
  const { id } = plan.body.orders[0];
  const order = (await get(`orders/${id}`).expect(200)).body;
  const receive = (quantity: string) =>
    post('stock-entries', {
      kind: 'receive',
      storeId: store.id,
      materialId: cement.id,
      quantity,
      observedOn: '2026-11-20',
      orderLineId: order.lines[0].id,
    });
  return { id: id as string, order, programmeId: like.programmeId, receive };
}

async function approved() {
  const made = await draft();
  await decide(made.id, 'approved').expect(201);
  return made;
}

describe('orders', () => {
  it('are approved by another person than the one who asked for them', async () => {
    const { id, order } = await draft();
    expect(order).toMatchObject({ approval: 'waiting', requestedById: person.personId });
    const early = expectProblem(await post(`orders/${id}/placements`, {}), 422, 'rule-broken');
    expect(early.rule).toBe('order-not-approved');
    const own = expectProblem(await decide(id, 'approved', person), 422, 'rule-broken');
    expect(own.rule).toBe('decided-by-another');
    const keeper = await service.person(['storekeeper'], person.organisationId);
    expectProblem(await decide(id, 'approved', keeper), 403, 'forbidden');

    await decide(id, 'refused').expect(201);
    const refused = expectProblem(await post(`orders/${id}/placements`, {}), 422, 'rule-broken');
    expect(refused.rule).toBe('order-not-approved');
    const { body } = await decide(id, 'approved').expect(201);
    expect(body.approval).toBe('approved');
    expect(body.decisions).toMatchObject([
      { decision: 'refused', decidedById: approver.personId },
      { decision: 'approved', amount: order.amount, requestedById: person.personId },
    ]);
    await post(`orders/${id}/placements`, {}).expect(200);
  });

  it('are decided by an administrator too, and once by id', async () => {
    const { id } = await draft();
    const admin = await service.person(['admin'], person.organisationId);
    const body = { id: randomUUID(), decision: 'approved', remarks: 'Within the budget' };
    await post(`orders/${id}/decisions`, body, admin).expect(201);
    const again = await post(`orders/${id}/decisions`, body, admin).expect(201);
    expect(again.body.decisions).toHaveLength(1);
    const other = await post(`orders/${id}/decisions`, { ...body, decision: 'refused' }, admin);
    expectProblem(other, 409, 'conflict');
  });

  it('are placed once and received in parts', async () => {
    const { id, receive } = await approved();
    expect(expectProblem(await receive('10'), 422, 'rule-broken').rule).toBe('order-not-placed');
    const placed = await post(`orders/${id}/placements`, { placedOn: '2026-11-03' }).expect(200);
    expect(placed.body).toMatchObject({ status: 'placed', placedOn: '2026-11-03' });
    const again = expectProblem(await post(`orders/${id}/placements`, {}), 422, 'rule-broken');
    expect(again.rule).toBe('order-placed-once');
    await receive('50').expect(201);
    const partly = (await get(`orders/${id}`)).body;
    expect(partly.status).toBe('partly-received');
    expect(partly.lines[0].receivedQuantity).toBe('50');
    const stop = await post(`orders/${id}/cancellations`, { reason: 'Too late' });
    expect(expectProblem(stop, 422, 'rule-broken').rule).toBe('order-received');
    await receive('50').expect(201);
    expect((await get(`orders/${id}`)).body.status).toBe('received');
  });

  it('are placed by one of several who try at once', async () => {
    const { id } = await approved();
    const answers = await Promise.all(
      Array.from({ length: 5 }, () => post(`orders/${id}/placements`, {})),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 422, 422, 422, 422]);
    expect((await get(`orders/${id}`)).body.placedOn).toBe('2026-11-20');
  });

  it('are cancelled once, with a reason', async () => {
    const { id } = await draft();
    const path = `orders/${id}/cancellations`;
    const silent = expectProblem(await post(path, {}), 422, 'invalid-content');
    expect(silent.errors?.[0]?.pointer).toBe('/reason');
    const gone = await post(path, { reason: 'Roof fell in' }).expect(200);
    expect(gone.body).toMatchObject({ status: 'cancelled', cancelledOn: '2026-11-20' });
    const again = expectProblem(await post(path, { reason: 'x' }), 422, 'rule-broken');
    expect(again.rule).toBe('order-cancelled-once');
    const placing = await post(`orders/${id}/placements`, {});
    expect(expectProblem(placing, 422, 'rule-broken').rule).toBe('order-placed-once');
  });

  it.each([
    ['2026-11-21', 'after today'],
    ['2026-11-01', 'before the day of its prices'],
  ])('are not placed on %s', async (placedOn, message) => {
    const { id } = await draft();
    const { errors } = expectProblem(
      await post(`orders/${id}/placements`, { placedOn }),
      422,
      'invalid-content',
    );
    expect(errors?.[0]).toMatchObject({ pointer: '/placedOn', rejectedValue: placedOn });
    expect(errors?.[0]?.message).toContain(message);
  });

  it('are listed by programme and status, page by page', async () => {
    const { order, programmeId } = await draft();
    const { lines: _, decisions: _d, amendments: _a, ...summary } = order;
    const { body } = await get(`orders?programmeId=${programmeId}`).expect(200);
    expect(body.items).toEqual([summary]);
    const placed = await get(`orders?programmeId=${programmeId}&status=placed`).expect(200);
    expect(placed.body.items).toEqual([]);
    const all: string[] = [];
    let cursor: string | null = '';
    do {
      const page: { body: { items: { code: string }[]; nextCursor: string | null } } = await get(
        `orders?limit=2${cursor ? `&cursor=${cursor}` : ''}`,
      ).expect(200);
      all.push(...page.body.items.map(({ code }) => code));
      cursor = page.body.nextCursor;
    } while (cursor);
    expect(all).toContain(order.code);
    expect(new Set(all).size).toBe(all.length);
  });

  it('are not seen by another organisation and not placed by a storekeeper', async () => {
    const { id } = await draft();
    const stranger = await service.person(['coordinator']);
    expectProblem(await get(`orders/${id}`, stranger), 404, 'not-found');
    expectProblem(await post(`orders/${id}/placements`, {}, stranger), 404, 'not-found');
    expectProblem(await get(`orders/${randomUUID()}`), 404, 'not-found');
    const storekeeper = await service.person(['storekeeper'], person.organisationId);
    await get(`orders/${id}`, storekeeper).expect(200);
    expectProblem(await post(`orders/${id}/placements`, {}, storekeeper), 403, 'forbidden');
  });
});
