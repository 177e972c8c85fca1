import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { materialImportWithPreview } from '../../shared/contract/material-import.ts';
import { workbook } from '../support/archive.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-10';
const CSV = 'text/csv';
const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';
const HEADER = 'store_code,material_code,lot_code,counted_quantity,observed_on,reason';

let service: TestService;
let coordinator: TestPerson;
let keeper: TestPerson;

beforeAll(async () => {
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
});
afterAll(() => service.close());

const get = (path: string, who = keeper) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = keeper) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

/** An organisation with a store that holds wire without lots and cement in two lots. */
async function newStore() {
  coordinator = await service.person(['coordinator']);
  keeper = await service.person(['storekeeper'], coordinator.organisationId);
  const made = recordsOf(service, coordinator);
  const store = await made.store({ code: 'ST-1' });
  const wire = await made.material({ code: 'wire', category: 'steel' });
  const cement = await made.material({
    code: 'cement',
    shelfLifeDays: 90,
    lotIdentity: 'manufacture-date',
  });
  const receive = (materialId: string, quantity: string, lotId?: string) =>
    post('stock-entries', {
      kind: 'receive',
      storeId: store.id,
      materialId,
      quantity,
      observedOn: '2026-12-01',
      ...(lotId ? { lotId } : {}),
    }).expect(201);
  const lot = async (code: string) => {
    const body = { materialId: cement.id, code, manufacturedOn: '2026-11-15' };
    return (await post('stock-lots', body).expect(201)).body.id as string;
  };
  await receive(wire.id, '120');
  await receive(cement.id, '500', await lot('L-1'));
  await receive(cement.id, '300', await lot('L-2'));
  return { made, store, wire, cement };
}

const send = (
  file: string | Buffer,
  query: Record<string, string> = {},
  { type = CSV, person = keeper } = {},
) =>
  service.http.post('/v1/stock-count-imports').query(query).set(person.auth).type(type).send(file);

async function dryRun(file: string | Buffer, type = CSV) {
  const answer = await send(file, {}, { type });
  expect(answer.status, answer.text).toBe(201);
  return materialImportWithPreview.parse(answer.body);
}

const apply = (file: string | Buffer, planHash: string, type = CSV) =>
  send(file, { mode: 'apply', planHash }, { type });

const sheet = (...rows: string[]) => [HEADER, ...rows].join('\n');

const balancesOf = async (storeId: string) => {
  const { body } = await get(`stock-balances?storeId=${storeId}`).expect(200);
  return Object.fromEntries(
    body.items.map((item: { materialCode: string; quantity: string }) => [
      item.materialCode,
      item.quantity,
    ]),
  );
};

const faultsOf = ({ errors }: { errors: { line: number; column: string; code: string }[] }) =>
  errors.map(({ line, column, code }) => `${line} ${column} ${code}`);

const GOOD = sheet(
  'ST-1,wire,,"117,5",2026-12-09,Coil cut for a fence',
  'ST-1,cement,L-1,450,2026-12-09,One bag torn',
  'ST-1,cement,L-2,300,2026-12-09,',
);

