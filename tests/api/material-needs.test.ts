import { randomUUID } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import ExcelJs from 'exceljs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  type MaterialNeed,
  type MaterialNeeds,
  materialNeeds,
  needsChange,
  suggestedTransfers,
} from '../../shared/contract/material-needs.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { lotsOf } from '../support/made-lots.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';
import { makeSupplySeason } from '../support/supply-season.ts';

/** A Wednesday: the first week begins on Monday 6 January. */
const TODAY = '2031-01-08';

let service: TestService;
let coordinator: TestPerson;
let stock: ReturnType<typeof lotsOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => TODAY } });
  coordinator = await service.person(['coordinator', 'storekeeper']);
  stock = lotsOf(service, coordinator, TODAY);
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

async function newSeason() {
  const season = await makeSupplySeason(service, coordinator);
  const { made, programmeId } = season;
  const cement = await made.material({ name: 'Cement' });
  const [north, south] = [
    await made.village({ name: 'North' }),
    await made.village({ name: 'South' }),
  ];
  const needs = async (query = ''): Promise<MaterialNeeds> =>
    materialNeeds.parse(
      (await get(`programmes/${programmeId}/material-needs?limit=200${query}`).expect(200)).body,
    );
  const need = async (villageId: string, period: number, materialId = cement.id) =>
    (await needs()).items.find(
      (one) =>
        one.villageId === villageId && one.period === period && one.materialId === materialId,
    ) as MaterialNeed;
  /** A tank: 100 kg for the base, 200 for the wall, 50 for the roof. */
  const tank = (materialId = cement.id) => [
    { stageCode: 'base', materialId, quantity: '100' },
    { stageCode: 'wall', materialId, quantity: '200' },
    { stageCode: 'roof', materialId, quantity: '50' },
  ];
  const base = (quantity: string, materialId = cement.id) => [
    { stageCode: 'base', materialId, quantity },
  ];
  const receive = (storeId: string, quantity: string, materialId = cement.id) =>
    stock.entry('receive', { storeId, materialId, quantity }).expect(201);
  return { ...season, cement, north, south, needs, need, tank, base, receive };
}

// Starts on Mondays. 3 February, by hand with a week ahead: base due on 27 January and wall on
// 1 February, both in week 4; roof due on 13 February, in week 6.
const START_IN_WEEK_4 = '2031-02-03';

