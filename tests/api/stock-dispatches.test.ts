import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { ruleBroken } from '../../src/domain/errors.ts';
import { createStockDispatches } from '../../src/modules/stock-dispatches/use-cases.ts';
import { makeBuild, makePlaces } from '../support/factories.ts';
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

async function bagsOnTheRoad(received = '1000', sent = '1000') {
  const cement = await stock.cement();
  const [from, to] = [await stock.made.store(), await stock.made.store()];
  const lot = await stock.newLot(cement.id, { code: 'ROAD' });
  await stock.receive(from.id, lot, received);
  const dispatch = (quantity: string, fields: object = {}) =>
    stock.post('stock-dispatches', {
      fromStoreId: from.id,
      toStoreId: to.id,
      noteNumber: `WB-${randomUUID()}`,
      dispatchedOn: '2026-12-10',
      vehicle: 'Lorry 3',
      lines: [{ materialId: cement.id, quantity }],
      ...fields,
    });
  const { body } = await dispatch(sent).expect(201);
  const dispatchLineId = body.lines[0].id as string;
  const arrive = (counted: object, fields: object = {}) =>
    stock.post(`stock-dispatches/${body.id}/arrivals`, {
      arrivedOn: '2026-12-12',
      lines: [{ dispatchLineId, ...counted }],
      ...fields,
    });
  return { cement, from, to, lot, dispatch, sent: body, dispatchLineId, arrive };
}

describe('goods on the road', () => {
  it('lie in neither store until they arrive', async () => {
    const at = await bagsOnTheRoad('1000', '600');
    expect(at.sent).toMatchObject({ arrival: null, lines: [{ lotId: at.lot.id, arrived: null }] });
    expect(await stock.lotBalances(at.from.id)).toEqual({ ROAD: '400' });
    expect(await stock.lotBalances(at.to.id)).toEqual({});
    const road = `stock-dispatches?toStoreId=${at.to.id}&isOnTheRoad=`;
    expect((await stock.get(`${road}true`).expect(200)).body.items).toEqual([at.sent]);
    expect((await stock.get(`${road}false`).expect(200)).body.items).toEqual([]);
    await at.arrive({ goodQuantity: '600' }).expect(201);
    expect(await stock.lotBalances(at.to.id)).toEqual({ ROAD: '600' });
    expect((await stock.get(`${road}true`).expect(200)).body.items).toEqual([]);
    const second = await at.arrive({ goodQuantity: '600' });
    expect(expectProblem(second, 422, 'rule-broken').rule).toBe('dispatch-arrived');
  });

  // Reference cases of a food-aid manual, quoted: 1,000 sent and 975 unloaded, of which 5 torn and 2 unfit:
  // good 968, damaged 7, missing 25; and 1,010 unloaded with 18 unfit: excess 10, good 992
  it.each([
    [{ goodQuantity: '968', damagedQuantity: '7', missingQuantity: '25' }, '968'],
    [{ goodQuantity: '992', damagedQuantity: '18', excessQuantity: '10' }, '992'],
    [{ goodQuantity: '990', missingQuantity: '10' }, '990'],
  ])('arrive as %o and that much comes into the store', async (counted, good) => {
    const at = await bagsOnTheRoad();
    const silent = expectProblem(await at.arrive(counted), 422, 'invalid-content');
    expect(silent.errors).toMatchObject([{ pointer: '/lines/0/remarks', code: 'remarks.missing' }]);
    const { body } = await at.arrive({ ...counted, remarks: 'Counted twice' }).expect(201);
    expect(body).toMatchObject({
      arrival: { arrivedOn: '2026-12-12' },
      lines: [{ dispatchedQuantity: '1000', arrived: { ...counted, remarks: 'Counted twice' } }],
    });
    expect(await stock.lotBalances(at.to.id)).toEqual({ ROAD: good });
    const { body: trace } = await stock.get(`stock-lots/${at.lot.id}/trace`).expect(200);
    expect(trace).toMatchObject({
      onTheRoadQuantity: '0',
      lostOnTheRoadQuantity: String(1000 - Number(good)),
      stores: [{ storeId: at.to.id, quantity: good }],
    });
  });

  it('do not arrive when the count does not add up, leaves a line out or precedes the dispatch', async () => {
    const at = await bagsOnTheRoad();
    const wrong = {
      goodQuantity: '968',
      damagedQuantity: '7',
      missingQuantity: '20',
      remarks: 'x',
    };
    expect(expectProblem(await at.arrive(wrong), 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/missingQuantity', code: 'arrival.does-not-add-up', rejectedValue: '20' },
    ]);
    const foreign = { goodQuantity: '1', dispatchLineId: randomUUID() };
    expect(expectProblem(await at.arrive(foreign), 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/lines/0/dispatchLineId', code: 'reference.unknown' },
      { pointer: '/lines', code: 'lines.missing' },
    ]);
    const early = await at.arrive({ goodQuantity: '1000' }, { arrivedOn: '2026-12-09' });
    expect(expectProblem(early, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/arrivedOn', rejectedValue: '2026-12-09' },
    ]);
    expect(await stock.lotBalances(at.to.id)).toEqual({});
  });

  it('arrive once when two report it at once', async () => {
    const at = await bagsOnTheRoad();
    const answers = await Promise.all([1, 2, 3].map(() => at.arrive({ goodQuantity: '1000' })));
    expect(answers.filter(({ status }) => status === 201)).toHaveLength(1);
    expect(await stock.lotBalances(at.to.id)).toEqual({ ROAD: '1000' });
  });
});

