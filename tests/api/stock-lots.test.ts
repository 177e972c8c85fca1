import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { postReceipt } from '../../src/modules/stock/post-receipt.ts';
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

describe('a lot', () => {
  // 90 days in store, then a test (a cement maker's storage note, quoted): 2 September + 90 days
  it('of cement expires as many days after its manufacture as the material keeps', async () => {
    const cement = await stock.cement();
    const lot = await stock.newLot(cement.id, { code: 'C-1', manufacturedOn: '2026-09-02' });
    expect(lot).toMatchObject({
      materialCode: cement.code,
      expiresOn: '2026-12-01',
      usableUntil: '2026-12-01',
      state: 'expired',
      rule: 'lot-expired',
      inStoresQuantity: '0',
      tests: [],
      recalls: [],
    });
    // 104 days = 3.417 months: 0.8 less 0.417 of the 0.1 to the next row of the table
    expect(lot.strengthLeftRatio).toBeCloseTo(0.7861, 3);
    const listed = await stock.get(`stock-lots?materialId=${cement.id}&code=C-1`).expect(200);
    expect(listed.body.items).toMatchObject([{ id: lot.id, state: 'expired' }]);
    const again = await stock.post('stock-lots', {
      materialId: cement.id,
      code: 'C-1',
      manufacturedOn: TODAY,
    });
    expectProblem(again, 409, 'conflict');
  });

  it('of a binder whose days are not said keeps 90, and of anything else keeps', async () => {
    const told = { lotIdentity: 'manufacture-date' };
    const manufacturedOn = '2026-09-02';
    const binder = await stock.made.material(told);
    const lot = await stock.newLot(binder.id, { manufacturedOn });
    expect(lot.expiresOn).toBe('2026-12-01');
    const paint = await stock.made.material({ ...told, category: 'finish' });
    const kept = await stock.newLot(paint.id, { manufacturedOn });
    expect(kept).toMatchObject({ expiresOn: null, state: 'usable', strengthLeftRatio: null });
  });

  it('says what it lacks of its identity, by the field', async () => {
    const cement = await stock.cement();
    const undated = await stock.post('stock-lots', { materialId: cement.id, code: 'C-2' });
    expect(expectProblem(undated, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/manufacturedOn', code: 'lot.identity-missing' },
    ]);
    const strips = await stock.made.material({
      category: 'bamboo',
      lotIdentity: 'treatment-certificate',
    });
    const bare = await stock.post('stock-lots', { materialId: strips.id, code: 'B-1' });
    expect(expectProblem(bare, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/certificateNumber', code: 'lot.identity-missing' },
    ]);
    const treated = await stock.newLot(strips.id, {
      code: 'B-1',
      certificateNumber: 'TC-9',
      manufacturedOn: undefined,
      treatedOn: '2026-11-03',
    });
    expect(treated).toMatchObject({
      state: 'usable',
      usableUntil: null,
      certificateNumber: 'TC-9',
    });
    const tomorrow = { materialId: cement.id, code: 'C-3', manufacturedOn: '2026-12-16' };
    expect(
      expectProblem(await stock.post('stock-lots', tomorrow), 422, 'invalid-content').errors,
    ).toMatchObject([{ pointer: '/manufacturedOn', rejectedValue: '2026-12-16' }]);
    const nobody = { materialId: randomUUID(), code: 'C-4' };
    expect(
      expectProblem(await stock.post('stock-lots', nobody), 422, 'invalid-content').errors,
    ).toMatchObject([{ pointer: '/materialId' }]);
  });

  it('is used again after a test that passed, and not after one that failed', async () => {
    const cement = await stock.cement();
    const lot = await stock.newLot(cement.id, { manufacturedOn: '2026-08-01' });
    const test = (fields: object) =>
      stock.post(`stock-lots/${lot.id}/tests`, { method: 'Cubes at 7 days', ...fields });
    await test({ testedOn: '2026-12-10', outcome: 'passed', usableUntil: '2027-01-10' }).expect(
      201,
    );
    const state = async () => (await stock.get(`stock-lots/${lot.id}`).expect(200)).body;
    expect(await state()).toMatchObject({ state: 'usable', usableUntil: '2027-01-10' });
    await test({ testedOn: '2026-12-12', outcome: 'failed' }).expect(201);
    expect(await state()).toMatchObject({ state: 'failed-test', rule: 'lot-failed-test' });
    const late = await test({ testedOn: TODAY, outcome: 'passed', usableUntil: TODAY });
    expect(expectProblem(late, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/usableUntil', rejectedValue: TODAY },
    ]);
    const future = await test({ testedOn: '2026-12-16', outcome: 'failed' });
    expect(expectProblem(future, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/testedOn' },
    ]);
  });

  it('belongs to its organisation', async () => {
    const lot = await stock.newLot((await stock.cement()).id);
    const stranger = await service.person(['storekeeper', 'coordinator']);
    for (const path of [`stock-lots/${lot.id}`, `stock-lots/${lot.id}/trace`]) {
      expectProblem(await stock.get(path, stranger), 404, 'not-found');
    }
    const recall = { recalledOn: TODAY, reason: 'Not mine' };
    const foreign = await stock.post(`stock-lots/${lot.id}/recalls`, recall, stranger);
    expectProblem(foreign, 404, 'not-found');
  });
});

