import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { makeBuild } from '../support/factories.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-15';

let service: TestService;
let keeper: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => TODAY } });
  keeper = await service.person(['storekeeper', 'coordinator']);
  made = recordsOf(service, keeper);
});
afterAll(() => service.close());

const get = (path: string, who = keeper) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, headers: Record<string, string> = {}) =>
  service.http.post(`/v1/${path}`).set(keeper.auth).set(headers).send(body);

interface Card {
  readonly storeId: string;
  readonly materialId: string;
}

const entry = (card: Card, kind: string, fields: object) => ({
  ...card,
  kind,
  observedOn: TODAY,
  ...fields,
});
const record = (card: Card, kind: string, fields: object) =>
  post('stock-entries', entry(card, kind, fields));

async function newCard(received?: string): Promise<Card> {
  const [store, material] = [await made.store(), await made.material()];
  const card = { storeId: store.id, materialId: material.id };
  if (received) await record(card, 'receive', { quantity: received }).expect(201);
  return card;
}

async function balanceOf({ storeId, materialId }: Card): Promise<string | undefined> {
  const { body } = await get(`stock-balances?storeId=${storeId}&materialId=${materialId}`);
  return body.items[0]?.quantity;
}

describe('the stock card', () => {
  it('shows receipts, issues, returns and counts with the running balance', async () => {
    const card = await newCard('500');
    const { buildId } = await makeBuild(service, keeper);
    await record(card, 'issue', { quantity: '120.5', buildId }).expect(201);
    await record(card, 'return', { quantity: '20.5', buildId }).expect(201);
    const counted = await record(card, 'count', {
      countedQuantity: '399.999999',
      reason: 'Sheet 4',
    }).expect(201);
    expect(counted.body).toMatchObject({ quantity: '-0.000001', balanceAfter: '399.999999' });
    const path = `stock-entries?storeId=${card.storeId}&materialId=${card.materialId}`;
    const first = await get(`${path}&limit=3`).expect(200);
    const rest = await get(`${path}&limit=3&cursor=${first.body.nextCursor}`).expect(200);
    const listed = [...first.body.items, ...rest.body.items].map(
      ({ kind, quantity, balanceAfter }) => [kind, quantity, balanceAfter],
    );
    expect(listed).toEqual([
      ['receive', '500', '500'],
      ['issue', '-120.5', '379.5'],
      ['return', '20.5', '400'],
      ['count', '-0.000001', '399.999999'],
    ]);
    expect(rest.body.nextCursor).toBeNull();
    const ofBuild = await get(`stock-entries?buildId=${buildId}`).expect(200);
    expect(ofBuild.body.items.map((item: { kind: string }) => item.kind)).toEqual([
      'issue',
      'return',
    ]);
    expect(await balanceOf(card)).toBe('399.999999');
    expect((await get(`stock-entries/${counted.body.id}`).expect(200)).body).toEqual(counted.body);
  });

  it('moves stock between stores in one step', async () => {
    const from = await newCard('80');
    const toStoreId = (await made.store()).id;
    const move = (quantity: string) =>
      post('stock-transfers', {
        fromStoreId: from.storeId,
        toStoreId,
        materialId: from.materialId,
        quantity,
        observedOn: TODAY,
        documentNumber: 'WB-7',
      });
    const { body } = await move('30').expect(201);
    expect(body.entries).toMatchObject([
      { kind: 'transfer-out', quantity: '-30', balanceAfter: '50', transferId: body.id },
      { kind: 'transfer-in', quantity: '30', balanceAfter: '30', counterpartStoreId: from.storeId },
    ]);
    const refused = expectProblem(await move('50.1'), 422, 'rule-broken');
    expect(refused.rule).toBe('stock-below-zero');
    expect(await balanceOf(from)).toBe('50');
    expect(await balanceOf({ ...from, storeId: toStoreId })).toBe('30');
    const same = await post('stock-transfers', {
      fromStoreId: toStoreId,
      toStoreId,
      materialId: from.materialId,
      quantity: '1',
      observedOn: TODAY,
    });
    expect(expectProblem(same, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/toStoreId');
  });

  it('records a repeated delivery note once', async () => {
    const card = await newCard();
    const key = { 'idempotency-key': randomUUID() };
    const send = () => post('stock-entries', entry(card, 'receive', { quantity: '10' }), key);
    const answers = await Promise.all([send(), send(), send()]);
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201]);
    expect(new Set(answers.map(({ body }) => body.id)).size).toBe(1);
    expect(await balanceOf(card)).toBe('10');
  });
});

