import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { orderCosts } from '../../shared/contract/order.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { type Buyers, makeBuyers, ordersOf } from '../support/made-orders.ts';
import { startTestService, type TestService } from '../support/service.ts';

/** Sequences over HTTP; more with HOOPWRIGHT_PROPERTY_RUNS. */
const RUNS = Math.max(6, Math.floor(Number(process.env.HOOPWRIGHT_PROPERTY_RUNS ?? 0) / 100));

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

const cents = ({ amount }: { amount: string }) => Math.round(Number(amount) * 100);

type Step =
  | { readonly do: 'receive'; readonly good: number; readonly bad: number; readonly line: number }
  | { readonly do: 'amend'; readonly packs: number; readonly price: number; readonly line: number }
  | { readonly do: 'pay'; readonly share: number; readonly price: number; readonly line: number }
  | { readonly do: 'close' };

const line = fc.nat(1);
const step: fc.Arbitrary<Step> = fc.oneof(
  fc.record({
    do: fc.constant('receive' as const),
    good: fc.nat(9),
    bad: fc.nat(2),
    line,
  }),
  fc.record({
    do: fc.constant('amend' as const),
    packs: fc.integer({ min: 0, max: 30 }),
    price: fc.integer({ min: 1, max: 999 }),
    line,
  }),
  fc.record({
    do: fc.constant('pay' as const),
    share: fc.integer({ min: 1, max: 4 }),
    price: fc.integer({ min: 1, max: 999 }),
    line,
  }),
  fc.record({ do: fc.constant('close' as const) }),
);

let papers = 0;

async function take(orderId: string, wanted: Step): Promise<void> {
  const order = await buy.read(orderId);
  if (wanted.do === 'close') {
    await buy.post(`orders/${orderId}/closures`, { reason: 'Enough' });
    return;
  }
  const ordered = order.lines[wanted.line % order.lines.length];
  if (!ordered) throw new Error('The order has no line');
  if (wanted.do === 'receive') {
    const [good, bad] = [wanted.good, wanted.bad];
    if (good + bad === 0) return;
    const noteNumber = `N-${++papers}`;
    const lines = [{ orderLineId: ordered.id, dispatchedQuantity: String(good + bad) }];
    const note = await buy.post(
      `orders/${orderId}/delivery-notes`,
      { noteNumber, dispatchedOn: '2026-11-05', lines },
      people.storekeeper,
    );
    if (note.status !== 201) return;
    const counted = {
      orderLineId: ordered.id,
      goodQuantity: String(good),
      damagedQuantity: String(bad),
    };
    await buy
      .post(
        `delivery-notes/${note.body.id}/receipts`,
        {
          storeId,
          receivedOn: `2026-11-${String(6 + (papers % 9)).padStart(2, '0')}`,
          lines: [counted],
        },
        people.storekeeper,
      )
      .expect(201);
    return;
  }
  const pricePerPack = (wanted.price / 100).toFixed(2);
  if (wanted.do === 'amend') {
    const lines = [{ orderLineId: ordered.id, packCount: wanted.packs, pricePerPack }];
    const { status } = await buy.post(`orders/${orderId}/amendments`, { reason: 'Other', lines });
    if (status === 201) await buy.approve(orderId);
    return;
  }
  // An invoice for some packs at a price of its own, received or not; released and paid.
  const amount = { amount: ((wanted.price * wanted.share) / 100).toFixed(2), currency: 'EUR' };
  const { body, status } = await buy.post('invoices', {
    orderId,
    invoiceNumber: `I-${++papers}`,
    invoicedOn: '2026-11-10',
    dueOn: '2026-12-10',
    amount,
    lines: [
      {
        orderLineId: ordered.id,
        invoicedQuantity: String(wanted.share * 3),
        pricePerPack,
        amount,
      },
    ],
  });
  if (status !== 201) return;
  if (body.status === 'held') {
    await buy.post(`invoices/${body.id}/releases`, { reason: 'Seen' }, people.approver).expect(201);
  }
  await buy.post(`invoices/${body.id}/payments`, { evidence: 'TR' }).expect(201);
}

describe('the ledger of an order', () => {
  it('agrees with its lines, receipts and invoices to the cent after any step', {
    timeout: 240_000,
  }, async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 2, maxLength: 6 }), async (steps) => {
        const order = await buy.placed(
          [
            { need: '30', packContent: '3', pricePerPack: '3.35' },
            { need: '10', packContent: '3', pricePerPack: '0.07' },
          ],
          ['0.33333333', '0.66666667'],
        );
        for (const wanted of steps) {
          await take(order.id, wanted);
          await expectReconciled(order.id, order.grants.length);
        }
      }),
      { numRuns: RUNS, seed: 20_261_125, endOnFailure: true },
    );
  });
});

async function expectReconciled(orderId: string, grantCount: number): Promise<void> {
  const { status, amount, lines } = await buy.read(orderId);
  const costs = orderCosts.parse((await buy.get(`orders/${orderId}/costs`).expect(200)).body);
  const { entries, ...sums } = await buy.ledgerOf(orderId);
  expect(sums).toEqual({
    committed: cents(costs.committed),
    accrued: cents(costs.accrued),
    paid: cents(costs.paid),
  });
  const known = sums.committed + sums.accrued + cents(costs.paidAtOrderPrices);
  if (status === 'closed') expect(known).toBeLessThanOrEqual(cents(amount));
  else expect(known).toBe(cents(amount));
  expect(sums.paid).toBe(cents(costs.paidAtOrderPrices) + cents(costs.priceDifference));
  // by hand from the receipts: good goods at the price of the order, within a cent a line, less what is paid
  for (const [index, line] of lines.entries()) {
    const ordered = Number(line.orderedQuantity);
    const good = Math.min(Number(line.receivedQuantity), ordered);
    const worth = ordered === 0 ? 0 : (cents(line.amount) * good) / ordered;
    const own = costs.lines[index];
    if (!own) throw new Error('Costs lack a line');
    const owed = cents(own.accrued) + Math.min(cents(own.paidAtOrderPrices), Math.round(worth));
    expect(Math.abs(owed - worth)).toBeLessThanOrEqual(1);
  }
  // no grant carries more of any state than all of them together, and none is left with a negative
  const grants = new Set(entries.map(({ grantId }) => grantId));
  expect(grants.size).toBeLessThanOrEqual(grantCount);
  for (const grantId of grants) {
    for (const state of ['committed', 'accrued', 'paid'] as const) {
      const own = entries
        .filter((entry) => entry.grantId === grantId && entry.state === state)
        .reduce((sum, entry) => sum + cents(entry.amount), 0);
      expect(own).toBeGreaterThanOrEqual(0);
      expect(own).toBeLessThanOrEqual(sums[state]);
    }
  }
}