describe('the needs of a season', () => {
  it('are gross by week, with what was due before and builds without a day named', async () => {
    const { north, cement, made, build, tank, needs, offer } = await newSeason();
    const mason = await made.material({ category: 'labour', unitCode: 'DAY' });
    const { id: offerId } = await offer((await made.supplier()).id, cement.id);
    // base and wall due on 30 December and 4 January, roof on 16 January
    await build(north.id, '2031-01-06', tank());
    // base on 6 and wall on 11 January, roof on 23 January
    await build(north.id, '2031-01-13', tank());
    await build(north.id, START_IN_WEEK_4, [
      ...tank(),
      { stageCode: 'base', materialId: cement.id, quantity: '900', isInKind: true },
      { stageCode: 'base', materialId: mason.id, quantity: '4', unitCode: 'DAY' },
    ]);
    const undated = await build(north.id, null, tank());
    const found = await needs();
    expect(found).toMatchObject({
      startsOn: '2031-01-06',
      periodDays: 7,
      periodCount: 16,
      dueDaysBeforeStage: 7,
      undatedBuilds: { buildCount: 1, codes: [`B-${undated.slice(0, 8)}`] },
      nextCursor: null,
    });
    expect(
      found.items.map((one) => [
        one.materialId,
        one.villageId,
        one.period,
        one.periodStartsOn,
        one.grossQuantity,
        one.overdueQuantity,
        one.netQuantity,
      ]),
    ).toEqual([
      [cement.id, north.id, 1, '2031-01-06', '600', '300', '600'],
      [cement.id, north.id, 2, '2031-01-13', '50', '0', '50'],
      [cement.id, north.id, 3, '2031-01-20', '50', '0', '50'],
      [cement.id, north.id, 4, '2031-01-27', '300', '0', '300'],
      [cement.id, north.id, 6, '2031-02-10', '50', '0', '50'],
    ]);
    // bags of 50 kg; on Saturday of the week, five working days after the order
    expect(found.items[0]?.plannedReceipt).toEqual({
      offerId,
      packCode: 'X5M',
      packCount: 12,
      quantity: '600',
      arrivesOn: '2031-01-11',
      placeBy: '2031-01-06',
      isLate: true,
    });
    expect(found.items[3]?.plannedReceipt).toMatchObject({
      packCount: 6,
      arrivesOn: '2031-02-01',
      placeBy: '2031-01-27',
      isLate: false,
    });
    const few = await needs('&periodCount=2');
    expect(few.items.map(({ period }) => period)).toEqual([1, 2]);
    const later = await needs('&startsOn=2031-01-27&dueDaysBeforeStage=0');
    // 6 Jan: 300 and 50 overdue; 13 Jan: 300 overdue, roof on 30 January; 3 Feb: in weeks 2 and 4
    expect(later.items.map((one) => [one.period, one.grossQuantity, one.overdueQuantity])).toEqual([
      [1, '700', '650'],
      [2, '300', '0'],
      [4, '50', '0'],
    ]);
  });

  it('are met from the own store, then common stores, then what neighbours can spare', async () => {
    const { north, south, cement, made, build, base, receive, need, programmeId } =
      await newSeason();
    await build(north.id, START_IN_WEEK_4, base('300'));
    await build(south.id, START_IN_WEEK_4, base('450'));
    const [own, common, theirs] = [
      await made.store({ villageId: north.id }),
      await made.store(),
      await made.store({ villageId: south.id }),
    ];
    await receive(own.id, '70');
    await receive(common.id, '100');
    await receive(theirs.id, '500');
    expect(await need(north.id, 4)).toMatchObject({
      grossQuantity: '300',
      fromVillageStock: '70',
      fromTransfers: '150',
      fromOpenOrders: '0',
      netQuantity: '80',
    });
    expect(await need(south.id, 4)).toMatchObject({ fromVillageStock: '450', netQuantity: '0' });
    const path = `programmes/${programmeId}/suggested-transfers`;
    const { items } = suggestedTransfers.parse((await get(path).expect(200)).body);
    expect(new Set(items.map((one) => `${one.fromStoreId} ${one.quantity}`))).toEqual(
      new Set([`${common.id} 100`, `${theirs.id} 50`]),
    );
    for (const one of items) {
      expect(one).toMatchObject({
        materialId: cement.id,
        toVillageId: north.id,
        neededOn: '2031-02-02',
        unitCode: 'KGM',
      });
    }
    const only = await get(`${path}?villageId=${south.id}`).expect(200);
    expect(only.body.items).toEqual([]);
    const first = await get(`${path}?limit=1`).expect(200);
    const rest = await get(`${path}?limit=1&cursor=${first.body.nextCursor}`).expect(200);
    expect([...first.body.items, ...rest.body.items]).toEqual(items);
    expect(rest.body.nextCursor).toBeNull();
  });

  it('count no lot that is recalled, failed, or past its life when the stage starts', async () => {
    const { north, made, build, base, need } = await newSeason();
    const cement = await stock.cement();
    const store = await made.store({ villageId: north.id });
    await build(north.id, START_IN_WEEK_4, base('500', cement.id));
    const lot = async (manufacturedOn: string, quantity: string) => {
      const one = await stock.newLot(cement.id, { manufacturedOn });
      await stock.receive(store.id, one, quantity);
      return one;
    };
    await lot('2031-01-01', '30');
    // 90 days from 6 November end on 4 February; stages of week 4 start until 9 February
    const old = await lot('2030-11-06', '40');
    const recalled = await lot('2031-01-02', '50');
    const failed = await lot('2031-01-03', '60');
    const read = () => need(north.id, 4, cement.id);
    expect(await read()).toMatchObject({ fromVillageStock: '140', netQuantity: '360' });
    const recall = { recalledOn: TODAY, reason: 'Wrong grade' };
    await post(`stock-lots/${recalled.id}/recalls`, recall).expect(201);
    expect(await read()).toMatchObject({ fromVillageStock: '90', netQuantity: '410' });
    const test = { testedOn: TODAY, method: 'Cubes', evidence: 'Sheet 3' };
    await post(`stock-lots/${failed.id}/tests`, { ...test, outcome: 'failed' }).expect(201);
    expect(await read()).toMatchObject({ fromVillageStock: '30', netQuantity: '470' });
    const passed = { ...test, outcome: 'passed' };
    await post(`stock-lots/${old.id}/tests`, { ...passed, usableUntil: '2031-02-08' }).expect(201);
    expect(await read()).toMatchObject({ fromVillageStock: '30' });
    await post(`stock-lots/${old.id}/tests`, { ...passed, usableUntil: '2031-02-09' }).expect(201);
    expect(await read()).toMatchObject({ fromVillageStock: '70', netQuantity: '430' });
  });

  it('leave the safety stock of a store where it is', async () => {
    const { north, cement, made, build, base, receive, need } = await newSeason();
    const store = await made.store();
    await build(north.id, START_IN_WEEK_4, base('300'));
    await receive(store.id, '100');
    await service.http
      .put(`/v1/stores/${store.id}/safety-stock`)
      .set(coordinator.auth)
      .send({ items: [{ materialId: cement.id, quantity: '35.5' }] })
      .expect(200);
    expect(await need(north.id, 4)).toMatchObject({ fromTransfers: '64.5', netQuantity: '235.5' });
  });

  it('fall by what was issued and by stages that are finished', async () => {
    const { north, cement, made, build, tank, receive, needs } = await newSeason();
    const store = await made.store({ villageId: north.id });
    const buildId = await build(north.id, START_IN_WEEK_4, tank());
    await service.as(coordinator, (tx) =>
      tx.sql(`update build set status = 'started', started_on = $2 where id = $1`, [
        buildId,
        START_IN_WEEK_4,
      ]),
    );
    const gross = async () =>
      (await needs()).items.map(({ period, grossQuantity }) => [period, grossQuantity]);
    expect(await gross()).toEqual([
      [4, '300'],
      [6, '50'],
    ]);
    await receive(store.id, '130');
    const fields = { storeId: store.id, materialId: cement.id, quantity: '130', buildId };
    await stock.entry('issue', fields).expect(201);
    expect(await gross()).toEqual([
      [4, '170'],
      [6, '50'],
    ]);
    await stock.entry('return', { ...fields, quantity: '60' }).expect(201);
    expect(await gross()).toEqual([
      [4, '230'],
      [6, '50'],
    ]);
    // the base took less than its 100; it is finished, and the wall still needs all of its own
    await service.as(coordinator, (tx) =>
      tx.sql(
        `insert into stage_record (organisation_id, id, build_id, stage_code, kind, observed_on, recorded_by_id)
         values ($1, $2, $3, 'base', 'finished', $4, $5)`,
        [coordinator.organisationId, randomUUID(), buildId, TODAY, coordinator.personId],
      ),
    );
    expect(await gross()).toEqual([
      [4, '200'],
      [6, '50'],
    ]);
  });

  it('are met by requisitions and orders for the village from the week in which they come', async () => {
    const { north, south, cement, made, build, base, need, offer, programmeId } = await newSeason();
    const bags = await offer((await made.supplier()).id, cement.id);
    for (const villageId of [north.id, south.id]) {
      await build(villageId, START_IN_WEEK_4, base('300'));
    }
    const ask = (neededBy: string) =>
      post('requisitions', {
        programmeId,
        reason: 'Ahead',
        lines: [
          {
            materialId: cement.id,
            deliveryVillageId: north.id,
            offerId: bags.id,
            packCount: 4,
            neededBy,
          },
        ],
      }).expect(201);
    await ask('2031-02-03');
    expect(await need(north.id, 4)).toMatchObject({ fromOpenOrders: '0', netQuantity: '300' });
    const { body } = await ask('2031-02-02');
    const covered = { fromOpenOrders: '200', netQuantity: '100' };
    expect(await need(north.id, 4)).toMatchObject(covered);
    expect(await need(south.id, 4)).toMatchObject({ fromOpenOrders: '0', netQuantity: '300' });
    const approver = await service.person(['coordinator'], coordinator.organisationId);
    const decide = post(`requisitions/${body.id}/decisions`, { decision: 'approved' }, approver);
    await decide.expect(201);
    expect(await need(north.id, 4)).toMatchObject(covered);
    const ordered = await post(`requisitions/${body.id}/orders`, {}).expect(201);
    expect(await need(north.id, 4)).toMatchObject(covered);
    const cancel = { reason: 'Not needed' };
    await post(`orders/${ordered.body.orders[0].id}/cancellations`, cancel).expect(200);
    expect(await need(north.id, 4)).toMatchObject({ fromOpenOrders: '0', netQuantity: '300' });
  });

  it('are not met by goods on order that will be past their life by then', async () => {
    const { north, made, build, base, needs, offer, programmeId } = await newSeason();
    const cement = await stock.cement();
    const bags = await offer((await made.supplier()).id, cement.id);
    // 14 January and 90 days are 14 April: of no use for a stage that starts on 21 April
    await build(north.id, '2031-04-21', base('50', cement.id));
    await build(north.id, '2031-03-03', base('50', cement.id));
    await post('requisitions', {
      programmeId,
      reason: 'Ahead',
      lines: [
        {
          materialId: cement.id,
          deliveryVillageId: north.id,
          offerId: bags.id,
          packCount: 4,
          neededBy: '2031-01-14',
        },
      ],
    }).expect(201);
    expect(
      (await needs()).items.map((one) => [one.grossQuantity, one.fromOpenOrders, one.netQuantity]),
    ).toEqual([
      ['50', '50', '0'],
      ['50', '0', '50'],
    ]);
  });
});