describe('a count sheet', () => {
  it('says what would change, then sets the balances of the ledger', async () => {
    const { store, wire } = await newStore();
    const plan = await dryRun(GOOD);
    expect(plan).toMatchObject({
      kind: 'stock-count',
      state: 'checked',
      updatedCount: 2,
      unchangedCount: 1,
    });
    expect(plan.preview).toMatchObject([
      {
        line: 2,
        label: 'ST-1 wire',
        action: 'update',
        changes: [{ field: 'quantity', from: '120', to: '117.5' }],
      },
      { label: 'ST-1 cement L-1', changes: [{ from: '500', to: '450' }] },
      { label: 'ST-1 cement L-2', action: 'unchanged', changes: [] },
    ]);
    expect(await balancesOf(store.id)).toEqual({ wire: '120', cement: '800' });
    const applied = await apply(GOOD, plan.planHash);
    expect(applied.status, applied.text).toBe(201);
    expect(await balancesOf(store.id)).toEqual({ wire: '117.5', cement: '750' });
    const card = await get(`stock-entries?storeId=${store.id}&materialId=${wire.id}`).expect(200);
    expect(card.body.items).toHaveLength(2);
    expect(card.body.items.find((entry: { kind: string }) => entry.kind === 'count')).toMatchObject(
      { quantity: '-2.5', reason: 'Coil cut for a fence', observedOn: '2026-12-09' },
    );
    const again = await dryRun(GOOD);
    expect(again).toMatchObject({ updatedCount: 0, unchangedCount: 3 });
  });

  it('comes as a workbook too', async () => {
    const { store } = await newStore();
    const file = await workbook([
      HEADER.split(','),
      ['ST-1', 'wire', null, 100, new Date('2026-12-09T00:00:00Z'), 'Lent to the school'],
    ]);
    const plan = await dryRun(file, XLSX);
    await apply(file, plan.planHash, XLSX).expect(201);
    expect(await balancesOf(store.id)).toMatchObject({ wire: '100' });
  });

  it('names every bad row by the rules of the ledger, and counts none', async () => {
    const { store } = await newStore();
    const file = sheet(
      'ST-2,wire,,1,2026-12-09,x',
      'ST-1,wir,,1,2026-12-09,x',
      'ST-1,cement,L-9,1,2026-12-09,x',
      'ST-1,cement,,1,2026-12-09,x',
      'ST-1,wire,,117,2026-12-09,',
      'ST-1,wire,,118,2026-12-11,x',
      'ST-1,cement,L-1,-5,2026-12-09,x',
      'ST-1,cement,L-1,five,2026-12-09,x',
      'ST-1,cement,L-2,299,2026-12-09,x',
      'ST-1,cement,L-2,298,2026-12-09,x',
    );
    const plan = await dryRun(file);
    expect(faultsOf(plan)).toEqual([
      '2 store_code store.unknown',
      '3 material_code material.unknown',
      '4 lot_code lot.unknown',
      '5 lot_code lot.missing',
      '6 reason reason.missing',
      '7 material_code row.duplicate',
      '8 counted_quantity value.out-of-range',
      '9 counted_quantity number.unreadable',
      '11 material_code row.duplicate',
    ]);
    const refused = expectProblem(await apply(file, plan.planHash), 422, 'invalid-content');
    expect(refused.errors).toHaveLength(9);
    expect(await balancesOf(store.id)).toEqual({ wire: '120', cement: '800' });
    const tomorrow = await dryRun(sheet('ST-1,wire,,118,2026-12-11,x'));
    expect(faultsOf(tomorrow)).toEqual(['2 observed_on date.in-future']);
  });

  it('is not applied when the stock moved since the dry run', async () => {
    const { store, wire } = await newStore();
    const plan = await dryRun(GOOD);
    await post('stock-entries', {
      kind: 'receive',
      storeId: store.id,
      materialId: wire.id,
      quantity: '10',
      observedOn: TODAY,
    }).expect(201);
    const conflict = expectProblem(await apply(GOOD, plan.planHash), 409, 'conflict');
    expect(conflict.detail).toContain('Balances');
    expect(await balancesOf(store.id)).toMatchObject({ wire: '130' });
  });

  it('is sent by who keeps the stock', async () => {
    await newStore();
    expectProblem(await send(GOOD, {}, { person: coordinator }), 403, 'forbidden');
    const { id } = await dryRun(GOOD);
    const stranger = await service.person(['storekeeper']);
    expectProblem(await get(`stock-count-imports/${id}`, stranger), 404, 'not-found');
    // an import of one kind is not one of another
    expectProblem(await get(`price-list-imports/${id}`, coordinator), 404, 'not-found');
  });
});
