import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { materialImportWithPreview } from '../../shared/contract/material-import.ts';
import { workbook } from '../support/archive.ts';
import { makeBuild } from '../support/factories.ts';
import { clearBill, makeBuildWithBill } from '../support/made-bills.ts';
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
const HEADER =
  'order_code,note_number,dispatched_on,received_on,store_code,material_code,dispatched,good,damaged,missing,excess,lot_code,manufactured_on,certificate_number';

let service: TestService;
let coordinator: TestPerson;
let keeper: TestPerson;

beforeAll(async () => {
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

/** A placed order of 1,000 kg of cement, which goes by lots, and 20 kg of wire, which does not. */
async function placedOrder() {
  coordinator = await service.person(['coordinator', 'storekeeper']);
  keeper = await service.person(['storekeeper'], coordinator.organisationId);
  const approver = await service.person(['coordinator'], coordinator.organisationId);
  const made = recordsOf(service, coordinator);
  const like = await makeBuild(service, coordinator);
  await clearBill(service, coordinator, like.buildId);
  const store = await made.store({ code: 'ST-1' });
  const supplierId = (await made.supplier()).id;
  const cement = await made.material({
    code: 'grey-cement',
    shelfLifeDays: 90,
    lotIdentity: 'manufacture-date',
  });
  const wire = await made.material({ code: 'tie-wire', category: 'steel' });
  for (const { id } of [cement, wire]) {
    await made.offer({ supplierId, materialId: id, packContent: '10' });
  }
  await makeBuildWithBill(service, coordinator, like, like.villageId, [
    { materialId: cement.id, quantity: '1000' },
    { materialId: wire.id, quantity: '20' },
  ]);
  const plan = await post(`programmes/${like.programmeId}/order-plans`, {
    pricedOn: '2026-11-02',
  }).expect(201);
  const { id, code } = plan.body.orders[0];
  await post(`orders/${id}/decisions`, { decision: 'approved' }, approver).expect(201);
  await post(`orders/${id}/placements`, { placedOn: '2026-11-05' }).expect(200);
  return { id: id as string, code: code as string, store, cement, wire };
}

const send = (
  file: string | Buffer,
  query: Record<string, string> = {},
  { type = CSV, person = keeper } = {},
) => service.http.post('/v1/receipt-imports').query(query).set(person.auth).type(type).send(file);

async function dryRun(file: string | Buffer, type = CSV) {
  const answer = await send(file, {}, { type });
  expect(answer.status, answer.text).toBe(201);
  return materialImportWithPreview.parse(answer.body);
}

const apply = (file: string | Buffer, planHash: string, type = CSV) =>
  send(file, { mode: 'apply', planHash }, { type });

const list = (...rows: string[]) => [HEADER, ...rows].join('\n');

/** The published delivery: 1,000 sent, 975 unloaded of which 7 unfit; parted here over two lots. */
const delivery = (code: string) => [
  `${code},DN-1,2026-11-20,2026-11-24,ST-1,grey-cement,600,568,7,25,,L-1,2026-11-02,`,
  `${code},DN-1,2026-11-20,2026-11-24,ST-1,grey-cement,400,400,,,,L-2,2026-11-10,`,
  `${code},DN-1,2026-11-20,2026-11-24,ST-1,tie-wire,10,12,,,2,,,`,
];

const balancesOf = async (storeId: string) => {
  const { body } = await get(`stock-lot-balances?storeId=${storeId}`).expect(200);
  return Object.fromEntries(
    body.items.map((item: { lotCode: string | null; materialCode: string; quantity: string }) => [
      item.lotCode ?? item.materialCode,
      item.quantity,
    ]),
  );
};

const faultsOf = ({ errors }: { errors: { line: number; column: string; code: string }[] }) =>
  errors.map(({ line, column, code }) => `${line} ${column} ${code}`);

describe('a list of receipts', () => {
  it('makes notes and receipts as by hand, with stock by lot and claims', async () => {
    const { id, code, store } = await placedOrder();
    const file = list(...delivery(code));
    const plan = await dryRun(file);
    expect(plan).toMatchObject({ kind: 'receipt', state: 'checked', rowCount: 3, createdCount: 3 });
    expect(plan.preview.map(({ label }) => label)).toEqual([
      `${code} DN-1 grey-cement L-1`,
      `${code} DN-1 grey-cement L-2`,
      `${code} DN-1 tie-wire`,
    ]);
    expect((await get(`orders/${id}/delivery-notes`)).body.items).toEqual([]);
    expect(await balancesOf(store.id)).toEqual({});
    const applied = await apply(file, plan.planHash);
    expect(applied.status, applied.text).toBe(201);
    expect(await balancesOf(store.id)).toEqual({ 'L-1': '568', 'L-2': '400', 'tie-wire': '12' });
    const { items } = (await get(`receipts?orderId=${id}`).expect(200)).body;
    expect(items).toHaveLength(1);
    const receipt = (await get(`receipts/${items[0].id}`).expect(200)).body;
    const cementLine = receipt.lines.find(
      (line: { materialCode: string }) => line.materialCode === 'grey-cement',
    );
    // CARE manual of 1998: good 968, damaged 7, missing 25 of 1,000
    expect(cementLine).toMatchObject({
      dispatchedQuantity: '1000',
      goodQuantity: '968',
      damagedQuantity: '7',
      missingQuantity: '25',
      excessQuantity: '0',
    });
    expect(receipt.claims.map((claim: { kind: string }) => claim.kind).sort()).toEqual([
      'damaged',
      'excess',
      'missing',
    ]);
    const again = await dryRun(file);
    expect(faultsOf(again)).toEqual(['2  delivery-note-received-once']);
  });

  it('receives a note that is on record, as it is on record, from a workbook too', async () => {
    const { id, code, store } = await placedOrder();
    const order = (await get(`orders/${id}`).expect(200)).body;
    const wireLine = order.lines.find(
      (line: { materialCode: string }) => line.materialCode === 'tie-wire',
    );
    await post(
      `orders/${id}/delivery-notes`,
      {
        noteNumber: 'DN-9',
        dispatchedOn: '2026-11-20',
        lines: [{ orderLineId: wireLine.id, dispatchedQuantity: '20' }],
      },
      keeper,
    ).expect(201);
    const row = (sent: number, day = '2026-11-20') => [
      ...[code, 'DN-9', new Date(`${day}T00:00:00Z`), new Date('2026-11-24T00:00:00Z'), 'ST-1'],
      ...['tie-wire', sent, sent],
    ];
    const other = await dryRun(await workbook([HEADER.split(','), row(19)]), XLSX);
    expect(faultsOf(other)).toEqual(['2 dispatched note.differs']);
    const otherDay = await workbook([HEADER.split(','), row(20, '2026-11-19')]);
    expect(faultsOf(await dryRun(otherDay, XLSX))).toEqual(['2 dispatched_on note.differs']);
    const file = await workbook([HEADER.split(','), row(20)]);
    const plan = await dryRun(file, XLSX);
    await apply(file, plan.planHash, XLSX).expect(201);
    expect(await balancesOf(store.id)).toEqual({ 'tie-wire': '20' });
    expect((await get(`orders/${id}/delivery-notes`)).body.items).toHaveLength(1);
  });

  it('names every bad row, and receives none', async () => {
    const { code, store } = await placedOrder();
    const at = (note: string, rest: string) => `${code},${note},2026-11-20,2026-11-24,${rest}`;
    const file = list(
      'PO-0,DN-1,2026-11-20,2026-11-24,ST-1,tie-wire,10,10,,,,,,',
      at('DN-2', 'ST-9,tie-wire,10,10,,,,,,'),
      at('DN-3', 'ST-1,tie-wir,10,10,,,,,,'),
      at('DN-4', 'ST-1,tie-wire,10,9,,,,,,'),
      at('DN-5', 'ST-1,grey-cement,50,50,,,,,,'),
      at('DN-6', 'ST-1,grey-cement,50,50,,,,L-9,,'),
      at('DN-7', 'ST-1,tie-wire,5,5,,,,,,'),
      at('DN-7', 'ST-1,grey-cement,50,50,,,,L-7,2026-11-02,').replace('2026-11-24', '2026-11-25'),
      at('DN-8', 'ST-1,tie-wire,5,-5,,,,,,'),
      at('DN-10', 'ST-1,tie-wire,5,5,,,,,,').replace('2026-11-24', '2026-11-19'),
    );
    const plan = await dryRun(file);
    expect(faultsOf(plan)).toEqual([
      '2 order_code order.unknown',
      '3 store_code store.unknown',
      '4 material_code material.unknown',
      '5 missing receipt.adds-up',
      '6 lot_code lot.missing',
      '7 manufactured_on lot.identity-missing',
      '9 received_on note.differs',
      '10 good value.out-of-range',
      '11 received_on date.out-of-range',
    ]);
    expectProblem(await apply(file, plan.planHash), 422, 'invalid-content');
    expect(await balancesOf(store.id)).toEqual({});
  });

  it('is not applied when the order moved since the dry run, and is the storekeeper’s', async () => {
    const { id, code } = await placedOrder();
    const file = list(...delivery(code));
    const plan = await dryRun(file);
    await post(
      `orders/${id}/delivery-notes`,
      {
        noteNumber: 'DN-1',
        dispatchedOn: '2026-11-20',
        lines: (await get(`orders/${id}`)).body.lines.map(
          (line: { id: string; materialCode: string }) => ({
            orderLineId: line.id,
            dispatchedQuantity: line.materialCode === 'tie-wire' ? '10' : '1000',
          }),
        ),
      },
      keeper,
    ).expect(201);
    const conflict = expectProblem(await apply(file, plan.planHash), 409, 'conflict');
    expect(conflict.detail).toContain('Orders, delivery notes');
    const supervisor = await service.person(['supervisor'], coordinator.organisationId);
    expectProblem(await send(file, {}, { person: supervisor }), 403, 'forbidden');
    const stranger = await service.person(['storekeeper']);
    expectProblem(await get(`receipt-imports/${plan.id}`, stranger), 404, 'not-found');
  });
});
