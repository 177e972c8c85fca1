import { randomUUID } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import ExcelJs from 'exceljs';
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  type SupplyPlan,
  type SupplyPlanLine,
  supplyLineExplanation,
  supplyPlan,
  supplyPlanLine,
} from '../../shared/contract/supply-plan.ts';
import { addDays, daysBetween, isoWeekday } from '../../shared/units/calendar.ts';
import type { JobHandler } from '../../src/jobs/run-job.ts';
import { planSupply } from '../../src/modules/supply-plans/plan-supply.ts';
import { runQueuedJobs } from '../support/jobs.ts';
import type { BillEntry } from '../support/made-bills.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';
import { makeSupplySeason, STAGE_OFFSET_DAYS } from '../support/supply-season.ts';

vi.setConfig({ testTimeout: 60_000 });

const STARTS_ON = '2031-01-06';
/** The default of the request: materials are due a week before their stage starts. */
const DUE_DAYS = 7;

let service: TestService;
let coordinator: TestPerson;
let approver: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  approver = await service.person(['coordinator'], coordinator.organisationId);
});
afterAll(() => service.close());
beforeEach(() => service.db.pool.query('delete from pgboss.job'));

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);
const cents = ({ amount }: { amount: string }) => Math.round(Number(amount) * 100);

interface BuildFacts {
  readonly villageId: string;
  readonly startOn: string;
  readonly bill: readonly (BillEntry & { stageCode: keyof typeof STAGE_OFFSET_DAYS })[];
}

/** Two villages, three suppliers, five groups of tanks that start together, each one build of their sum. */
async function market(tanks = 1) {
  const season = await makeSupplySeason(service, coordinator);
  const { made } = season;
  const material = (name: string, fields: object) => made.material({ name, ...fields });
  const cement = await material('Cement', {
    shelfLifeDays: 90,
    lotIdentity: 'manufacture-date',
    massKgPerUnit: 1,
  });
  const wire = await material('Wire', { category: 'steel', massKgPerUnit: 1 });
  const sand = await material('Sand', {
    category: 'aggregate',
    unitCode: 'MTQ',
    massKgPerUnit: 1_600,
  });
  const [north, south] = [
    await made.village({ name: 'North' }),
    await made.village({ name: 'South', reachableMonths: [1, 2, 3, 5, 6, 7, 8, 9, 10, 11, 12] }),
  ];
  const [yard, mill, pit] = [await made.supplier(), await made.supplier(), await made.supplier()];
  const offers = {
    bags: await season.offer(yard.id, cement.id, {
      pricePerPack: '8.40',
      priceBreaks: [{ fromPacks: 20, pricePerPack: '7.90' }],
      breakRule: 'all-units',
      orderCost: '6.00',
    }),
    pallets: await season.offer(mill.id, cement.id, {
      packContent: '25',
      pricePerPack: '3.60',
      minimumPacks: 20,
      maximumPacks: 100,
      orderCost: '25.00',
      leadDays: 12,
    }),
    coils: await season.offer(yard.id, wire.id, { packContent: '5', pricePerPack: '11.25' }),
    loads: await season.offer(pit.id, sand.id, {
      packCode: 'MTQ',
      packContent: '1',
      pricePerPack: '18.33',
      orderCost: '4.00',
      leadDays: 3,
    }),
  };
  for (const supplier of [yard, mill, pit]) {
    for (const village of [north, south]) await season.delivery(supplier.id, village.id);
  }
  const facts = new Map<string, BuildFacts>();
  const add = async (villageId: string, startOn: string, bill: BuildFacts['bill']) => {
    const id = await season.build(villageId, startOn, [...bill]);
    facts.set(id, { villageId, startOn, bill });
    return id;
  };
  const needed = [
    ['base', cement, 211.5],
    ['base', sand, 1.2],
    ['wall', cement, 333.25],
    ['wall', wire, 7.5],
    ['wall', sand, 0.7],
    ['roof', cement, 95],
  ] as const;
  const tank = needed.map(([stageCode, { id, unitCode }, quantity]) => ({
    stageCode,
    materialId: id,
    unitCode: String(unitCode),
    quantity: String(quantity * tanks),
  }));
  for (const startOn of ['2031-02-03', '2031-02-17', '2031-03-10'])
    await add(north.id, startOn, tank);
  for (const startOn of ['2031-02-10', '2031-03-03']) await add(south.id, startOn, tank);
  return { ...season, cement, wire, sand, north, south, yard, mill, pit, offers, facts, add, tank };
}