describe('a dispatch', () => {
  it('takes no more than the store holds, and splits over lots, first expiring first', async () => {
    const at = await bagsOnTheRoad('100', '40');
    const refused = expectProblem(await at.dispatch('60.5'), 422, 'rule-broken');
    expect(refused).toMatchObject({ rule: 'stock-below-zero', stock: { balance: '60' } });
    const older = await stock.newLot(at.cement.id, { code: 'OLDER', manufacturedOn: '2026-11-01' });
    await stock.receive(at.from.id, older, '20');
    const { body } = await at.dispatch('30').expect(201);
    expect(
      body.lines.map((line: { lotCode: string; dispatchedQuantity: string }) => [
        line.lotCode,
        line.dispatchedQuantity,
      ]),
    ).toEqual([
      ['OLDER', '20'],
      ['ROAD', '10'],
    ]);
  });

  it('that is sent again with its id leaves once and arrives once', async () => {
    const at = await bagsOnTheRoad('100', '1');
    const same = { id: randomUUID(), noteNumber: `WB-${randomUUID()}` };
    const first = await at.dispatch('99', same).expect(201);
    expect((await at.dispatch('99', same).expect(201)).body).toEqual(first.body);
    expectProblem(await at.dispatch('99', { ...same, noteNumber: 'WB-other' }), 409, 'conflict');
    const id = randomUUID();
    const arrived = await at.arrive({ goodQuantity: '1' }, { id }).expect(201);
    expect((await at.arrive({ goodQuantity: '1' }, { id }).expect(201)).body).toEqual(arrived.body);
    expect(await stock.lotBalances(at.to.id)).toEqual({ ROAD: '1' });
  });

  it('is refused for the same store, a note number used before, and an unknown lot', async () => {
    const at = await bagsOnTheRoad('100', '1');
    const same = await at.dispatch('1', { toStoreId: at.from.id });
    expect(expectProblem(same, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/toStoreId');
    const twice = await at.dispatch('1', { noteNumber: at.sent.noteNumber });
    expectProblem(twice, 409, 'conflict');
    const lines = [{ materialId: at.cement.id, quantity: '1', lotId: randomUUID() }];
    const lost = await at.dispatch('1', { lines });
    expect(expectProblem(lost, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/lines/0/lotId');
    expect(await stock.lotBalances(at.from.id)).toEqual({ ROAD: '99' });
  });

  it('to a store in a village passes the gate of each programme that builds there', async () => {
    const at = await bagsOnTheRoad('100', '1');
    const places = await makePlaces(service, keeper);
    await makeBuild(service, keeper, places);
    const shed = await stock.made.store({ villageId: places.villageId });
    const asked: string[][] = [];
    const gate = {
      async requireOpen(_: unknown, ...which: string[]) {
        asked.push(which);
        throw ruleBroken('gate-closed', 'No sand yet.');
      },
    };
    const gated = createStockDispatches({ clock: { ...systemClock, today: () => TODAY }, gate });
    const attempt = service.as(keeper, (tx) =>
      gated.dispatch(tx, {
        fromStoreId: at.from.id,
        toStoreId: shed.id,
        noteNumber: 'WB-GATE',
        dispatchedOn: TODAY,
        vehicle: '',
        reason: '',
        lines: [{ materialId: at.cement.id, quantity: '1' }],
      }),
    );
    await expect(attempt).rejects.toMatchObject({ details: { rule: 'gate-closed' } });
    expect(asked).toEqual([[places.villageId, places.programmeId]]);
  });

  it('belongs to its organisation', async () => {
    const at = await bagsOnTheRoad();
    const stranger = await service.person(['storekeeper']);
    expectProblem(await stock.get(`stock-dispatches/${at.sent.id}`, stranger), 404, 'not-found');
    expect((await stock.get('stock-dispatches', stranger).expect(200)).body.items).toEqual([]);
  });
});
