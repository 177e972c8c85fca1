import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { claim } from '../../shared/contract/claim.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { type Buyers, makeBuyers, ordersOf } from '../support/made-orders.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let people: Buyers;
let buy: ReturnType<typeof ordersOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2026-11-20' } });
  people = await makeBuyers(service);
  buy = ordersOf(service, people);
});
afterAll(() => service.close());

const euros = (amount: string) => ({ amount, currency: 'EUR' });

/** Claims from one delivery of 100 kg in two bags: what of it was damaged, missing, too much. */
async function claimed(counted: object) {
  const order = await buy.placed([{ need: '100', packContent: '50', pricePerPack: '7.45' }]);
  const orderLineId = order.lines[0]?.id ?? '';
  const note = await buy.sent(order.id, { [orderLineId]: '100' });
  const body = {
    storeId: (await buy.made.store()).id,
    receivedOn: '2026-11-06',
    lines: [{ orderLineId, ...counted }],
  };
  await buy.post(`delivery-notes/${note.id}/receipts`, body, people.storekeeper).expect(201);
  const { body: list } = await buy.get(`claims?orderId=${order.id}`).expect(200);
  return { order, orderLineId, claims: list.items.map((one: unknown) => claim.parse(one)) };
}

const settle = (id: string, body: object, who = people.coordinator) =>
  buy.post(`claims/${id}/settlements`, body, who);

describe('claims', () => {
  it('are at the price of the order and settled once, with a note', async () => {
    const counted = { goodQuantity: '70', damagedQuantity: '10', missingQuantity: '20' };
    const { claims, order } = await claimed(counted);
    // 10 and 20 kg of bags of 50 kg at 7.45
    expect(claims).toMatchObject([
      { kind: 'damaged', quantity: '10', amount: euros('1.49'), status: 'open' },
      { kind: 'missing', quantity: '20', amount: euros('2.98'), status: 'open' },
    ]);
    const [damaged, missing] = claims;
    const credit = { status: 'credited', creditedAmount: euros('1.49'), note: 'Credit note 7' };
    const above = await settle(damaged.id, { ...credit, creditedAmount: euros('1.50') });
    expect(expectProblem(above, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/creditedAmount/amount', rejectedValue: '1.50' },
    ]);
    const bare = await settle(damaged.id, { status: 'credited', note: 'x' });
    expect(expectProblem(bare, 422, 'invalid-content').errors?.[0]?.pointer).toBe(
      '/creditedAmount',
    );
    const done = await settle(damaged.id, credit).expect(201);
    expect(done.body).toMatchObject({
      status: 'credited',
      creditedAmount: euros('1.49'),
      settlementNote: 'Credit note 7',
    });
    const again = expectProblem(await settle(damaged.id, credit), 422, 'rule-broken');
    expect(again.rule).toBe('claim-settled-once');
    const taken = await settle(missing.id, { status: 'returned', note: 'x' });
    expect(expectProblem(taken, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/status');
    await settle(missing.id, { status: 'replaced', note: 'DN 12' }).expect(201);
    const open = await buy.get(`claims?orderId=${order.id}&status=open`).expect(200);
    expect(open.body.items).toEqual([]);
    // what a supplier credits was never owed
    expect(await buy.ledgerOf(order.id)).toMatchObject({ accrued: 1043, committed: 447 });
  });

  it('of an excess end when it is returned, or bought by an amendment that is approved', async () => {
    const { claims, order, orderLineId } = await claimed({
      goodQuantity: '150',
      excessQuantity: '50',
    });
    expect(claims).toMatchObject([{ kind: 'excess', quantity: '50', amount: euros('7.45') }]);
    expect(await buy.ledgerOf(order.id)).toMatchObject({ accrued: 1490, committed: 0 });
    const bought = { status: 'bought', note: 'Kept for the next village' };
    const early = expectProblem(await settle(claims[0].id, bought), 422, 'rule-broken');
    expect(early.rule).toBe('excess-bought-by-amendment');
    const lines = [{ orderLineId, packCount: 3 }];
    await buy
      .post(`orders/${order.id}/amendments`, { reason: 'The excess is kept', lines })
      .expect(201);
    await buy.approve(order.id);
    await settle(claims[0].id, bought).expect(201);
    expect(await buy.ledgerOf(order.id)).toMatchObject({ accrued: 2235, committed: 0 });
  });

  it('are read by their organisation and settled by those who buy', async () => {
    const { claims } = await claimed({ goodQuantity: '99', missingQuantity: '1' });
    const stranger = await service.person(['coordinator']);
    expectProblem(await buy.get(`claims/${claims[0].id}`, stranger), 404, 'not-found');
    const note = { status: 'rejected', note: 'Not signed for' };
    expectProblem(await settle(claims[0].id, note, stranger), 404, 'not-found');
    expectProblem(await settle(claims[0].id, note, people.storekeeper), 403, 'forbidden');
    expect((await buy.get(`claims/${claims[0].id}`).expect(200)).body).toEqual(claims[0]);
  });
});