const request = (programmeId: string, fields: object = {}, who = coordinator) =>
  post(
    `programmes/${programmeId}/supply-plans`,
    { startsOn: STARTS_ON, timeLimitS: 5, ...fields },
    who,
  );

const readJob = async (id: string) => (await get(`jobs/${id}`).expect(200)).body;

async function run(programmeId: string, fields: object = {}, handler: JobHandler = planSupply) {
  const { body } = await request(programmeId, fields).expect(202);
  await runQueuedJobs(service, { handlers: { 'supply-planning': handler } });
  return readJob(body.id);
}

async function plan(
  { programmeId }: { programmeId: string },
  fields: object = {},
): Promise<SupplyPlan> {
  const job = await run(programmeId, fields);
  expect(job, JSON.stringify(job.error)).toMatchObject({ state: 'succeeded' });
  return supplyPlan.parse((await get(`supply-plans/${job.result.supplyPlanId}`).expect(200)).body);
}

async function linesOf(planId: string, query = ''): Promise<SupplyPlanLine[]> {
  const { body } = await get(`supply-plans/${planId}/lines?limit=200${query}`).expect(200);
  expect(body.nextCursor).toBeNull();
  return body.items.map((item: unknown) => supplyPlanLine.parse(item));
}

/** The day by whose week's end a stage of a build has to have its materials. */
const dueOf = (startOn: string, stageCode: keyof typeof STAGE_OFFSET_DAYS) =>
  addDays(startOn, STAGE_OFFSET_DAYS[stageCode] - DUE_DAYS);
const weekOf = (day: string) => Math.max(1, Math.floor(daysBetween(STARTS_ON, day) / 7) + 1);

/** Needs by "material village" and week, counted from the builds by hand. */
function needsOf(facts: Iterable<BuildFacts>) {
  const needs = new Map<string, Map<number, number>>();
  for (const { villageId, startOn, bill } of facts) {
    for (const { materialId, quantity, stageCode } of bill) {
      const key = `${materialId} ${villageId}`;
      const weeks = needs.get(key) ?? new Map<number, number>();
      const week = weekOf(dueOf(startOn, stageCode));
      needs.set(key, weeks.set(week, (weeks.get(week) ?? 0) + Number(quantity)));
    }
  }
  return needs;
}

/** That what has come by the end of each week is what was needed by then, card by card. */
function expectCovered(lines: readonly SupplyPlanLine[], needs: ReturnType<typeof needsOf>) {
  const cards = new Set(lines.map((line) => `${line.materialId} ${line.deliveryVillageId}`));
  expect(cards).toEqual(new Set(needs.keys()));
  for (const [key, weeks] of needs) {
    const own = lines.filter((line) => `${line.materialId} ${line.deliveryVillageId}` === key);
    for (const last of weeks.keys()) {
      const needed = [...weeks].reduce((sum, [week, one]) => sum + (week <= last ? one : 0), 0);
      const come = own.reduce(
        (sum, { arrivesOn, quantity }) => sum + (weekOf(arrivesOn) <= last ? Number(quantity) : 0),
        0,
      );
      expect(come, `${key} by week ${last}`).toBeGreaterThanOrEqual(needed - 1e-6);
    }
  }
}

/** What stands in a line, less its id and its place in the list. */
const keyOf = (line: SupplyPlanLine) =>
  [
    line.materialCode,
    line.deliveryVillageCode,
    line.supplierCode,
    line.placeBy,
    line.arrivesOn,
    line.packCount,
  ].join(' ');