describe('the question what a later start would do', () => {
  it('is answered with before and after, and nothing is written', async () => {
    const { north, south, cement, build, base, needs, programmeId } = await newSeason();
    const buildId = await build(north.id, START_IN_WEEK_4, base('300'));
    await build(north.id, START_IN_WEEK_4, base('40'));
    await build(south.id, START_IN_WEEK_4, base('70'));
    const before = await needs();
    const path = `programmes/${programmeId}/material-needs/changes`;
    const { body } = await post(path, {
      moves: [{ buildId, plannedStartOn: '2031-02-17' }],
    }).expect(200);
    const shared = { materialId: cement.id, villageId: north.id };
    expect(needsChange.parse(body)).toMatchObject({
      isCut: false,
      items: [
        {
          ...shared,
          period: 4,
          grossBefore: '340',
          grossAfter: '40',
          netBefore: '340',
          netAfter: '40',
        },
        {
          ...shared,
          period: 6,
          grossBefore: '0',
          grossAfter: '300',
          netBefore: '0',
          netAfter: '300',
        },
      ],
    });
    expect(body.items).toHaveLength(2);
    expect(await needs()).toEqual(before);
    const unknown = randomUUID();
    await service.as(coordinator, (tx) =>
      tx.sql(`update build set status = 'started', started_on = $2 where id = $1`, [
        buildId,
        TODAY,
      ]),
    );
    const refused = await post(path, {
      moves: [
        { buildId, plannedStartOn: '2031-02-17' },
        { buildId: unknown, plannedStartOn: '2031-02-17' },
      ],
    });
    const { errors } = expectProblem(refused, 422, 'invalid-content');
    expect(
      errors?.map(({ pointer, code, rejectedValue }) => [pointer, code, rejectedValue]),
    ).toEqual([
      ['/moves/0/buildId', 'build.started', buildId],
      ['/moves/1/buildId', 'reference.unknown', unknown],
    ]);
  });
});

