import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { type Buyers, makeBuyers, ordersOf } from '../support/made-orders.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let people: Buyers;
let buy: ReturnType<typeof ordersOf>;
let storeId: string;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2026-11-20' } });
  people = await makeBuyers(service);
  buy = ordersOf(service, people);
  storeId = (await buy.made.store()).id;
});
afterAll(() => service.close());

/** Ten packs of 10 at 3.00, placed. */
async function tenPacks() {
  const order = await buy.placed([{ need: '95', packContent: '10', pricePerPack: '3.00' }]);
  const [line] = order.lines;
  if (!line) throw new Error('The order has no line');
  const receive = async (goodQuantity: string, more: Record<string, string> = {}) => {
    const sum = Number(goodQuantity) + Number(more.damagedQuantity ?? 0);
    const note = await buy.sent(order.id, { [line.id]: String(sum) });
    const lines = [{ orderLineId: line.id, goodQuantity, ...more }];
    const body = { storeId, receivedOn: '2026-11-06', lines };
    return buy.post(`delivery-notes/${note.id}/receipts`, body, people.storekeeper).expect(201);
  };
  const amend = (fields: object, change: object = {}) =>
    buy.post(`orders/${order.id}/amendments`, {
      reason: 'Agreed by telephone',
      lines: Object.keys(change).length > 0 ? [{ orderLineId: line.id, ...change }] : [],
      ...fields,
    });
  return { order, line, receive, amend };
}

describe('amendments of orders', () => {
  it('that raise the amount wait for another approval, and move what is committed', async () => {
    const { order, line, amend } = await tenPacks();
    const { body } = await amend({}, { packCount: 12 }).expect(201);
    expect(body).toMatchObject({
      status: 'placed',
      approval: 'waiting',
      amount: { amount: '36.00' },
      lines: [
        { packCount: 12, orderedQuantity: '120', needQuantity: '95', roundingQuantity: '25' },
      ],
      amendments: [
        {
          amendmentNumber: 1,
          reason: 'Agreed by telephone',
          amendedById: people.coordinator.personId,
          amountBefore: { amount: '30.00' },
          amountAfter: { amount: '36.00' },
          lines: [{ before: { packCount: 10 }, after: { packCount: 12 } }],
        },
      ],
    });
    expect((await buy.ledgerOf(order.id)).committed).toBe(3600);
    const note = { noteNumber: 'X', dispatchedOn: '2026-11-05' };
    const lines = [{ orderLineId: line.id, dispatchedQuantity: '10' }];
    const sent = await buy.post(
      `orders/${order.id}/delivery-notes`,
      { ...note, lines },
      people.storekeeper,
    );
    expect(expectProblem(sent, 422, 'rule-broken').rule).toBe('order-not-approved');
    const decision = { decision: 'approved' };
    const own = await buy.post(`orders/${order.id}/decisions`, decision);
    expect(expectProblem(own, 422, 'rule-broken').rule).toBe('decided-by-another');
    await buy.approve(order.id);
    await buy.sent(order.id, { [line.id]: '10' });
  });

  it('are not approved by the person who amended, though another asked for the order', async () => {
    const { order, line } = await tenPacks();
    const change = { reason: 'More', lines: [{ orderLineId: line.id, packCount: 11 }] };
    await buy.post(`orders/${order.id}/amendments`, change, people.approver).expect(201);
    const decision = { decision: 'approved' };
    const own = await buy.post(`orders/${order.id}/decisions`, decision, people.approver);
    expect(expectProblem(own, 422, 'rule-broken').rule).toBe('decided-by-another');
  });

  it('that lower the amount need no other approval', async () => {
    const { order, amend } = await tenPacks();
    const { body } = await amend({}, { packCount: 9, pricePerPack: '2.50' }).expect(201);
    expect(body).toMatchObject({
      approval: 'approved',
      amount: { amount: '22.50' },
      lines: [{ needQuantity: '90', roundingQuantity: '0' }],
    });
    expect((await buy.ledgerOf(order.id)).committed).toBe(2250);
  });

  it('never go below what was received, and end an order whose rest is dropped', async () => {
    const { order, amend, receive } = await tenPacks();
    await receive('45');
    const below = await amend({}, { packCount: 4 });
    expect(expectProblem(below, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/packCount', code: 'amendment.below-received', rejectedValue: 4 },
    ]);
    await amend({}, { packCount: 5 }).expect(201);
    expect((await buy.read(order.id)).status).toBe('partly-received');
    expect(await buy.ledgerOf(order.id)).toMatchObject({ accrued: 1350, committed: 150 });
    await receive('5');
    expect((await buy.read(order.id)).status).toBe('received');
  });

  it('change the day of need alone, and say what they change', async () => {
    const { amend, line } = await tenPacks();
    const { body } = await amend({ neededBy: '2026-12-24' }).expect(201);
    expect(body).toMatchObject({
      neededBy: '2026-12-24',
      amendments: [{ neededBy: { before: null, after: '2026-12-24' }, lines: [] }],
    });
    const nothing = await amend({ neededBy: '2026-12-24' }, { packCount: 10 });
    expect(expectProblem(nothing, 422, 'rule-broken').rule).toBe('amendment-changes-nothing');
    expectProblem(await amend({}), 422, 'invalid-content');
    const twice = await amend({
      lines: [line, line].map(({ id }) => ({ orderLineId: id, packCount: 3 })),
    });
    expect(expectProblem(twice, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/1/orderLineId', code: 'line.twice' },
    ]);
    const finer = await amend({}, { pricePerPack: '2.555' });
    expect(expectProblem(finer, 422, 'invalid-content').errors?.[0]?.pointer).toBe(
      '/lines/0/pricePerPack',
    );
  });
});

