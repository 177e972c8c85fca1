import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { deliveryNote, goodsReceipt } from '../../shared/contract/receipt.ts';
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

const bags = { unitCode: 'H87', name: 'Bags of cement' };

/** A placed order of 1,000 bags at 7.45, all of them on one delivery note. */
async function thousandBags() {
  const order = await buy.placed([{ need: '1000', pricePerPack: '7.45', material: bags }]);
  const [line] = order.lines;
  if (!line) throw new Error('The order has no line');
  const note = await buy.sent(order.id, { [line.id]: '1000' });
  return { order, line, note };
}

const count = (noteId: string, lines: readonly object[], more: object = {}) =>
  buy.post(
    `delivery-notes/${noteId}/receipts`,
    { storeId, receivedOn: '2026-11-06', lines, ...more },
    people.storekeeper,
  );

const stockOf = async (materialId: string) =>
  (await buy.get(`stock-balances?materialId=${materialId}`).expect(200)).body.items[0]?.quantity;

/**
 * Three waybills of 1,000 bags, as quoted from the CARE food manual of 1998 (`care-food-manual-1998`).
 * Ten bags of the second are light by 5 kg each; they are counted as bags here.
 */
const WAYBILLS = [
  {
    name: '975 unloaded, 5 torn and 2 unfit',
    counted: { goodQuantity: '968', damagedQuantity: '7', missingQuantity: '25' },
    claims: [
      ['damaged', '7'],
      ['missing', '25'],
    ],
    status: 'partly-received',
  },
  {
    name: '1,010 unloaded, 5 torn and 3 mouldy',
    counted: { goodQuantity: '1002', damagedQuantity: '8', excessQuantity: '10' },
    claims: [
      ['damaged', '8'],
      ['excess', '10'],
    ],
    status: 'received',
  },
  {
    name: '990 unloaded',
    counted: { goodQuantity: '990', missingQuantity: '10' },
    claims: [['missing', '10']],
    status: 'partly-received',
  },
] as const;