describe('what is sent again with its id', () => {
  it('counts once, and is answered as the first time also when it could not happen again', async () => {
    const card = await newCard('40');
    const { buildId } = await makeBuild(service, keeper);
    const id = randomUUID();
    const issue = (quantity: string) => record(card, 'issue', { id, quantity, buildId });
    const first = await issue('40').expect(201);
    expect((await issue('40').expect(201)).body).toEqual(first.body);
    expectProblem(await issue('39'), 409, 'conflict');
    expect(await balanceOf(card)).toBe('0');
    const at = { fromStoreId: card.storeId, toStoreId: (await made.store()).id };
    const move = (transferId: string, quantity: string) =>
      post('stock-transfers', {
        ...at,
        id: transferId,
        materialId: card.materialId,
        quantity,
        observedOn: TODAY,
      });
    await record(card, 'return', { quantity: '10', buildId }).expect(201);
    const transferId = randomUUID();
    const answers = await Promise.all([1, 2, 3].map(() => move(transferId, '10')));
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201]);
    expect(new Set(answers.map(({ text }) => text)).size).toBe(1);
    expectProblem(await move(transferId, '9'), 409, 'conflict');
    expect(await balanceOf({ ...card, storeId: at.toStoreId })).toBe('10');
  });
});

describe('a balance', () => {
  it('never falls below zero, and the refusal names what is there', async () => {
    const card = await newCard('40');
    const { buildId } = await makeBuild(service, keeper);
    const refused = expectProblem(
      await record(card, 'issue', { quantity: '40.000001', buildId }),
      422,
      'rule-broken',
    );
    expect(refused.rule).toBe('stock-below-zero');
    expect(refused.stock).toMatchObject({ ...card, balance: '40', wanted: '40.000001' });
    expect(refused.errors?.[0]).toMatchObject({
      pointer: '/quantity',
      rejectedValue: '40.000001',
    });
    await record(card, 'issue', { quantity: '40', buildId }).expect(201);
    expect(await balanceOf(card)).toBe('0');
  });

  it('gives the last bags to exactly one of eight who ask at once', async () => {
    const card = await newCard('50');
    const { buildId } = await makeBuild(service, keeper);
    const answers = await Promise.all(
      Array.from({ length: 8 }, () => record(card, 'issue', { quantity: '50', buildId })),
    );
    const refused = answers.filter(({ status }) => status !== 201);
    expect(refused).toHaveLength(7);
    for (const answer of refused) {
      expect(expectProblem(answer, 422, 'rule-broken')).toMatchObject({
        rule: 'stock-below-zero',
        stock: { balance: '0', wanted: '50' },
      });
    }
    expect(await balanceOf(card)).toBe('0');
  });

  it('is the sum of its entries, one after the other, whoever writes at once', async () => {
    const card = await newCard('10');
    const other = { ...card, storeId: (await made.store()).id };
    const { buildId } = await makeBuild(service, keeper);
    const move = (fromStoreId: string, toStoreId: string) =>
      post('stock-transfers', {
        fromStoreId,
        toStoreId,
        materialId: card.materialId,
        quantity: '2',
        observedOn: TODAY,
      });
    const answers = await Promise.all([
      move(card.storeId, other.storeId),
      move(other.storeId, card.storeId),
      move(card.storeId, other.storeId),
      move(other.storeId, card.storeId),
      record(card, 'issue', { quantity: '3', buildId }),
      record(card, 'issue', { quantity: '4', buildId }),
      record(card, 'receive', { quantity: '1' }),
      record(card, 'issue', { quantity: '5', buildId }),
    ]);
    for (const { status } of answers) expect([201, 422]).toContain(status);
    for (const { storeId, materialId } of [card, other]) {
      const { body } = await get(`stock-entries?storeId=${storeId}&materialId=${materialId}`);
      let running = 0;
      for (const item of body.items) {
        running += Number(item.quantity);
        expect(running).toBeGreaterThanOrEqual(0);
        expect(Number(item.balanceAfter)).toBe(running);
      }
      expect(Number((await balanceOf({ storeId, materialId })) ?? 0)).toBe(running);
    }
  });

  it('cannot be mended by changing or deleting entries', async () => {
    const card = await newCard('5');
    for (const text of [
      'update stock_entry set quantity = 6 where store_id = $1',
      'delete from stock_entry where store_id = $1',
    ]) {
      await expect(service.as(keeper, (tx) => tx.sql(text, [card.storeId]))).rejects.toThrow(
        'permission denied',
      );
    }
  });

  it('lists per store by code, and nothing of another organisation', async () => {
    const card = await newCard('5');
    await record({ ...card, materialId: (await made.material()).id }, 'receive', { quantity: '1' });
    const path = `stock-balances?storeId=${card.storeId}&limit=1`;
    const first = await get(path).expect(200);
    const second = await get(`${path}&cursor=${first.body.nextCursor}`).expect(200);
    const codes = [...first.body.items, ...second.body.items].map((item) => item.materialCode);
    expect(codes).toEqual([...codes].sort());
    expect(new Set(codes).size).toBe(2);
    const stranger = await service.person(['storekeeper']);
    expect((await get('stock-balances', stranger)).body.items).toEqual([]);
    expect((await get('stock-entries', stranger)).body.items).toEqual([]);
  });
});

