import { parse } from 'csv-parse/sync';
import ExcelJs from 'exceljs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type MadeBuild, makeBuild } from '../support/factories.ts';
import { clearBill, makeBuildWithBill } from '../support/made-bills.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  made = recordsOf(service, coordinator);
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

interface Season {
  readonly like: MadeBuild;
  readonly programmeId: string;
  plan(fields?: object): ReturnType<typeof post>;
  build(villageId: string, bill: Parameters<typeof makeBuildWithBill>[4]): Promise<string>;
}

/** A programme whose builds have only the bills that a test gives them. */
async function newSeason(): Promise<Season> {
  const like = await makeBuild(service, coordinator);
  await clearBill(service, coordinator, like.buildId);
  const { programmeId } = like;
  return {
    like,
    programmeId,
    plan: (fields = {}) =>
      post(`programmes/${programmeId}/order-plans`, { pricedOn: '2026-11-02', ...fields }),
    build: (villageId, bill) => makeBuildWithBill(service, coordinator, like, villageId, bill),
  };
}

describe('an order plan', () => {
  // The rounding trap of the take-off reference: bags rounded per tank and added up buy far more.
  // By hand: 3 tanks of 120 kg need 360 kg, 8 bags of 50 kg; rounded per tank 3 × 3 = 9 bags.
  it('rounds packs once for each village and says what that saves', async () => {
    const season = await newSeason();
    const [cement, village] = [await made.material(), await made.village()];
    await made.offer({ materialId: cement.id, pricePerPack: '8.40' });
    for (let n = 0; n < 3; n++) {
      await season.build(village.id, [
        { materialId: cement.id, quantity: '100.25' },
        { materialId: cement.id, quantity: '19.75' },
      ]);
    }
    const { body, headers } = await season.plan({ needsBy: '2026-12-01' }).expect(201);
    expect(headers.location).toBe(`/v1/order-plans/${body.id}`);
    expect(body).toMatchObject({
      buildCount: 3,
      unserved: [],
      comparison: {
        totalAmount: { amount: '67.20', currency: 'EUR' },
        packCount: 8,
        roundedPerTankAmount: { amount: '75.60', currency: 'EUR' },
        roundedPerTankPackCount: 9,
        saving: { amount: '8.40', currency: 'EUR' },
      },
    });
    const [summary] = body.orders;
    const order = await get(`orders/${summary.id}`).expect(200);
    expect(order.body).toMatchObject({
      status: 'draft',
      orderPlanId: body.id,
      deliveryVillageId: village.id,
      neededBy: '2026-12-01',
      amount: { amount: '67.20', currency: 'EUR' },
      lines: [
        {
          materialId: cement.id,
          needQuantity: '360',
          packContent: '50',
          packCount: 8,
          orderedQuantity: '400',
          roundingQuantity: '40',
          pricePerPack: '8.4',
          receivedQuantity: '0',
        },
      ],
    });
    expect((await get(`order-plans/${body.id}`).expect(200)).body).toEqual(body);
  });

  it('makes one order for each supplier and village, at the cheapest offer', async () => {
    const season = await newSeason();
    const [cement, sand] = [
      await made.material(),
      await made.material({ category: 'aggregate', unitCode: 'MTQ' }),
    ];
    const [north, south] = [await made.village(), await made.village()];
    const [mill, pit] = [await made.supplier(), await made.supplier()];
    const dear = await made.offer({ materialId: cement.id, supplierId: pit.id, pricePerPack: '9' });
    const cheap = await made.offer({ materialId: cement.id, supplierId: mill.id });
    await made.offer({
      materialId: sand.id,
      supplierId: pit.id,
      packCode: 'MTQ',
      packContent: '1',
      pricePerPack: '18.33',
    });
    const bill = [
      { materialId: cement.id, quantity: '90' },
      { materialId: sand.id, quantity: '2.4', unitCode: 'MTQ' },
    ];
    await season.build(north.id, bill);
    await season.build(south.id, bill);
    const { body } = await season.plan().expect(201);
    const pairs = body.orders.map((order: { supplierId: string; deliveryVillageId: string }) =>
      [order.supplierId, order.deliveryVillageId].join(),
    );
    expect(new Set(pairs)).toEqual(
      new Set([mill, pit].flatMap((s) => [north, south].map((v) => `${s.id},${v.id}`))),
    );
    expect(new Set(body.orders.map((order: { code: string }) => order.code)).size).toBe(4);
    const lines = [];
    for (const { id } of body.orders) lines.push(...(await get(`orders/${id}`)).body.lines);
    const offerIds = new Set(lines.map((line) => line.offerId));
    expect(offerIds.has(cheap.id)).toBe(true);
    expect(offerIds.has(dear.id)).toBe(false);
    // by hand: 3 m³ at 18.33 = 54.99; twice that and 2 × 2 × 7.45
    const sandLine = lines.find((line) => line.materialId === sand.id);
    expect(sandLine).toMatchObject({ pricePerPack: '18.33', amount: { amount: '54.99' } });
    expect(body.comparison.totalAmount.amount).toBe('139.78');
  });

  it('leaves out labour, gifts in kind and cancelled builds', async () => {
    const season = await newSeason();
    const [cement, mason, village] = [
      await made.material(),
      await made.material({ category: 'labour', unitCode: 'DAY' }),
      await made.village(),
    ];
    await made.offer({ materialId: cement.id });
    const cancelled = await season.build(village.id, [{ materialId: cement.id, quantity: '900' }]);
    await service.as(coordinator, (tx) =>
      tx.sql(`update build set cancelled_on = '2026-10-20' where id = $1`, [cancelled]),
    );
    const kept = await season.build(village.id, [
      { materialId: cement.id, quantity: '10' },
      { materialId: cement.id, quantity: '500', isInKind: true },
      { materialId: mason.id, quantity: '6', unitCode: 'DAY' },
    ]);
    const refused = expectProblem(
      await season.plan({ buildIds: [kept, cancelled] }),
      422,
      'rule-broken',
    );
    expect(refused.rule).toBe('build-cancelled');
    const { body } = await season.plan().expect(201);
    expect(body).toMatchObject({ buildCount: 1, unserved: [], comparison: { packCount: 1 } });
  });

  it('lists what no offer serves with the reason, and orders it once an offer stands', async () => {
    const season = await newSeason();
    const village = await made.village();
    const [none, expired, abroad, late, withdrawn] = [
      await made.material(),
      await made.material(),
      await made.material(),
      await made.material(),
      await made.material(),
    ];
    await made.offer({ materialId: expired?.id, validUntil: '2026-11-01' });
    await made.offer({ materialId: abroad?.id, currency: 'USD' });
    await made.offer({ materialId: late?.id, leadDays: 30 });
    const gone = await made.offer({ materialId: withdrawn?.id });
    await post(`offers/${gone.id}/withdrawals`, { withdrawnOn: '2026-11-02' }).expect(200);
    const materials = [none, expired, abroad, late, withdrawn];
    await season.build(
      village.id,
      materials.map((material) => ({ materialId: material?.id ?? '', quantity: '3' })),
    );
    const { body } = await season.plan({ needsBy: '2026-12-01' }).expect(201);
    expect(body.orders).toEqual([]);
    const reasonOf = new Map(
      body.unserved.map((need: { materialId: string; reason: string }) => [
        need.materialId,
        need.reason,
      ]),
    );
    expect(materials.map((material) => reasonOf.get(material?.id))).toEqual([
      'no-offer',
      'not-valid-on-date',
      'other-currency',
      'delivered-too-late',
      'no-offer',
    ]);
    expect(body.unserved[0]).toMatchObject({
      needQuantity: '3',
      deliveryVillageId: village.id,
      deliveryVillageCode: village.code,
    });
    await made.offer({ materialId: none?.id });
    const second = await season.plan({ needsBy: '2026-12-02' }).expect(201);
    expect(second.body.comparison.packCount).toBe(2);
    expect(second.body.unserved).toHaveLength(3);
    const listed = await get(`programmes/${season.programmeId}/order-plans`).expect(200);
    expect(listed.body.items.map((plan: { unservedCount: number }) => plan.unservedCount)).toEqual([
      3, 5,
    ]);
  });

  it('orders nothing twice, also when two plan at once, and again what was cancelled', async () => {
    const season = await newSeason();
    const [cement, village] = [await made.material(), await made.village()];
    await made.offer({ materialId: cement.id });
    await season.build(village.id, [{ materialId: cement.id, quantity: '60' }]);
    const answers = await Promise.all([season.plan(), season.plan(), season.plan()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 422, 422]);
    const refused = answers.find(({ status }) => status === 422);
    expect(refused?.body.rule).toBe('nothing-to-order');
    const [order] = answers.find(({ status }) => status === 201)?.body.orders ?? [];
    await post(`orders/${order.id}/cancellations`, { reason: 'Supplier closed' }).expect(200);
    const again = await season.plan().expect(201);
    expect(again.body.comparison.packCount).toBe(2);
  });

  it('refuses builds of another programme, an unknown programme, and needsBy before pricedOn', async () => {
    const [season, other] = [await newSeason(), await newSeason()];
    const foreign = other.like.buildId;
    const { errors } = expectProblem(
      await season.plan({ buildIds: [season.like.buildId, foreign] }),
      422,
      'invalid-content',
    );
    expect(errors).toEqual([
      expect.objectContaining({ pointer: '/buildIds/1', rejectedValue: foreign }),
    ]);
    const early = expectProblem(
      await season.plan({ needsBy: '2026-11-01' }),
      422,
      'invalid-content',
    );
    expect(early.errors?.[0]?.pointer).toBe('/needsBy');
    const stranger = await service.person(['coordinator']);
    const path = `programmes/${season.programmeId}/order-plans`;
    expectProblem(await post(path, { pricedOn: '2026-11-02' }, stranger), 404, 'not-found');
    const storekeeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await post(path, { pricedOn: '2026-11-02' }, storekeeper), 403, 'forbidden');
  });
});