describe('closures of orders', () => {
  it('release what did not come; nothing more is taken in', async () => {
    const { order, line, receive, amend } = await tenPacks();
    const path = `orders/${order.id}/closures`;
    const early = expectProblem(await buy.post(path, { reason: 'x' }), 422, 'rule-broken');
    expect(early.rule).toBe('order-closed-short');
    await receive('40', { damagedQuantity: '10' });
    expect(await buy.ledgerOf(order.id)).toMatchObject({ accrued: 1200, committed: 1800 });
    const stop = await buy.post(`orders/${order.id}/cancellations`, { reason: 'x' });
    expect(expectProblem(stop, 422, 'rule-broken').rule).toBe('order-received');
    const { body } = await buy.post(path, { reason: 'The yard has no more' }).expect(200);
    expect(body).toMatchObject({
      status: 'closed',
      closedOn: '2026-11-20',
      closingReason: 'The yard has no more',
    });
    expect(await buy.ledgerOf(order.id)).toMatchObject({ accrued: 1200, committed: 0 });
    const receiving = await buy.post(
      'stock-entries',
      {
        kind: 'receive',
        storeId,
        materialId: line.materialId,
        quantity: '1',
        observedOn: '2026-11-20',
        orderLineId: line.id,
      },
      people.storekeeper,
    );
    expect(expectProblem(receiving, 422, 'rule-broken').rule).toBe('order-not-placed');
    const amending = expectProblem(await amend({}, { packCount: 11 }), 422, 'rule-broken');
    expect(amending.rule).toBe('order-amended-while-open');
    const again = await buy.post(`orders/${order.id}/cancellations`, { reason: 'x' });
    expect(expectProblem(again, 422, 'rule-broken').rule).toBe('order-cancelled-once');
  });

  it('of nothing at all are cancellations, which release the whole', async () => {
    const { order } = await tenPacks();
    await buy.post(`orders/${order.id}/cancellations`, { reason: 'Too dear' }).expect(200);
    const { entries, ...sums } = await buy.ledgerOf(order.id);
    expect(sums).toEqual({ committed: 0, accrued: 0, paid: 0 });
    expect(entries).toHaveLength(2);
  });
});