describe('the receipt of a lot', () => {
  it('needs it for a material whose lots are told apart, of that material', async () => {
    const [cement, sand] = [await stock.cement(), await stock.made.material()];
    const storeId = (await stock.made.store()).id;
    const receive = (fields: object) =>
      stock.entry('receive', { storeId, materialId: cement.id, quantity: '50', ...fields });
    expect(expectProblem(await receive({}), 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lotId', code: 'lot.missing' },
    ]);
    const other = await stock.newLot(sand.id);
    expect(
      expectProblem(await receive({ lotId: other.id }), 422, 'invalid-content').errors,
    ).toMatchObject([{ pointer: '/lotId', code: 'lot.other-material' }]);
    expect(
      expectProblem(await receive({ lotId: randomUUID() }), 422, 'invalid-content').errors,
    ).toMatchObject([{ pointer: '/lotId', code: 'reference.unknown' }]);
    const lot = await stock.newLot(cement.id, { code: 'R-1' });
    await receive({ lotId: lot.id }).expect(201);
    expect(await stock.lotBalances(storeId)).toEqual({ 'R-1': '50' });
  });

  async function orderedLine(materialId: string) {
    const [programme, supplier, village, offer] = [
      await stock.made.programme(),
      await stock.made.supplier({ name: 'Invented cement works' }),
      await stock.made.village(),
      await stock.made.offer({ materialId }),
    ];
    const [orderId, orderLineId, noteId, receiptId, receiptLineId] = Array.from({ length: 5 }, () =>
      randomUUID(),
    ) as [string, string, string, string, string];
    const org = keeper.organisationId;
    const storeId = (await stock.made.store()).id;
    await service.as(keeper, async (tx) => {
      await tx.sql(
        `insert into purchase_order (organisation_id, id, programme_id, supplier_id, delivery_village_id, code, status,
           currency, priced_on) values ($1, $2, $3, $4, $5, $6, 'placed', 'EUR', '2026-11-01')`,
        [org, orderId, programme.id, supplier.id, village.id, `PO-${orderId.slice(0, 8)}`],
      );
      await tx.sql(
        `insert into purchase_order_line (organisation_id, id, order_id, material_id, offer_id, unit_code, need_quantity,
           pack_code, pack_content, pack_count, ordered_quantity, rounding_quantity, price_per_pack, amount)
         values ($1, $2, $3, $4, $5, 'KGM', 100, 'X5M', 50, 2, 100, 0, 7, 14)`,
        [org, orderLineId, orderId, materialId, offer.id],
      );
      await tx.sql(
        `insert into delivery_note (organisation_id, id, order_id, note_number, dispatched_on, recorded_by_id)
         values ($1, $2, $3, 'DN-1', '2026-12-01', $4)`,
        [org, noteId, orderId, keeper.personId],
      );
      await tx.sql(
        `insert into goods_receipt (organisation_id, id, order_id, delivery_note_id, store_id, receipt_number, received_on,
           received_by_id) values ($1, $2, $3, $4, $5, $6, '2026-12-02', $7)`,
        [org, receiptId, orderId, noteId, storeId, `GR-${orderId.slice(0, 8)}`, keeper.personId],
      );
      await tx.sql(
        `insert into goods_receipt_line (organisation_id, id, receipt_id, order_line_id, dispatched_quantity, good_quantity)
         values ($1, $2, $3, $4, 100, 100)`,
        [org, receiptLineId, receiptId, orderLineId],
      );
    });
    return { storeId, orderId, orderLineId, receiptId, receiptLineId, supplier };
  }

  it('of an order makes the lot known once and leads from the trace back to order and supplier', async () => {
    const cement = await stock.cement();
    const line = await orderedLine(cement.id);
    const { storeId, orderLineId, receiptLineId } = line;
    const lines = [
      {
        receiptLineId,
        orderLineId,
        materialId: cement.id,
        quantity: '60',
        lot: { code: 'PO-LOT', manufacturedOn: '2026-11-20' },
      },
      {
        receiptLineId,
        orderLineId,
        materialId: cement.id,
        quantity: '40',
        lot: { code: 'PO-LOT' },
      },
    ];
    const receipt = { storeId, receivedOn: '2026-12-02', documentNumber: 'DN-1', lines };
    const entries = await service.as(keeper, (tx) => postReceipt(tx, receipt));
    expect(entries.map(({ quantity, balanceAfter }) => [quantity, balanceAfter])).toEqual([
      ['60', '60'],
      ['40', '100'],
    ]);
    const { body } = await stock.get(`stock-lots/${entries[0]?.lotId}/trace`).expect(200);
    expect(body).toMatchObject({
      lot: { code: 'PO-LOT', expiresOn: '2027-02-18' },
      receivedQuantity: '100',
      inStoresQuantity: '100',
    });
    expect(body.receipts).toHaveLength(2);
    expect(body.receipts[0]).toMatchObject({
      orderId: line.orderId,
      receiptId: line.receiptId,
      supplierId: line.supplier.id,
      supplierName: 'Invented cement works',
      documentNumber: 'DN-1',
    });
    const changed = {
      ...receipt,
      lines: [{ ...lines[0]!, lot: { ...lines[0]!.lot, manufacturedOn: '2026-11-21' } }],
    };
    await expect(service.as(keeper, (tx) => postReceipt(tx, changed))).rejects.toMatchObject({
      details: { errors: [{ pointer: '/lines/0/lot/manufacturedOn', code: 'lot.differs' }] },
    });
    const bare = { ...receipt, lines: [{ ...lines[0]!, lot: undefined }] };
    await expect(service.as(keeper, (tx) => postReceipt(tx, bare))).rejects.toMatchObject({
      details: { errors: [{ pointer: '/lines/0/lot', code: 'lot.missing' }] },
    });
    expect(await stock.lotBalances(storeId)).toEqual({ 'PO-LOT': '100' });
  });
});