describe('the lines of a plan as a file', () => {
  const binary = (response: NodeJS.ReadableStream, done: (e: null, b: Buffer) => void) => {
    const parts: Buffer[] = [];
    response.on('data', (part: Buffer) => parts.push(part));
    response.on('end', () => done(null, Buffer.concat(parts)));
  };

  it('come as CSV and as a workbook, formulas disarmed and numbers as numbers', async () => {
    const season = await newSeason();
    const village = await made.village({ name: '=HYPERLINK("http://x")' });
    const cement = await made.material({ name: '-2+3 Cement, "grey"' });
    await made.offer({ materialId: cement.id, packContent: '12.5', pricePerPack: '3.12' });
    await season.build(village.id, [{ materialId: cement.id, quantity: '30' }]);
    const { body } = await season.plan().expect(201);
    const csv = await get(`order-plans/${body.id}/lines.csv`).expect(200);
    expect(csv.headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(csv.headers['content-disposition']).toContain(`${body.code}.csv`);
    const [line] = parse(csv.text, { bom: true, columns: true }) as Record<string, string>[];
    expect(line).toMatchObject({
      village: `'=HYPERLINK("http://x")`,
      material: `'-2+3 Cement, "grey"`,
      unit: 'kilogram',
      pack: 'Bag, paper',
      need_quantity: '30',
      pack_content: '12.5',
      pack_count: '3',
      ordered_quantity: '37.5',
      rounding_quantity: '7.5',
      price_per_pack: '3.12',
      amount: '9.36',
      currency: 'EUR',
    });
    const xlsx = await get(`order-plans/${body.id}/lines.xlsx`)
      .buffer(true)
      .parse(binary as never)
      .expect(200);
    const workbook = new ExcelJs.Workbook();
    await workbook.xlsx.load(xlsx.body);
    const sheet = workbook.worksheets[0];
    const header = ((sheet?.getRow(1).values ?? []) as string[]).slice(1);
    expect(header).toEqual(Object.keys(line ?? {}));
    const cell = (name: string) => sheet?.getRow(2).getCell(header.indexOf(name) + 1).value;
    expect(cell('village')).toBe(`'=HYPERLINK("http://x")`);
    expect(cell('ordered_quantity')).toBe(37.5);
    expect(cell('amount')).toBe(9.36);
    const stranger = await service.person(['coordinator']);
    expectProblem(await get(`order-plans/${body.id}/lines.csv`, stranger), 404, 'not-found');
  });
});