describe('an entry', () => {
  it.each([
    ['receive', { quantity: '0' }, '/quantity'],
    ['receive', { quantity: '1.0000001' }, '/quantity'],
    ['receive', { quantity: '1000000000' }, '/quantity'],
    ['receive', { quantity: '1', observedOn: '2026-12-16' }, '/observedOn'],
    ['issue', { quantity: '1' }, '/buildId'],
    ['write-off', { quantity: '1', reason: ' ' }, '/reason'],
    ['count', { countedQuantity: '-1' }, '/countedQuantity'],
    ['count', { countedQuantity: '9' }, '/reason'],
    ['lend', { quantity: '1' }, '/kind'],
    ['receive', { quantity: '1', storeId: randomUUID() }, '/storeId'],
    ['receive', { quantity: '1', materialId: randomUUID() }, '/materialId'],
    ['issue', { quantity: '1', buildId: randomUUID() }, '/buildId'],
    ['receive', { quantity: '1', orderLineId: randomUUID() }, '/orderLineId'],
  ])('of the kind %s with %o is refused', async (kind, fields, pointer) => {
    const card = await newCard('5');
    const answer = await record(card, kind, fields);
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toEqual([pointer]);
    expect(await balanceOf(card)).toBe('5');
  });

  it('needs no reason for a count that agrees', async () => {
    const card = await newCard('5');
    const { body } = await record(card, 'count', { countedQuantity: '5.000' }).expect(201);
    expect(body).toMatchObject({ quantity: '0', balanceAfter: '5', reason: '' });
  });

  it('is refused for labour, for a cancelled build, and for a return above what was issued', async () => {
    const card = await newCard('20');
    const mason = await made.material({ category: 'labour', unitCode: 'DAY' });
    const labour = await record({ ...card, materialId: mason.id }, 'receive', { quantity: '1' });
    expect(expectProblem(labour, 422, 'rule-broken').rule).toBe('labour-not-stocked');
    const { buildId } = await makeBuild(service, keeper);
    await record(card, 'issue', { quantity: '5', buildId }).expect(201);
    const back = await Promise.all(
      ['3', '3', '3'].map((quantity) => record(card, 'return', { quantity, buildId })),
    );
    expect(back.map(({ status }) => status).sort()).toEqual([201, 422, 422]);
    const refused = back.find(({ status }) => status === 422);
    expect(refused?.body.rule).toBe('return-within-issued');
    await service.as(keeper, (tx) =>
      tx.sql(`update build set cancelled_on = '2026-12-01' where id = $1`, [buildId]),
    );
    const cancelled = await record(card, 'issue', { quantity: '1', buildId });
    expect(expectProblem(cancelled, 422, 'rule-broken').rule).toBe('build-cancelled');
    await record(card, 'return', { quantity: '2', buildId }).expect(201);
  });

  it('writes nothing off by one person', async () => {
    const card = await newCard('5');
    const refused = await record(card, 'write-off', { quantity: '1', reason: 'Torn' });
    expect(expectProblem(refused, 422, 'rule-broken').rule).toBe('write-off-needs-two');
    expect(await balanceOf(card)).toBe('5');
  });

  it('needs the permission', async () => {
    const supervisor = await service.person(['supervisor'], keeper.organisationId);
    const card = await newCard('1');
    await get('stock-balances', supervisor).expect(200);
    const answer = await service.http
      .post('/v1/stock-entries')
      .set(supervisor.auth)
      .send(entry(card, 'receive', { quantity: '1' }));
    expectProblem(answer, 403, 'forbidden');
  });
});

