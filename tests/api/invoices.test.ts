import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { invoice } from '../../shared/contract/invoice.ts';
import { orderCosts } from '../../shared/contract/order.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { type Buyers, makeBuyers, type OrderedMaterial, ordersOf } from '../support/made-orders.ts';
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

const euros = (amount: string) => ({ amount, currency: 'EUR' });
const CEMENT: OrderedMaterial = { need: '100', packContent: '50', pricePerPack: '7.45' };

/** Two bags of 50 at 7.45 on order, of which so much was received as good. */
async function received(good: string, shares: readonly string[] = []) {
  const order = await buy.placed([CEMENT], shares);
  const [line] = order.lines;
  if (!line) throw new Error('The order has no line');
  const receive = async (quantity: string) => {
    const note = await buy.sent(order.id, { [line.id]: quantity });
    const lines = [{ orderLineId: line.id, goodQuantity: quantity }];
    const body = { storeId, receivedOn: '2026-11-06', lines };
    await buy.post(`delivery-notes/${note.id}/receipts`, body, people.storekeeper).expect(201);
  };
  if (good !== '0') await receive(good);
  return { order, line, receive };
}

let numbers = 0;

const bodyOf = (
  { order, line }: Awaited<ReturnType<typeof received>>,
  { quantity = '100', price = '7.45', amount = '14.90', ...more }: Record<string, string> = {},
  fields: object = {},
) => ({
  orderId: order.id,
  invoiceNumber: `INV-${++numbers}`,
  invoicedOn: '2026-11-10',
  dueOn: '2026-12-10',
  amount: euros(more.total ?? amount),
  lines: [
    {
      orderLineId: line.id,
      invoicedQuantity: quantity,
      pricePerPack: price,
      amount: euros(amount),
    },
  ],
  ...fields,
});

const record = (body: object) => buy.post('invoices', body);
const pay = (id: string) =>
  buy.post(`invoices/${id}/payments`, { paidOn: '2026-11-12', evidence: 'TR-1' });