describe('a supply plan', () => {
  it('serves every need in time at a cost that adds up, below every simpler way of buying', async () => {
    const at = await market(8);
    // a dear store, so that it pays to order more than once
    const asked = await request(at.programmeId, { holdingRatePerYear: 2 }).expect(202);
    expect(asked.headers.location).toBe(`/v1/jobs/${asked.body.id}`);
    const second = expectProblem(await request(at.programmeId), 422, 'rule-broken');
    expect(second.rule).toBe('supply-planning-in-progress');
    await runQueuedJobs(service);
    const job = await readJob(asked.body.id);
    expect(job, JSON.stringify(job.error)).toMatchObject({ state: 'succeeded' });
    const found = supplyPlan.parse(
      (await get(`supply-plans/${job.result.supplyPlanId}`).expect(200)).body,
    );
    const { costParts: parts } = found;
    expect(cents(found.totalAmount)).toBe(
      [parts.purchase, parts.ordering, parts.transport, parts.holding].reduce(
        (sum, part) => sum + cents(part),
        0,
      ),
    );
    expect(cents(found.lowerBoundAmount)).toBeLessThanOrEqual(cents(found.totalAmount));
    expect(cents(found.lowerBoundAmount)).toBeGreaterThan(0);
    const gap = 1 - cents(found.lowerBoundAmount) / cents(found.totalAmount);
    expect(found.gapRatio).toBeCloseTo(gap, 6);
    for (const way of Object.values(found.comparison)) {
      expect(way.totalAmount).not.toBeNull();
      expect(way.breaks).toEqual([]);
      if (way.totalAmount === null || way.savingAmount === null) continue;
      expect(cents(way.totalAmount)).toBeGreaterThanOrEqual(cents(found.totalAmount));
      expect(cents(way.savingAmount)).toBe(cents(way.totalAmount) - cents(found.totalAmount));
    }
    expect(found.shortfalls).toEqual([]);

    const lines = await linesOf(found.id);
    expect(lines).toHaveLength(found.lineCount);
    expect(lines.length).toBeGreaterThan(10);
    expectCovered(lines, needsOf(at.facts.values()));
    const offerOf = new Map(Object.values(at.offers).map((offer) => [offer.id, offer]));
    let purchase = 0;
    for (const line of lines) {
      const offer = offerOf.get(line.offerId) as Record<string, unknown>;
      expect(Number(line.quantity)).toBe(line.packCount * Number(offer.packContent));
      expect(line.packCount).toBeGreaterThanOrEqual(Number(offer.minimumPacks));
      expect(line.packCount).toBeLessThanOrEqual(Number(offer.maximumPacks ?? 1e9));
      expect([2, 5]).toContain(isoWeekday(line.arrivesOn));
      expect(isoWeekday(line.placeBy)).toBeLessThanOrEqual(6);
      expect(line.placeBy >= STARTS_ON).toBe(true);
      expect(workingDaysBetween(line.placeBy, line.arrivesOn)).toBe(offer.leadDays);
      if (line.deliveryVillageId === at.south.id) expect(line.arrivesOn).not.toMatch(/^2031-04/);
      const price = line.offerId === at.offers.bags.id && line.packCount >= 20 ? 790 : null;
      const perPack = price ?? Math.round(Number(offer.pricePerPack) * 100);
      expect(cents(line.amount)).toBe(perPack * line.packCount);
      purchase += cents(line.amount);
    }
    expect(purchase).toBe(cents(parts.purchase));
    const ordering = lines.reduce(
      (sum, { offerId }) => sum + Number(offerOf.get(offerId)?.orderCost) * 100,
      0,
    );
    expect(cents(parts.ordering)).toBe(Math.round(ordering));
    // 40 and 20 km at 0.50 is 50.00 a trip; lines of one supplier, village and day share lorries
    const loads = new Map<string, number>();
    const massOf = new Map(
      [at.cement, at.wire, at.sand].map((m) => [m.id, Number(m.massKgPerUnit)]),
    );
    for (const line of lines) {
      const key = `${line.supplierId} ${line.deliveryVillageId} ${line.arrivesOn}`;
      const kg = Number(line.quantity) * (massOf.get(line.materialId) ?? 0);
      loads.set(key, (loads.get(key) ?? 0) + kg);
    }
    const trips = [...loads.values()].reduce((sum, kg) => sum + Math.ceil(kg / 3_500 - 1e-9), 0);
    expect(cents(parts.transport)).toBe(trips * 5_000);

    const ofCement = await linesOf(found.id, `&materialId=${at.cement.id}`);
    expect(ofCement).toEqual(lines.filter(({ materialId }) => materialId === at.cement.id));
    const listed = await get(`programmes/${at.programmeId}/supply-plans`).expect(200);
    expect(listed.body.items).toMatchObject([{ id: found.id, lineCount: lines.length }]);
  });

  it('explains a line: what it covers, what is left over, and the offers that were passed over', async () => {
    const at = await market();
    const found = await plan(at);
    const lines = await linesOf(found.id);
    const needs = needsOf(at.facts.values());
    const covered = new Map<string, number>();
    for (const line of lines) {
      const path = `supply-plans/${found.id}/lines/${line.id}/explanation`;
      const why = supplyLineExplanation.parse((await get(path).expect(200)).body);
      expect(why.line).toEqual(line);
      const sum = why.covers.reduce((total, { quantity }) => total + Number(quantity), 0);
      expect(sum + Number(why.leftOver)).toBeCloseTo(Number(line.quantity), 5);
      for (const { periodStartsOn } of why.covers) {
        expect(weekOf(periodStartsOn)).toBeGreaterThanOrEqual(weekOf(line.arrivesOn));
        // 90 days of life, 14 of them gone when it comes, and a week until the stage: 9 weeks more
        if (line.materialId === at.cement.id) {
          expect(weekOf(periodStartsOn) - weekOf(line.arrivesOn)).toBeLessThanOrEqual(9);
        }
      }
      expect(why.quantityReason).toContain(`${line.packCount} packs`);
      expect(why.weekReason).toContain(line.placeBy);
      expect(why.supplierReason).toContain(line.supplierCode);
      const others = why.alternatives.map(({ supplierCode }) => supplierCode);
      const rival = line.supplierId === at.yard.id ? at.mill.code : at.yard.code;
      expect(others).toEqual(line.materialId === at.cement.id ? [rival] : []);
      for (const { reason } of why.alternatives) expect(reason).toMatch(/\w{4}/);
      const key = `${line.materialId} ${line.deliveryVillageId}`;
      covered.set(key, (covered.get(key) ?? 0) + sum);
    }
    for (const [key, weeks] of needs) {
      const needed = [...weeks.values()].reduce((sum, one) => sum + one, 0);
      expect(covered.get(key)).toBeCloseTo(needed, 5);
    }
    const unknown = await get(`supply-plans/${found.id}/lines/${randomUUID()}/explanation`);
    expectProblem(unknown, 404, 'not-found');
  });

  it('comes as CSV and as a workbook', async () => {
    const at = await market();
    const found = await plan(at);
    const lines = await linesOf(found.id);
    const csv = await get(`supply-plans/${found.id}/lines.csv`).expect(200);
    expect(csv.headers['content-disposition']).toContain(`${found.code}.csv`);
    const rows = parse(csv.text, { bom: true, columns: true }) as Record<string, string>[];
    expect(
      rows.map((row) => [row.place_by, row.material_code, row.pack_count, row.amount]),
    ).toEqual(
      lines.map((line) => [
        line.placeBy,
        line.materialCode,
        String(line.packCount),
        line.amount.amount,
      ]),
    );
    const xlsx = await get(`supply-plans/${found.id}/lines.xlsx`)
      .buffer(true)
      .parse(binary as never)
      .expect(200);
    const workbook = new ExcelJs.Workbook();
    await workbook.xlsx.load(xlsx.body);
    const sheet = workbook.worksheets[0];
    const header = ((sheet?.getRow(1).values ?? []) as string[]).slice(1);
    expect(header).toEqual(Object.keys(rows[0] ?? {}));
    const amounts = sheet?.getColumn(header.indexOf('amount') + 1).values.slice(2);
    expect(amounts).toEqual(lines.map(({ amount }) => Number(amount.amount)));
  });

  it('becomes a requisition and orders, which the next plan sees', async () => {
    const at = await market();
    const before = await plan(at);
    const lines = await linesOf(before.id);
    const until = lines[Math.floor(lines.length / 2)]?.placeBy ?? '';
    const taken = lines.filter(({ placeBy }) => placeBy <= until);
    const asked = await post(`supply-plans/${before.id}/requisitions`, {
      placeByUntil: until,
    }).expect(201);
    expect(asked.body.lines).toHaveLength(taken.length);
    expect((await linesOf(before.id)).map(({ isRequisitioned }) => isRequisitioned)).toEqual(
      lines.map(({ placeBy }) => placeBy <= until),
    );
    const decision = { decision: 'approved', remarks: 'Seen' };
    await post(`requisitions/${asked.body.id}/decisions`, decision, approver).expect(201);
    const ordered = await post(`requisitions/${asked.body.id}/orders`, {}).expect(201);
    expect(ordered.body.orders.length).toBeGreaterThan(0);
    const after = await plan(at, { replansId: before.id });
    const next = await linesOf(after.id);
    const sum = (some: readonly SupplyPlanLine[]) =>
      some.reduce((total, { quantity }) => total + Number(quantity), 0);
    // what is on order is not ordered again, and what is not is planned as it was
    expect(sum(next)).toBeLessThan(sum(lines));
    expect(next.map(keyOf)).toEqual(lines.filter((line) => !taken.includes(line)).map(keyOf));
    expect(after.replansId).toBe(before.id);
  });

  it('changes only what it must when a build begins two weeks earlier', async () => {
    const at = await market();
    // the first of South, which needs no sand: cement and wire may share the yard's lorry, sand comes alone
    const bill = at.tank.filter(({ materialId }) => materialId !== at.sand.id);
    const moved = await at.add(at.south.id, '2031-02-03', bill);
    const before = await plan(at);
    const was = await linesOf(before.id);
    await at.move(moved, '2031-01-20');
    at.facts.set(moved, { villageId: at.south.id, startOn: '2031-01-20', bill });
    const after = await plan(at, { replansId: before.id });
    const is = await linesOf(after.id);
    expectCovered(is, needsOf(at.facts.values()));
    const [then, now] = [new Set(was.map(keyOf)), new Set(is.map(keyOf))];
    const changed = [
      ...was.filter((line) => !now.has(keyOf(line))),
      ...is.filter((line) => !then.has(keyOf(line))),
    ];
    expect(changed.length).toBeGreaterThan(0);
    const concerned = new Set<unknown>([at.cement.id, at.wire.id]);
    expect(
      changed.filter(
        ({ deliveryVillageId, materialId }) =>
          deliveryVillageId !== at.south.id || !concerned.has(materialId),
      ),
    ).toEqual([]);
    expect((await linesOf(before.id)).map(keyOf)).toEqual(was.map(keyOf));
  });
});