describe('a recall', () => {
  it('stops every issue, names the builds to visit and the stock to lock, and is lifted once', async () => {
    const cement = await stock.cement();
    const [store, other] = [await stock.made.store(), await stock.made.store()];
    const lot = await stock.newLot(cement.id, { code: 'RC-1' });
    await stock.receive(store.id, lot, '200');
    const { buildId } = await makeBuild(service, keeper);
    const issue = (quantity: string) =>
      stock.entry('issue', { storeId: store.id, materialId: cement.id, quantity, buildId });
    await issue('50').expect(201);
    await stock
      .post('stock-dispatches', {
        fromStoreId: store.id,
        toStoreId: other.id,
        noteNumber: `WB-${randomUUID()}`,
        dispatchedOn: TODAY,
        lines: [{ materialId: cement.id, quantity: '30' }],
      })
      .expect(201);
    const recall = () =>
      stock.post(`stock-lots/${lot.id}/recalls`, {
        recalledOn: TODAY,
        reason: 'Maker says: short of strength',
      });
    const { body } = await recall().expect(201);
    expect(body.trace).toMatchObject({
      lot: { state: 'recalled' },
      buildCount: 1,
      builds: [{ buildId, issuedQuantity: '50', usedQuantity: '50', stagesFrom: 'bill' }],
      stores: [{ storeId: store.id, quantity: '120' }],
      onTheRoadQuantity: '30',
      dispatches: [{ arrivedOn: null, dispatchedQuantity: '30' }],
    });
    const refused = expectProblem(await issue('1'), 422, 'rule-broken');
    expect(refused.rule).toBe('lot-recalled');
    expect(refused.detail).toContain('RC-1');
    expect(expectProblem(await recall(), 422, 'rule-broken').rule).toBe('lot-already-recalled');
    const lift = (who?: TestPerson) =>
      stock.post(
        `stock-lots/${lot.id}/recall-lifts`,
        { recallId: body.recall.id, liftedOn: TODAY, reason: 'Retested by the maker' },
        who,
      );
    const storekeeper = await service.person(['storekeeper'], keeper.organisationId);
    expectProblem(await lift(storekeeper), 403, 'forbidden');
    expect((await lift().expect(201)).body).toMatchObject({ liftedOn: TODAY });
    expect(expectProblem(await lift(), 422, 'rule-broken').rule).toBe('recall-lifted');
    await issue('1').expect(201);
  });

  it('and an issue at once: either the trace has the build or the issue is refused', async () => {
    const cement = await stock.cement();
    const store = await stock.made.store();
    const { buildId } = await makeBuild(service, keeper);
    for (let round = 0; round < 6; round++) {
      const lot = await stock.newLot(cement.id);
      await stock.receive(store.id, lot, '10');
      const [issued, recalled] = await Promise.all([
        stock.entry('issue', {
          storeId: store.id,
          materialId: cement.id,
          lotId: lot.id,
          quantity: '10',
          buildId,
        }),
        stock.post(`stock-lots/${lot.id}/recalls`, { recalledOn: TODAY, reason: 'Test' }),
      ]);
      expect(recalled.status).toBe(201);
      const isTraced = recalled.body.trace.buildCount === 1;
      expect(issued.status).toBe(isTraced ? 201 : 422);
      if (!isTraced) expect(issued.body.rule).toBe('lot-recalled');
    }
  });
});