describe('invoices', () => {
  it('that agree with order and receipt are paid once, and the ledger moves', async () => {
    const bought = await received('100');
    expect(await buy.ledgerOf(bought.order.id)).toMatchObject({ committed: 0, accrued: 1490 });
    const { body } = await record(bodyOf(bought)).expect(201);
    expect(invoice.parse(body)).toMatchObject({ status: 'matched', findings: [] });
    const paid = await pay(body.id).expect(201);
    expect(paid.body).toMatchObject({ status: 'paid', paidOn: '2026-11-12' });
    const { entries, ...sums } = await buy.ledgerOf(bought.order.id);
    expect(sums).toEqual({ committed: 0, accrued: 0, paid: 1490 });
    expect(entries.filter(({ invoiceId }) => invoiceId === body.id)).toMatchObject([
      { state: 'paid', amount: euros('14.90') },
    ]);
    expect(expectProblem(await pay(body.id), 422, 'rule-broken').rule).toBe('invoice-paid-once');
  });

  it.each([
    ['price-above-order', '100', { price: '7.55', amount: '15.10' }, '7.45', '7.55'],
    ['quantity-above-received', '50', {}, '50', '100'],
    ['not-received', '0', {}, '0', '100'],
    ['arithmetic', '100', { amount: '14.95' }, '14.90', '14.95'],
    ['arithmetic', '100', { total: '15.00' }, '14.90', '15.00'],
  ] as const)('are held for %s', async (kind, good, wrong, expected, found) => {
    const bought = await received(good);
    const { body } = await record(bodyOf(bought, wrong)).expect(201);
    expect(body.status).toBe('held');
    expect(body.findings).toMatchObject([{ kind, expected, found }]);
    expect(expectProblem(await pay(body.id), 422, 'rule-broken').rule).toBe('invoice-held');
  });

  it('count what earlier invoices asked for, unless they were rejected', async () => {
    const bought = await received('100');
    const first = await record(bodyOf(bought, { quantity: '50', amount: '7.45' })).expect(201);
    expect(first.body.status).toBe('matched');
    const second = await record(bodyOf(bought)).expect(201);
    expect(second.body.findings).toMatchObject([
      { kind: 'quantity-above-received', expected: '100', found: '150' },
    ]);
    const rejection = { decision: 'rejected', reason: 'Half was invoiced before' };
    await buy.post(`invoices/${second.body.id}/releases`, rejection, people.approver).expect(201);
    const third = await record(bodyOf(bought, { quantity: '50', amount: '7.45' })).expect(201);
    expect(third.body.status).toBe('matched');
  });

  it('are released by another person with a reason, and their difference shows', async () => {
    const bought = await received('100', ['0.33333333', '0.66666667']);
    const dearer = { price: '8.00', amount: '16.00', total: '19.50' };
    const fields = { otherCharges: euros('3.50') };
    const { body } = await record(bodyOf(bought, dearer, fields)).expect(201);
    expect(body.findings.map(({ kind }: { kind: string }) => kind)).toEqual([
      'price-above-order',
      'charges-not-ordered',
    ]);
    const path = `invoices/${body.id}/releases`;
    const own = expectProblem(await buy.post(path, { reason: 'Mine' }), 422, 'rule-broken');
    expect(own.rule).toBe('decided-by-another');
    const silent = expectProblem(await buy.post(path, {}, people.approver), 422, 'invalid-content');
    expect(silent.errors?.[0]?.pointer).toBe('/reason');
    expectProblem(await buy.post(path, { reason: 'x' }, people.storekeeper), 403, 'forbidden');
    const reason = 'The price rose before the order reached them';
    const released = await buy.post(path, { reason }, people.approver).expect(201);
    expect(released.body).toMatchObject({ status: 'released', releaseReason: reason });
    await pay(body.id).expect(201);

    const { entries, ...sums } = await buy.ledgerOf(bought.order.id);
    expect(sums).toEqual({ committed: 0, accrued: 0, paid: 1950 });
    // 19.50 over a third and two thirds: each grant pays its own, from its budget line for materials
    const parts = entries.filter(({ state }) => state === 'paid');
    expect(parts.map(({ amount }) => amount.amount).sort()).toEqual(['13.00', '6.50']);
    expect(parts.every(({ budgetLineId }) => budgetLineId !== null)).toBe(true);
    const { body: costs } = await buy.get(`orders/${bought.order.id}/costs`).expect(200);
    expect(orderCosts.parse(costs)).toMatchObject({
      isFollowed: true,
      amount: euros('14.90'),
      paidAtOrderPrices: euros('14.90'),
      paid: euros('19.50'),
      otherCharges: euros('3.50'),
      priceDifference: euros('1.10'),
      lines: [{ invoicedAmount: euros('16.00'), priceDifference: euros('1.10') }],
    });
  });

  it('in another currency are not released, only rejected', async () => {
    const bought = await received('100');
    const dollars = { amount: '14.90', currency: 'USD' };
    const { lines, ...fields } = bodyOf(bought);
    const foreign = { ...fields, amount: dollars, lines: [{ ...lines[0], amount: dollars }] };
    const { body } = await record(foreign).expect(201);
    expect(body.findings).toMatchObject([
      { kind: 'currency-differs', expected: 'EUR', found: 'USD' },
    ]);
    const path = `invoices/${body.id}/releases`;
    const kept = await buy.post(path, { reason: 'Never mind' }, people.approver);
    expect(expectProblem(kept, 422, 'rule-broken').rule).toBe('invoice-in-currency-of-order');
    const rejection = { decision: 'rejected', reason: 'Wrong currency' };
    await buy.post(path, rejection, people.approver).expect(201);
    const mixed = await record({ ...bodyOf(bought), amount: dollars });
    const { errors } = expectProblem(mixed, 422, 'invalid-content');
    expect(errors?.[0]?.pointer).toBe('/lines/0/amount/currency');
  });

  it('use a number once a supplier; one that differs in letter case is held', async () => {
    const bought = await received('100');
    const half = { quantity: '50', amount: '7.45' };
    const first = bodyOf(bought, half);
    const { body } = await record({ ...first, id: randomUUID() }).expect(201);
    expect((await record({ ...first, id: body.id }).expect(201)).body).toEqual(body);
    expectProblem(await record({ ...first, id: body.id, amount: euros('1') }), 409, 'conflict');
    const same = expectProblem(await record(first), 422, 'rule-broken');
    expect(same.rule).toBe('invoice-number-once');
    expect(same.errors?.[0]?.pointer).toBe('/invoiceNumber');
    const lower = { ...first, invoiceNumber: first.invoiceNumber.toLowerCase() };
    const held = await record(lower).expect(201);
    expect(held.body.findings).toMatchObject([{ kind: 'duplicate-number' }]);
  });

  it('match again when the rest has come', async () => {
    const bought = await received('50');
    const { body } = await record(bodyOf(bought)).expect(201);
    expect(body.status).toBe('held');
    const again = () => buy.post(`invoices/${body.id}/matches`, {});
    expect((await again().expect(200)).body.status).toBe('held');
    await bought.receive('50');
    expect((await again().expect(200)).body).toMatchObject({ status: 'matched', findings: [] });
  });

  it('are for placed orders and their lines, and seen by their organisation', async () => {
    const draft = await buy.draft([CEMENT]);
    const bought = await received('100');
    const body = bodyOf(bought);
    const early = { ...body, orderId: draft.id };
    expect(expectProblem(await record(early), 422, 'rule-broken').rule).toBe(
      'invoice-of-placed-order',
    );
    const nowhere = await record({ ...body, orderId: randomUUID() });
    expect(expectProblem(nowhere, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/orderId');
    const foreign = { ...body, lines: [{ ...body.lines[0], orderLineId: draft.lines[0]?.id }] };
    expect(expectProblem(await record(foreign), 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/orderLineId', code: 'reference.unknown' },
    ]);
    const due = await record({ ...body, dueOn: '2026-11-09' });
    expect(expectProblem(due, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/dueOn');
    const { body: recorded } = await record(body).expect(201);
    const stranger = await service.person(['coordinator']);
    expectProblem(await buy.get(`invoices/${recorded.id}`, stranger), 404, 'not-found');
    const { lines: _, ...summary } = recorded;
    const listed = await buy.get(`invoices?orderId=${bought.order.id}&status=matched`).expect(200);
    expect(listed.body.items).toEqual([summary]);
  });
});