describe('a list of needs', () => {
  it('pages by cursor, filters, and comes as CSV and as a workbook', async () => {
    const { north, south, cement, made, build, tank, needs, programmeId } = await newSeason();
    const wire = await made.material({ name: '=Wire' });
    for (const villageId of [north.id, south.id]) {
      await build(villageId, START_IN_WEEK_4, [...tank(), ...tank(wire.id)]);
    }
    const all = (await needs()).items;
    expect(all).toHaveLength(8);
    const path = `programmes/${programmeId}/material-needs`;
    const paged: MaterialNeed[] = [];
    let cursor = '';
    for (let pages = 1; pages <= 3; pages += 1) {
      const { body } = await get(`${path}?limit=3${cursor}`).expect(200);
      paged.push(...body.items);
      expect(body.nextCursor === null).toBe(pages === 3);
      cursor = `&cursor=${body.nextCursor}`;
    }
    expect(paged).toEqual(all);
    const some = await needs(`&materialId=${wire.id}&villageId=${south.id}`);
    expect(some.items).toEqual(
      all.filter((one) => one.materialId === wire.id && one.villageId === south.id),
    );
    const csv = await get(`${path}.csv`).expect(200);
    const rows = parse(csv.text, { bom: true, columns: true }) as Record<string, string>[];
    expect(rows.map((row) => [row.week_starts_on, row.material_code, row.net_quantity])).toEqual(
      all.map((one) => [one.periodStartsOn, one.materialCode, one.netQuantity]),
    );
    expect(rows.find((row) => row.material_code === wire.code)?.material).toBe("'=Wire");
    expect(rows.filter((row) => row.material_code === cement.code)).toHaveLength(4);
    const xlsx = await get(`${path}.xlsx`)
      .buffer(true)
      .parse(binary as never)
      .expect(200);
    const workbook = new ExcelJs.Workbook();
    await workbook.xlsx.load(xlsx.body);
    const sheet = workbook.worksheets[0];
    const header = ((sheet?.getRow(1).values ?? []) as string[]).slice(1);
    expect(header).toEqual(Object.keys(rows[0] ?? {}));
    const gross = sheet?.getColumn(header.indexOf('gross_quantity') + 1).values.slice(2);
    expect(gross).toEqual(all.map((one) => Number(one.grossQuantity)));
  });

  it('refuses a bad question naming what is wrong, and is not seen by others', async () => {
    const { programmeId } = await newSeason();
    const path = `programmes/${programmeId}/material-needs`;
    for (const [query, pointer] of [
      ['periodCount=61', '/periodCount'],
      ['startsOn=2031-02-30', '/startsOn'],
      ['dueDaysBeforeStage=-1', '/dueDaysBeforeStage'],
      ['materialId=x', '/materialId'],
      ['startsOn=2031-04-28', '/startsOn'],
    ]) {
      const { errors } = expectProblem(await get(`${path}?${query}`), 422, 'invalid-content');
      expect(errors?.[0]?.pointer, query).toBe(pointer);
    }
    expect((await get(`${path}?weeks=3`)).status).toBe(422);
    expect((await get(`${path}?cursor=forged`)).status).toBeGreaterThanOrEqual(400);
    const stranger = await service.person(['coordinator']);
    for (const one of [path, `${path}.csv`, `programmes/${programmeId}/suggested-transfers`]) {
      expectProblem(await get(one, stranger), 404, 'not-found');
    }
    const moves = [{ buildId: randomUUID(), plannedStartOn: '2031-02-17' }];
    expectProblem(await post(`${path}/changes`, { moves: [] }), 422, 'invalid-content');
    expect((await post(`${path}/changes`, { moves }, stranger)).status).toBeGreaterThanOrEqual(404);
  });
});

function binary(response: NodeJS.ReadableStream, done: (e: null, b: Buffer) => void) {
  const parts: Buffer[] = [];
  response.on('data', (part: Buffer) => parts.push(part));
  response.on('end', () => done(null, Buffer.concat(parts)));
}
