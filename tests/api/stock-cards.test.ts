import { randomUUID } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import ExcelJs from 'exceljs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-10';

let service: TestService;
let keeper: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
  const coordinator = await service.person(['coordinator']);
  keeper = await service.person(['storekeeper'], coordinator.organisationId);
  made = recordsOf(service, coordinator);
});
afterAll(() => service.close());

const get = (path: string, who = keeper) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object) =>
  service.http.post(`/v1/${path}`).set(keeper.auth).send(body).expect(201);

/** Two lots come in, part of the first goes to another store, and the second is counted short. */
async function movedStock() {
  const [store, other] = [
    await made.store({ code: 'CARD-A' }),
    await made.store({ code: 'CARD-B' }),
  ];
  const cement = await made.material({ code: 'card-cement', lotIdentity: 'manufacture-date' });
  const common = { storeId: store.id, materialId: cement.id };
  const lots: string[] = [];
  for (const [code, manufacturedOn] of [
    ['L-1', '2026-11-02'],
    ['L-2', '2026-11-20'],
  ]) {
    lots.push((await post('stock-lots', { materialId: cement.id, code, manufacturedOn })).body.id);
  }
  const [first, second] = lots;
  const receive = { ...common, kind: 'receive', observedOn: '2026-12-01' };
  await post('stock-entries', {
    ...receive,
    quantity: '500',
    lotId: first,
    documentNumber: 'DN-7',
  });
  await post('stock-entries', { ...receive, quantity: '250.5', lotId: second });
  await post('stock-transfers', {
    fromStoreId: store.id,
    toStoreId: other.id,
    materialId: cement.id,
    quantity: '120',
    lotId: first,
    observedOn: '2026-12-03',
    documentNumber: 'TR-1',
    reason: '=SUM(A1)',
  });
  await post('stock-entries', {
    ...common,
    kind: 'count',
    countedQuantity: '240',
    lotId: second,
    observedOn: '2026-12-09',
    reason: 'A bag got wet',
  });
  return { store, other, cement };
}

const binary = (response: NodeJS.ReadableStream, done: (e: null, b: Buffer) => void) => {
  const parts: Buffer[] = [];
  response.on('data', (part: Buffer) => parts.push(part));
  response.on('end', () => done(null, Buffer.concat(parts)));
};

describe('a stock card', () => {
  it('runs the balance of the store and of each lot, with documents and lots', async () => {
    const { store, other, cement } = await movedStock();
    const path = `stores/${store.id}/stock-card`;
    const csv = await get(`${path}.csv?materialId=${cement.id}`).expect(200);
    expect(csv.headers['content-disposition']).toContain('stock-card-CARD-A-card-cement.csv');
    const lines = parse<Record<string, string>>(csv.text, { columns: true, bom: true });
    // balances by hand: 500; 500 + 250.5; 750.5 − 120; 630.5 − 10.5
    expect(
      lines.map((line) => [
        line.date,
        line.entry,
        line.document_number,
        line.lot,
        line.lot_manufactured_on,
        line.build_or_store,
        line.in,
        line.out,
        line.balance,
        line.lot_balance,
      ]),
    ).toEqual([
      ['2026-12-01', 'receive', 'DN-7', 'L-1', '2026-11-02', '', '500', '', '500', '500'],
      ['2026-12-01', 'receive', '', 'L-2', '2026-11-20', '', '250.5', '', '750.5', '250.5'],
      ['2026-12-03', 'transfer-out', 'TR-1', 'L-1', '2026-11-02', 'CARD-B'].concat([
        '',
        '120',
        '630.5',
        '380',
      ]),
      ['2026-12-09', 'count', '', 'L-2', '2026-11-20', '', '', '10.5', '620', '240'],
    ]);
    expect(lines[2]?.reason).toBe("'=SUM(A1)");
    const { body } = await get(`stock-balances?storeId=${store.id}`).expect(200);
    expect(body.items[0].quantity).toBe(lines.at(-1)?.balance);

    const xlsx = await get(`${path}.xlsx?materialId=${cement.id}`)
      .buffer(true)
      .parse(binary as never)
      .expect(200);
    const workbook = new ExcelJs.Workbook();
    await workbook.xlsx.load(xlsx.body);
    const sheet = workbook.worksheets[0];
    const header = ((sheet?.getRow(1).values ?? []) as string[]).slice(1);
    expect(header).toEqual(Object.keys(lines[0] ?? {}));
    const cell = (row: number, name: string) =>
      sheet?.getRow(row).getCell(header.indexOf(name) + 1).value;
    expect([2, 3, 4, 5].map((row) => cell(row, 'balance'))).toEqual([500, 750.5, 630.5, 620]);
    expect(cell(4, 'document_number')).toBe('TR-1');

    const there = await get(`stores/${other.id}/stock-card.csv?materialId=${cement.id}`);
    expect(parse<Record<string, string>>(there.text, { columns: true, bom: true })).toMatchObject([
      { entry: 'transfer-in', build_or_store: 'CARD-A', in: '120', balance: '120' },
    ]);
  });

  it('is of a store and a material that there are, and empty before the first entry', async () => {
    const [store, material] = [await made.store(), await made.material()];
    const path = (storeId: string, materialId: string) =>
      `stores/${storeId}/stock-card.csv?materialId=${materialId}`;
    const empty = await get(path(store.id, material.id)).expect(200);
    expect(parse(empty.text, { bom: true })).toHaveLength(1);
    expectProblem(await get(path(randomUUID(), material.id)), 404, 'not-found');
    expectProblem(await get(path(store.id, randomUUID())), 404, 'not-found');
    expectProblem(await get(`stores/${store.id}/stock-card.csv`), 422, 'invalid-content');
    const stranger = await service.person(['storekeeper']);
    expectProblem(await get(path(store.id, material.id), stranger), 404, 'not-found');
    const donor = await service.person(['donor'], keeper.organisationId);
    expectProblem(await get(path(store.id, material.id), donor), 403, 'forbidden');
  });
});
