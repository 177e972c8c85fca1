import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { ruleBroken } from '../../src/domain/errors.ts';
import { createStock } from '../../src/modules/stock/use-cases.ts';
import { makeBuild } from '../support/factories.ts';
import { lotsOf } from '../support/made-lots.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-15';

let service: TestService;
let keeper: TestPerson;
let stock: ReturnType<typeof lotsOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => TODAY } });
  keeper = await service.person(['storekeeper', 'coordinator']);
  stock = lotsOf(service, keeper, TODAY);
});
afterAll(() => service.close());

/** A store with 30 of an expired lot, 40 that expires soon, 60 that keeps longer; bought before lots: 5. */
async function cementStore() {
  const cement = await stock.made.material();
  const store = await stock.made.store();
  await stock
    .entry('receive', { storeId: store.id, materialId: cement.id, quantity: '5' })
    .expect(201);
  const path = `/v1/materials/${cement.id}`;
  const terms = { lotIdentity: 'manufacture-date', shelfLifeDays: 90 };
  await service.http.patch(path).set(keeper.auth).set('if-match', '"v1"').send(terms).expect(200);
  const old = await stock.newLot(cement.id, { code: 'OLD', manufacturedOn: '2026-09-01' });
  const soon = await stock.newLot(cement.id, { code: 'SOON', manufacturedOn: '2026-10-01' });
  const late = await stock.newLot(cement.id, { code: 'LATE', manufacturedOn: '2026-12-01' });
  await stock.receive(store.id, late, '60');
  await stock.receive(store.id, soon, '40');
  await stock.receive(store.id, old, '30');
  const { buildId } = await makeBuild(service, keeper);
  const slip = (quantity: string, fields: object = {}, line: object = {}) =>
    stock.post('stock-issues', {
      storeId: store.id,
      buildId,
      observedOn: TODAY,
      documentNumber: 'IS-7',
      lines: [{ materialId: cement.id, quantity, ...line }],
      ...fields,
    });
  const issue = (quantity: string, fields: object = {}) =>
    stock.entry('issue', {
      storeId: store.id,
      materialId: cement.id,
      quantity,
      buildId,
      ...fields,
    });
  return { cement, store, old, soon, late, buildId, slip, issue };
}