describe('receipts', () => {
  it.each(WAYBILLS)('count the published waybill: $name', async ({ counted, claims, status }) => {
    const { order, line, note } = await thousandBags();
    deliveryNote.parse(note);
    const { body } = await count(note.id, [{ orderLineId: line.id, ...counted }]).expect(201);
    const receipt = goodsReceipt.parse(body);
    expect(receipt.lines[0]).toMatchObject({ dispatchedQuantity: '1000', ...counted });
    expect(receipt.claims.map(({ kind, quantity }) => [kind, quantity])).toEqual(claims);
    expect(await stockOf(line.materialId)).toBe(counted.goodQuantity);
    const after = await buy.read(order.id);
    expect(after).toMatchObject({ status, lines: [{ receivedQuantity: counted.goodQuantity }] });

    // good × price is owed, never more than was ordered; the rest stays committed
    const owed = Math.min(Number(counted.goodQuantity), 1000) * 745;
    const { committed, accrued, paid } = await buy.ledgerOf(order.id);
    expect({ committed, accrued, paid }).toEqual({
      committed: 745_000 - owed,
      accrued: owed,
      paid: 0,
    });
  });

  it('refuse counts that do not add up, naming line and rule, and write nothing', async () => {
    const { order, line, note } = await thousandBags();
    const wrong = { orderLineId: line.id, goodQuantity: '968', damagedQuantity: '7' };
    const { errors } = expectProblem(await count(note.id, [wrong]), 422, 'invalid-content');
    expect(errors).toMatchObject([
      { pointer: '/lines/0/missingQuantity', code: 'receipt.adds-up', rejectedValue: '0' },
    ]);
    expect(errors?.[0]?.message).toContain('must be 25: dispatched + excess = good + damaged');
    const both = { ...wrong, missingQuantity: '30', excessQuantity: '5' };
    const twice = expectProblem(await count(note.id, [both]), 422, 'invalid-content');
    expect(twice.errors?.map(({ pointer }) => pointer)).toEqual([
      '/lines/0/missingQuantity',
      '/lines/0/excessQuantity',
    ]);
    expect(await stockOf(line.materialId)).toBeUndefined();
    expect((await buy.read(order.id)).status).toBe('placed');
  });

  it('ask for every line of the note and no other', async () => {
    const order = await buy.placed([
      { need: '10', pricePerPack: '2.00' },
      { need: '20', pricePerPack: '3.00' },
    ]);
    const [first, second] = order.lines;
    const note = await buy.sent(order.id, { [first?.id ?? '']: '10', [second?.id ?? '']: '20' });
    const one = { orderLineId: first?.id, goodQuantity: '10' };
    const lacking = expectProblem(await count(note.id, [one]), 422, 'invalid-content');
    expect(lacking.errors).toMatchObject([{ code: 'line.missing', rejectedValue: second?.id }]);
    const foreign = await count(note.id, [one, one, { ...one, orderLineId: randomUUID() }]);
    const { errors } = expectProblem(foreign, 422, 'invalid-content');
    expect(errors?.map(({ pointer, code }) => [pointer, code])).toEqual([
      ['/lines/1/orderLineId', 'line.twice'],
      ['/lines/2/orderLineId', 'reference.unknown'],
      ['/lines', 'line.missing'],
    ]);
  });

  it('count once when a phone sends them twice, at once or later', async () => {
    const { order, line, note } = await thousandBags();
    const id = randomUUID();
    const lines = [{ orderLineId: line.id, goodQuantity: '990', missingQuantity: '10' }];
    const answers = await Promise.all([1, 2, 3].map(() => count(note.id, lines, { id })));
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201]);
    const later = await count(note.id, lines, { id }).expect(201);
    for (const { body } of answers) expect(body).toEqual(later.body);
    expect(await stockOf(line.materialId)).toBe('990');
    expect((await buy.get(`claims?orderId=${order.id}`)).body.items).toHaveLength(1);
    const otherwise = [{ orderLineId: line.id, goodQuantity: '1000' }];
    expectProblem(await count(note.id, otherwise, { id }), 409, 'conflict');
    const again = expectProblem(await count(note.id, lines), 422, 'rule-broken');
    expect(again.rule).toBe('delivery-note-received-once');
  });

  it('bring lots of a material whose lots are told apart, several of one line', async () => {
    const material = { unitCode: 'KGM', lotIdentity: 'manufacture-date', shelfLifeDays: 90 };
    const order = await buy.placed([{ need: '500', pricePerPack: '7.45', material }]);
    const [line] = order.lines;
    const note = await buy.sent(order.id, { [line?.id ?? '']: '500' });
    const good = { orderLineId: line?.id, goodQuantity: '500' };
    const bare = expectProblem(await count(note.id, [good]), 422, 'invalid-content');
    expect(bare.errors).toMatchObject([{ pointer: '/lines/0/lot', code: 'lot.missing' }]);
    const lot = (code: string, quantity: string, more: object) => ({
      lot: { code, ...more },
      quantity,
    });
    const day = { manufacturedOn: '2026-10-20' };
    const undated = [lot('W42', '300', day), lot('W43', '200', {})];
    const dateless = await count(note.id, [{ ...good, lots: undated }]);
    expect(expectProblem(dateless, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/lots/1/lot/manufacturedOn' },
    ]);
    const short = await count(note.id, [{ ...good, lots: [lot('W42', '300', day)] }]);
    expect(expectProblem(short, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/lots', code: 'lots.add-up', rejectedValue: '300' },
    ]);
    const lots = [lot('W42', '300', day), lot('W43', '200', { manufacturedOn: '2026-10-27' })];
    await count(note.id, [{ ...good, lots }]).expect(201);
    const { body } = await buy.get(`stock-lot-balances?materialId=${line?.materialId}`).expect(200);
    expect(
      body.items.map((one: { lotCode: string; quantity: string }) => [one.lotCode, one.quantity]),
    ).toEqual([
      ['W42', '300'],
      ['W43', '200'],
    ]);
  });

  it('are taken for placed orders only, on days that follow each other', async () => {
    const draft = await buy.draft([{ need: '5', pricePerPack: '1.00' }]);
    const lines = [{ orderLineId: draft.lines[0]?.id, dispatchedQuantity: '5' }];
    const note = { noteNumber: 'N-1', dispatchedOn: '2026-11-05', lines };
    const send = (body: object, id = draft.id) =>
      buy.post(`orders/${id}/delivery-notes`, body, people.storekeeper);
    expect(expectProblem(await send(note), 422, 'rule-broken').rule).toBe('order-not-placed');
    const { order, line, note: sent } = await thousandBags();
    const own = [{ orderLineId: line.id, dispatchedQuantity: '5' }];
    const early = await send({ ...note, lines: own, dispatchedOn: '2026-11-02' }, order.id);
    expect(expectProblem(early, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/dispatchedOn');
    const foreign = await send(note, order.id);
    expect(expectProblem(foreign, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/orderLineId', code: 'reference.unknown' },
    ]);
    const good = [{ orderLineId: line.id, goodQuantity: '1000' }];
    const before = await count(sent.id, good, { receivedOn: '2026-11-04' });
    expect(expectProblem(before, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/receivedOn');
    const ahead = await count(sent.id, good, { receivedOn: '2026-11-21' });
    expect(expectProblem(ahead, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/receivedOn');
    const nowhere = await count(sent.id, good, { storeId: randomUUID() });
    expect(expectProblem(nowhere, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/storeId');
  });

  it('are listed by order and store, and hidden from other organisations', async () => {
    const { order, line, note } = await thousandBags();
    const good = [{ orderLineId: line.id, goodQuantity: '1000' }];
    const { body } = await count(note.id, good).expect(201);
    const listed = await buy.get(`receipts?orderId=${order.id}&storeId=${storeId}`).expect(200);
    const { lines: _lines, claims: _claims, ...summary } = body;
    expect(listed.body.items).toEqual([summary]);
    expect((await buy.get(`receipts/${body.id}`).expect(200)).body).toEqual(body);
    const notes = await buy.get(`orders/${order.id}/delivery-notes`).expect(200);
    expect(notes.body.items).toMatchObject([{ id: note.id, receiptId: body.id }]);
    const stranger = await service.person(['coordinator', 'storekeeper']);
    expectProblem(await buy.get(`receipts/${body.id}`, stranger), 404, 'not-found');
    expectProblem(await buy.get(`delivery-notes/${note.id}`, stranger), 404, 'not-found');
    expectProblem(await count(randomUUID(), good), 404, 'not-found');
  });
});