describe('needs that cannot be served', () => {
  it('are named with the reason, and the rest is planned', async () => {
    const at = await market();
    const { made, south, north, yard } = at;
    const [none, abroad, slow, undelivered] = [
      await made.material({ name: 'None' }),
      await made.material({ name: 'Abroad' }),
      await made.material({ name: 'Slow' }),
      await made.material({ name: 'Undelivered' }),
    ];
    await at.offer(yard.id, abroad.id, { currency: 'USD' });
    await at.offer(yard.id, slow.id, { leadDays: 40 });
    const far = await made.supplier();
    await at.offer(far.id, undelivered.id);
    await at.delivery(far.id, north.id);
    const bill = [none, abroad, slow, undelivered].map(({ id }) => ({
      stageCode: 'base' as const,
      materialId: id,
      quantity: '12.5',
    }));
    // due on 27 January, in the fourth week; 40 working days before lie in December
    await at.add(south.id, '2031-02-03', bill);
    const found = await plan(at);
    const by = new Map(found.shortfalls.map((one) => [one.materialId, one]));
    expect(found.shortfalls).toHaveLength(4);
    for (const one of found.shortfalls) {
      expect(one).toMatchObject({
        villageId: south.id,
        periodStartsOn: '2031-01-27',
        quantity: '12.5',
      });
    }
    expect(by.get(none.id)).toMatchObject({
      reason: 'no-offer',
      detail: 'Nobody offers it in this season.',
    });
    expect(by.get(abroad.id)).toMatchObject({
      reason: 'no-offer-in-currency',
      detail: 'is in USD, not EUR',
    });
    expect(by.get(slow.id)).toMatchObject({ reason: 'cannot-arrive-in-time' });
    // 40 working days, Sundays off, from Monday 6 January end on Friday 21 February
    expect(by.get(slow.id)?.detail).toContain('2031-02-21');
    expect(by.get(undelivered.id)).toMatchObject({ reason: 'no-offer' });
    expect(by.get(undelivered.id)?.detail).toContain(`does not deliver to ${south.code}`);
    at.facts.delete([...at.facts.keys()].at(-1) ?? '');
    expectCovered(await linesOf(found.id), needsOf(at.facts.values()));
  });

  it('say that a village is cut off', async () => {
    const at = await market();
    const island = await at.made.village({ name: 'Island', reachableMonths: [5, 6] });
    await at.delivery(at.yard.id, island.id);
    await at.add(island.id, '2031-02-03', [
      { stageCode: 'base', materialId: at.wire.id, quantity: '4' },
    ]);
    const found = await plan(at);
    expect(found.shortfalls).toMatchObject([
      {
        villageId: island.id,
        reason: 'village-not-reachable',
        detail: 'No delivery can come in this season.',
      },
    ]);
  });

  it('name the days that are too few, also where a later month is closed', async () => {
    const at = await market();
    // South is closed in April only; what is due on 6 January cannot be ordered five days before
    await at.add(at.south.id, '2031-01-13', [
      { stageCode: 'base', materialId: at.wire.id, quantity: '4' },
    ]);
    const [short] = (await plan(at, { startsOn: '2031-01-09' })).shortfalls;
    expect(short).toMatchObject({ materialId: at.wire.id, reason: 'cannot-arrive-in-time' });
  });
});