describe('an issue slip', () => {
  it('takes the first expiring lots first, what has no lot last, and none that is expired', async () => {
    const at = await cementStore();
    const { body } = await at.slip('102.5').expect(201);
    expect(
      body.entries.map((entry: { lotId: string; quantity: string }) => [
        entry.lotId,
        entry.quantity,
      ]),
    ).toEqual([
      [at.soon.id, '-40'],
      [at.late.id, '-60'],
      [null, '-2.5'],
    ]);
    expect(await stock.lotBalances(at.store.id)).toEqual({ OLD: '30', none: '2.5' });
    expect((await stock.get(`stock-issues/${body.id}`).expect(200)).body).toEqual(body);
    expectProblem(await stock.get(`stock-issues/${randomUUID()}`), 404, 'not-found');
  });

  it('is refused whole, naming lot, date and rule, when only an expired lot would do', async () => {
    const at = await cementStore();
    const refused = expectProblem(await at.slip('110'), 422, 'rule-broken');
    expect(refused.rule).toBe('lot-expired');
    expect(refused.detail).toMatch(/Lot OLD was usable until 2026-11-30/);
    expect(refused.errors?.[0]).toMatchObject({ pointer: '/lines/0/quantity' });
    const named = await at.slip('1', {}, { lotId: at.old.id });
    const why = expectProblem(named, 422, 'rule-broken');
    expect(why).toMatchObject({ rule: 'lot-expired', lots: [{ code: 'OLD' }] });
    expect(why.errors?.[0]).toMatchObject({ pointer: '/lines/0/lotId', rejectedValue: at.old.id });
    expect(await stock.lotBalances(at.store.id)).toEqual({
      LATE: '60',
      OLD: '30',
      SOON: '40',
      none: '5',
    });
  });

  it('writes nothing of its first line when a later one is short', async () => {
    const at = await cementStore();
    const sand = await stock.made.material();
    const lines = [
      { materialId: at.cement.id, quantity: '10' },
      { materialId: sand.id, quantity: '1' },
    ];
    const refused = expectProblem(await at.slip('1', { lines }), 422, 'rule-broken');
    expect(refused).toMatchObject({
      rule: 'stock-below-zero',
      stock: { materialCode: sand.code, balance: '0', wanted: '1' },
    });
    expect(refused.errors?.[0]?.pointer).toBe('/lines/1/quantity');
    expect((await stock.lotBalances(at.store.id)).SOON).toBe('40');
  });

  it('counts once when it is sent again with its id, at once or later', async () => {
    const at = await cementStore();
    const id = randomUUID();
    const answers = await Promise.all([1, 2, 3].map(() => at.slip('50', { id })));
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201]);
    expect(answers[1]?.body).toEqual(answers[0]?.body);
    expect(await stock.lotBalances(at.store.id)).toMatchObject({ LATE: '50', none: '5' });
    const other = await at.slip('51', { id });
    expectProblem(other, 409, 'conflict');
  });

  it('gives the last bags to exactly one of two, and tells the other the balance', async () => {
    const at = await cementStore();
    await at.slip('5', {}, { lotId: null }).expect(201);
    const answers = await Promise.all([at.slip('100'), at.slip('100')]);
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 422]);
    const refused = answers.find(({ status }) => status === 422);
    expect(refused?.body).toMatchObject({ rule: 'stock-below-zero', stock: { balance: '30' } });
  });

  it('waits for nobody crosswise: slips of the same materials in both orders all end', async () => {
    const [a, b] = [await stock.made.material(), await stock.made.material()];
    const store = await stock.made.store();
    for (const { id } of [a, b]) {
      await stock
        .entry('receive', { storeId: store.id, materialId: id, quantity: '40' })
        .expect(201);
    }
    const { buildId } = await makeBuild(service, keeper);
    const before = service.db.retryCount();
    const answers = await Promise.all(
      Array.from({ length: 8 }, (_, turn) =>
        stock.post('stock-issues', {
          storeId: store.id,
          buildId,
          observedOn: TODAY,
          lines: (turn % 2 ? [a, b] : [b, a]).map(({ id }) => ({ materialId: id, quantity: '5' })),
        }),
      ),
    );
    expect(answers.map(({ status }) => status)).toEqual(Array(8).fill(201));
    expect(await stock.lotBalances(store.id)).toEqual({});
    // a deadlock would have been run again
    expect(service.db.retryCount()).toBe(before);
  });

  it.each([
    [{ lines: [] }, '/lines'],
    [{ observedOn: '2026-12-16' }, '/observedOn'],
    [{ storeId: randomUUID() }, '/storeId'],
    [{ buildId: randomUUID() }, '/buildId'],
    [{ lines: [{ materialId: randomUUID(), quantity: '1' }] }, '/lines/0/materialId'],
  ])('with %o is refused', async (fields, pointer) => {
    const at = await cementStore();
    const { errors } = expectProblem(await at.slip('1', fields), 422, 'invalid-content');
    expect(errors?.map((error) => error.pointer)).toEqual([pointer]);
  });

  it('asks whether materials may go to the village', async () => {
    const at = await cementStore();
    const asked: string[][] = [];
    const gate = {
      async requireOpen(_: unknown, ...which: string[]) {
        asked.push(which);
        throw ruleBroken('gate-closed', 'No sand yet.');
      },
    };
    const gated = createStock({ clock: { ...systemClock, today: () => TODAY }, gate });
    const card = { storeId: at.store.id, materialId: at.cement.id };
    const one = { quantity: '1', observedOn: TODAY, documentNumber: '', buildId: at.buildId };
    const closed = { details: { rule: 'gate-closed' } };
    const slip = { ...one, ...card, lines: [{ ...card, ...one }] };
    await expect(service.as(keeper, (tx) => gated.issue(tx, slip))).rejects.toMatchObject(closed);
    const entry = { ...one, ...card, kind: 'issue' as const };
    await expect(service.as(keeper, (tx) => gated.record(tx, entry))).rejects.toMatchObject(closed);
    const [place] = await service.as(keeper, (tx) =>
      tx.sql<{ village_id: string; programme_id: string }>(
        'select village_id, programme_id from build where id = $1',
        [at.buildId],
      ),
    );
    expect(asked).toEqual(Array(2).fill([place?.village_id, place?.programme_id]));
  });
});