describe('a receipt for an order', () => {
  async function placedOrder(quantities: readonly string[], status = 'placed') {
    const orderId = randomUUID();
    const [programme, supplier, village, store] = [
      await made.programme(),
      await made.supplier(),
      await made.village(),
      await made.store(),
    ];
    const lines: { lineId: string; card: Card }[] = [];
    for (const _ of quantities) {
      const material = await made.material();
      lines.push({ lineId: randomUUID(), card: { storeId: store.id, materialId: material.id } });
    }
    const offers: { id: string }[] = [];
    for (const { card } of lines) {
      offers.push(await made.offer({ supplierId: supplier.id, materialId: card.materialId }));
    }
    await service.as(keeper, async (tx) => {
      await tx.sql(
        `insert into purchase_order (organisation_id, id, programme_id, supplier_id, delivery_village_id,
           code, status, currency, priced_on)
         values ($1, $2, $3, $4, $5, $6, $7, 'EUR', '2026-11-01')`,
        [
          keeper.organisationId,
          orderId,
          programme.id,
          supplier.id,
          village.id,
          `PO-${orderId.slice(0, 8)}`,
          status,
        ],
      );
      for (const [index, { lineId, card }] of lines.entries()) {
        await tx.sql(
          `insert into purchase_order_line (organisation_id, id, order_id, material_id, offer_id, unit_code,
             need_quantity, pack_code, pack_content, pack_count, ordered_quantity, rounding_quantity,
             price_per_pack, amount)
           values ($1, $2, $3, $4, $5, 'KGM', $6, 'X5M', $6, 1, $6, 0, 1, 1)`,
          [
            keeper.organisationId,
            lineId,
            orderId,
            card.materialId,
            offers[index]?.id,
            quantities[index],
          ],
        );
      }
    });
    const statusNow = () =>
      service.as(keeper, async (tx) => {
        const rows = await tx.sql<{ status: string }>(
          'select status from purchase_order where id = $1',
          [orderId],
        );
        return rows[0]?.status;
      });
    const receive = (index: number, quantity: string, fields: object = {}) => {
      const line = lines[index] as (typeof lines)[number];
      return record(line.card, 'receive', { quantity, orderLineId: line.lineId, ...fields });
    };
    return { lines, statusNow, receive };
  }

  it('brings the order to partly received and to received', async () => {
    const order = await placedOrder(['100', '50']);
    await order.receive(0, '60').expect(201);
    expect(await order.statusNow()).toBe('partly-received');
    await order.receive(0, '40').expect(201);
    expect(await order.statusNow()).toBe('partly-received');
    await order.receive(1, '50').expect(201);
    expect(await order.statusNow()).toBe('received');
  });

  // A waybill of 1,000 bags with 1,010 unloaded, excess 10: reference cases of a food-aid manual, quoted
  it('takes in more than was ordered only with a reason', async () => {
    const order = await placedOrder(['1000']);
    const refused = expectProblem(await order.receive(0, '1010'), 422, 'rule-broken');
    expect(refused.rule).toBe('received-within-ordered');
    expect(refused.detail).toContain('1000');
    expect(await order.statusNow()).toBe('placed');
    const taken = await order.receive(0, '1010', { excessReason: 'Ten bags over on the waybill' });
    expect(taken.body).toMatchObject({
      quantity: '1010',
      reason: 'Ten bags over on the waybill',
    });
    expect(await order.statusNow()).toBe('received');
  });

  it('refuses what two people together take in above the order', async () => {
    const order = await placedOrder(['100']);
    const answers = await Promise.all([1, 2, 3, 4].map(() => order.receive(0, '60')));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 422, 422, 422]);
  });

  it('refuses a draft, and another material than the line has', async () => {
    const draft = await placedOrder(['100'], 'draft');
    const refused = expectProblem(await draft.receive(0, '1'), 422, 'rule-broken');
    expect(refused.rule).toBe('order-not-placed');
    const order = await placedOrder(['100', '100']);
    const materialId = order.lines[1]?.card.materialId;
    const { errors } = expectProblem(
      await order.receive(0, '1', { materialId }),
      422,
      'invalid-content',
    );
    expect(errors?.[0]).toMatchObject({ pointer: '/materialId', rejectedValue: materialId });
  });
});