describe('a request for a supply plan', () => {
  it('is refused for money of another currency, an unknown earlier plan, and others', async () => {
    const at = await market();
    const other = await market();
    const foreign = await plan(other);
    const dollars = { amount: '100.00', currency: 'USD' };
    const euros = { amount: '100.00', currency: 'EUR' };
    const money = await request(at.programmeId, {
      cashLimits: [euros, dollars],
      changePenalty: dollars,
    });
    expect(
      expectProblem(money, 422, 'invalid-content').errors?.map(({ pointer, rejectedValue }) => [
        pointer,
        rejectedValue,
      ]),
    ).toEqual([
      ['/cashLimits/1/currency', 'USD'],
      ['/changePenalty/currency', 'USD'],
    ]);
    for (const replansId of [randomUUID(), foreign.id]) {
      const { errors } = expectProblem(
        await request(at.programmeId, { replansId }),
        422,
        'invalid-content',
      );
      expect(errors).toMatchObject([{ pointer: '/replansId', rejectedValue: replansId }]);
    }
    const stranger = await service.person(['coordinator']);
    const storekeeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await request(at.programmeId, {}, stranger), 404, 'not-found');
    expectProblem(await request(at.programmeId, {}, storekeeper), 403, 'forbidden');
    for (const path of ['', '/lines', '/lines.csv']) {
      expectProblem(await get(`supply-plans/${foreign.id}${path}`, stranger), 404, 'not-found');
    }
    const waits = await get(`jobs?state=queued`).expect(200);
    expect(waits.body.items).toEqual([]);
  });

  it('ends with a refusal when nothing is to be ordered', async () => {
    const season = await makeSupplySeason(service, coordinator);
    const job = await run(season.programmeId);
    expect(job).toMatchObject({ state: 'failed' });
    expect(JSON.stringify(job.error)).toContain('cover every dated need');
    const listed = await get(`programmes/${season.programmeId}/supply-plans`).expect(200);
    expect(listed.body.items).toEqual([]);
  });

  it('leaves the earlier plan as it is when it is cancelled or fails', async () => {
    const at = await market();
    const before = await plan(at);
    const lines = await linesOf(before.id);
    const cancelled = await run(at.programmeId, { replansId: before.id }, async (running) => {
      let isAsked = false;
      return planSupply({
        ...running,
        step: async (progress, work) => {
          if (!isAsked) {
            isAsked = true;
            await post(`jobs/${running.id}/cancellations`, {}).expect(200);
          }
          return running.step(progress, work);
        },
      });
    });
    expect(cancelled.state).toBe('cancelled');
    const failed = await run(at.programmeId, {}, (running) =>
      planSupply({
        ...running,
        step: (progress, work) =>
          running.step(progress, async (tx) => {
            await work(tx);
            if (progress.done === progress.total) throw new Error('killed');
            return undefined as never;
          }),
      }),
    );
    expect(failed.state).toBe('failed');
    const listed = await get(`programmes/${at.programmeId}/supply-plans`).expect(200);
    expect(listed.body.items.map(({ id }: { id: string }) => id)).toEqual([before.id]);
    expect((await get(`supply-plans/${before.id}`)).body).toEqual(before);
    expect(await linesOf(before.id)).toEqual(lines);
  });
});

/** Days from Monday to Saturday after one day, up to another. */
function workingDaysBetween(from: string, until: string): number {
  let count = 0;
  for (let day = addDays(from, 1); day <= until; day = addDays(day, 1)) {
    if (isoWeekday(day) <= 6) count += 1;
  }
  return count;
}

function binary(response: NodeJS.ReadableStream, done: (e: null, b: Buffer) => void) {
  const parts: Buffer[] = [];
  response.on('data', (part: Buffer) => parts.push(part));
  response.on('end', () => done(null, Buffer.concat(parts)));
}