describe('the lots of a build', () => {
  it('lead back to their receipts, with crew, inspections and open findings', async () => {
    const cement = await stock.cement();
    const sand = await stock.made.material();
    const store = await stock.made.store();
    const lot = await stock.newLot(cement.id, { code: 'BL-1' });
    await stock.receive(store.id, lot, '100');
    await stock
      .entry('receive', { storeId: store.id, materialId: sand.id, quantity: '500' })
      .expect(201);
    const { buildId, programmeId } = await makeBuild(service, keeper);
    const crew = await stock.made.crew({ programmeId });
    await service.as(keeper, (tx) =>
      tx.sql('update build set crew_id = $2 where id = $1', [buildId, crew.id]),
    );
    const slip = {
      storeId: store.id,
      buildId,
      observedOn: TODAY,
      documentNumber: 'IS-1',
      lines: [
        { materialId: cement.id, quantity: '50', stageCode: 'first-coat' },
        { materialId: sand.id, quantity: '400' },
      ],
    };
    await stock.post('stock-issues', slip).expect(201);
    await stock
      .entry('return', { storeId: store.id, materialId: cement.id, quantity: '10', buildId })
      .expect(201);
    const inspector = await service.person(['inspector'], keeper.organisationId);
    await stock
      .post(
        `builds/${buildId}/inspections`,
        {
          kind: 'event',
          inspectedOn: TODAY,
          condition: 'needs-repair',
          findings: [
            {
              part: 'wall',
              severity: 'major',
              description: 'Soft patch',
              actions: [{ description: 'Cut out and plaster', dueOn: '2026-12-30' }],
            },
          ],
        },
        inspector,
      )
      .expect(201);
    const { body } = await stock.get(`builds/${buildId}/lots`).expect(200);
    expect(body).toMatchObject({
      buildId,
      crewCode: crew.code,
      inspections: [{ condition: 'needs-repair', inspectedOn: TODAY }],
      openFindings: [{ part: 'wall', severity: 'major', dueOn: '2026-12-30' }],
      lots: [
        {
          lotId: lot.id,
          code: 'BL-1',
          storeCodes: [store.code],
          issuedQuantity: '50',
          returnedQuantity: '10',
          usedQuantity: '40',
          stageCodes: ['first-coat'],
          stagesFrom: 'issue',
          receipts: [{ storeCode: store.code, quantity: '100' }],
        },
      ],
      withoutLot: [{ materialCode: sand.code, usedQuantity: '400' }],
    });
    const trace = (await stock.get(`stock-lots/${lot.id}/trace`).expect(200)).body;
    expect(trace.builds).toMatchObject([
      { buildId, crewCode: crew.code, openFindings: [{ part: 'wall' }], usedQuantity: '40' },
    ]);
    const stranger = await service.person(['storekeeper']);
    expectProblem(await stock.get(`builds/${buildId}/lots`, stranger), 404, 'not-found');
  });
});