describe('an issue of one line', () => {
  it('takes the first expiring lot that alone suffices, and says when it takes a slip', async () => {
    const at = await cementStore();
    expect((await at.issue('50').expect(201)).body.lotId).toBe(at.late.id);
    expect((await at.issue('40').expect(201)).body.lotId).toBe(at.soon.id);
    const refused = expectProblem(await at.issue('12'), 422, 'rule-broken');
    expect(refused.rule).toBe('issue-of-several-lots');
    expect(refused.detail).toContain('10 of LATE and 2 of without a lot');
    const short = expectProblem(await at.issue('200'), 422, 'rule-broken');
    expect(short).toMatchObject({ rule: 'stock-below-zero', stock: { balance: '45' } });
  });

  it('takes no more of a lot, or of what has none, than there is', async () => {
    const at = await cementStore();
    const ofLot = expectProblem(await at.issue('40.5', { lotId: at.soon.id }), 422, 'rule-broken');
    expect(ofLot).toMatchObject({ rule: 'stock-below-zero', stock: { lotCode: 'SOON' } });
    const ofNone = expectProblem(await at.issue('6', { lotId: null }), 422, 'rule-broken');
    expect(ofNone).toMatchObject({
      rule: 'stock-below-zero',
      stock: { lotId: null, balance: '5' },
    });
  });

  it('is returned to the lot that it came from', async () => {
    const at = await cementStore();
    await at.slip('50').expect(201);
    const back = (quantity: string, fields: object = {}) =>
      stock.entry('return', {
        storeId: at.store.id,
        materialId: at.cement.id,
        quantity,
        buildId: at.buildId,
        ...fields,
      });
    const unnamed = expectProblem(await back('5'), 422, 'invalid-content');
    expect(unnamed.errors).toMatchObject([{ pointer: '/lotId', code: 'lot.missing' }]);
    const above = await back('11', { lotId: at.late.id });
    expect(expectProblem(above, 422, 'rule-broken').rule).toBe('return-within-issued');
    await back('10', { lotId: at.late.id }).expect(201);
    expect((await back('5').expect(201)).body.lotId).toBe(at.soon.id);
    expect(await stock.lotBalances(at.store.id)).toEqual({
      LATE: '60',
      OLD: '30',
      SOON: '5',
      none: '5',
    });
  });
});

describe('a count', () => {
  it('names its lot where the store holds lots, and says why it differs', async () => {
    const at = await cementStore();
    const count = (countedQuantity: string, fields: object = {}) =>
      stock.entry('count', {
        storeId: at.store.id,
        materialId: at.cement.id,
        countedQuantity,
        ...fields,
      });
    const unnamed = expectProblem(await count('135'), 422, 'invalid-content');
    expect(unnamed.errors).toMatchObject([{ pointer: '/lotId', code: 'lot.missing' }]);
    const silent = expectProblem(await count('39', { lotId: at.soon.id }), 422, 'invalid-content');
    expect(silent.errors?.[0]).toMatchObject({ pointer: '/reason' });
    const { body } = await count('39', { lotId: at.soon.id, reason: 'One bag torn' }).expect(201);
    expect(body).toMatchObject({ quantity: '-1', lotId: at.soon.id, balanceAfter: '134' });
    await count('7', { lotId: null, reason: 'Found behind the door' }).expect(201);
    expect(await stock.lotBalances(at.store.id)).toMatchObject({ SOON: '39', none: '7' });
  });
});

describe('a transfer', () => {
  it('carries its lot, and moves a lot that may not be used only by name', async () => {
    const at = await cementStore();
    const yard = await stock.made.store();
    const move = (quantity: string, fields: object = {}) =>
      stock.post('stock-transfers', {
        fromStoreId: at.store.id,
        toStoreId: yard.id,
        materialId: at.cement.id,
        quantity,
        observedOn: TODAY,
        ...fields,
      });
    await move('40').expect(201);
    await move('30', { lotId: at.old.id }).expect(201);
    const again = await move('1', { lotId: at.old.id });
    expect(expectProblem(again, 422, 'rule-broken').rule).toBe('stock-below-zero');
    expect(await stock.lotBalances(yard.id)).toEqual({ OLD: '30', SOON: '40' });
  });
});
