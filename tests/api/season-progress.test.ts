import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  type SeasonProgress,
  type SeasonProgressRow,
  seasonProgress,
  type ValueCurveRecord,
  valueCurveRecord,
} from '../../shared/contract/season-progress.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { seededRandom } from '../../src/demo/seeded-random.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { signedMicro, sumOf } from '../support/exact.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';
import { recountSeason, type Sums } from '../support/value-recount.ts';
import {
  buyGoods,
  makeValuedSeason,
  moveGoods,
  recordWork,
  spend,
  VALUED_STARTS_ON,
  type ValuedSeason,
} from '../support/valued-season.ts';

const TODAY = '2026-06-30';
const clock = { ...systemClock, today: () => TODAY };

let service: TestService;

beforeAll(async () => {
  service = await startTestService({ clock });
});
afterAll(() => service.close());

const cents = ({ amount }: { amount: string }) => signedMicro(amount) / 10_000n;

async function progressOf(
  season: ValuedSeason,
  query: Record<string, string>,
): Promise<SeasonProgress> {
  const asked = new URLSearchParams({ limit: '200', ...query });
  const answer = await service.http
    .get(`/v1/programmes/${season.programmeId}/season-progress?${asked}`)
    .set(season.person.auth);
  expect(answer.status, answer.text).toBe(200);
  return seasonProgress.parse(answer.body);
}

async function curveOf(
  season: ValuedSeason,
  query: Record<string, string>,
): Promise<ValueCurveRecord> {
  const answer = await service.http
    .get(`/v1/programmes/${season.programmeId}/value-curve?${new URLSearchParams(query)}`)
    .set(season.person.auth);
  expect(answer.status, answer.text).toBe(200);
  return valueCurveRecord.parse(answer.body);
}

const sumsOf = (row: Omit<SeasonProgressRow, 'id' | 'code' | 'name'>): Sums => ({
  bac: cents(row.budgetAtCompletion),
  pv: cents(row.plannedValue),
  ev: cents(row.earnedValue),
  ac: cents(row.actualCost),
  inKindBac: cents(row.inKind.budget),
  inKindEv: cents(row.inKind.earned),
  contributed: cents(row.inKind.contributed),
});

const added = (rows: readonly SeasonProgressRow[], key: keyof Sums) =>
  sumOf(rows, (row) => sumsOf(row)[key]);

const KEYS = ['bac', 'pv', 'ev', 'ac', 'inKindBac', 'inKindEv', 'contributed'] as const;

describe('progress and money of random seasons', () => {
  it.each([
    { seed: 1, isPublished: true, rule: '0-100' as const },
    { seed: 2, isPublished: true, rule: 'by-length' as const },
    { seed: 3, isPublished: false, rule: '0-100' as const },
    { seed: 4, isPublished: false, rule: 'by-length' as const },
  ])(
    'add up to the cent and are what the tables say: $seed, published $isPublished, $rule',
    async ({ seed, isPublished, rule }) => {
      const random = seededRandom(seed);
      const season = await makeValuedSeason(service, random, { builds: 14, isPublished });
      await recordWork(service, season, random);
      await spend(service, season, random, 60);
      let earnedSomewhere = 0n;
      for (const days of [6, 25, 48, 120]) {
        const dataDate = addDays(VALUED_STARTS_ON, days);
        const recount = await recountSeason(service, season, dataDate, rule);
        const asked = { dataDate, earningRule: rule };
        const whole = await progressOf(season, { ...asked, by: 'programme' });
        expect(sumsOf(whole.total)).toEqual(recount.total);
        expect(whole.baseline).toMatchObject(
          isPublished
            ? { kind: 'published-plan', amounts: 'frozen', versionNumber: 1 }
            : { kind: 'planned-starts', amounts: 'bills-now', seasonPlanId: null },
        );
        expect(whole.earningRule.code).toBe(rule);
        expect(cents(whole.reconciliation.costs.accruedAndPaid)).toBe(recount.accruedAndPaid);
        earnedSomewhere += recount.total.ev;
        for (const by of ['build', 'village', 'crew', 'grant', 'programme'] as const) {
          const found = await progressOf(season, { ...asked, by });
          expect(found.nextCursor).toBeNull();
          expect(sumsOf(found.total)).toEqual(recount.total);
          const hasRest = by === 'build' || by === 'village' || by === 'crew';
          for (const key of KEYS) {
            const rest = !hasRest
              ? 0n
              : key === 'ac'
                ? cents(found.costWithoutBuild)
                : key === 'contributed'
                  ? cents(found.inKindWithoutBuild)
                  : 0n;
            expect(added(found.items, key) + rest, `${by} ${key}`).toBe(recount.total[key]);
          }
          expect(cents(found.costWithoutBuild)).toBe(hasRest ? recount.withoutBuild : 0n);
          expect(cents(found.reconciliation.budget.difference)).toBe(0n);
          expect(cents(found.reconciliation.costs.difference)).toBe(0n);
          const counted = by === 'build' ? recount.byBuild : recount.byGrant;
          if (by !== 'build' && by !== 'grant') continue;
          for (const row of found.items) {
            const expected = counted.get(row.id ?? '');
            if (expected) expect(sumsOf(row), `${by} ${row.id}`).toEqual(expected);
            else expect(KEYS.map((key) => sumsOf(row)[key])).toEqual(KEYS.map(() => 0n));
          }
          const ids = new Set(found.items.map(({ id }) => id ?? ''));
          expect([...counted.keys()].filter((id) => !ids.has(id))).toEqual([]);
        }
      }
      expect(earnedSomewhere).toBeGreaterThan(0n);
    },
    120_000,
  );

  it.each([
    { seed: 5, isPublished: true, earningRule: '0-100' },
    { seed: 6, isPublished: true, earningRule: 'by-length' },
    { seed: 7, isPublished: false, earningRule: 'by-length' },
  ])(
    'have curves that rise, the plan between earliest and latest: $seed',
    async ({ seed, isPublished, earningRule }) => {
      const random = seededRandom(seed);
      const season = await makeValuedSeason(service, random, { builds: 10, isPublished });
      await recordWork(service, season, random);
      await spend(service, season, random, 30);
      const goods = await buyGoods(service, season, {
        ordered: '100',
        amount: '333.33',
        received: '60',
        receivedOn: addDays(VALUED_STARTS_ON, 10),
        owed: '200.00',
      });
      const issuedOn = addDays(VALUED_STARTS_ON, 20);
      const [first = ''] = season.buildIds;
      await moveGoods(service, season, 'issue', goods.materialId, '-25', issuedOn, first);
      const dataDate = addDays(VALUED_STARTS_ON, 45);
      const daily = await curveOf(season, { dataDate, earningRule, step: 'day' });
      let before = { planned: -1n, early: -1n, late: -1n };
      let apart = 0;
      for (const point of daily.points) {
        const [planned, early, late] = [
          point.plannedValue,
          point.earliestValue,
          point.latestValue,
        ].map(cents) as [bigint, bigint, bigint];
        expect(early >= planned && planned >= late, point.on).toBe(true);
        expect(planned >= before.planned && early >= before.early && late >= before.late).toBe(
          true,
        );
        if (early > planned && planned > late) apart += 1;
        before = { planned, early, late };
        expect(point.earnedValue === null).toBe(point.on > dataDate);
        expect(point.actualCost === null).toBe(point.on > dataDate);
      }
      expect(apart).toBeGreaterThan(3);
      expect(before.early).toBe(before.late);
      // Each day of the curve is what the progress of that day says.
      for (const days of [9, 12, 21, 33, 45]) {
        const on = addDays(VALUED_STARTS_ON, days);
        const { total } = await progressOf(season, { dataDate: on, earningRule });
        const point = daily.points.find((one) => one.on === on);
        expect(point?.plannedValue).toEqual(total.plannedValue);
        expect(point?.earnedValue).toEqual(total.earnedValue);
        expect(point?.actualCost).toEqual(total.actualCost);
      }
      const weekly = await curveOf(season, { dataDate, earningRule });
      expect(weekly.points.some(({ on }) => on === dataDate)).toBe(true);
      for (const point of weekly.points) {
        const same = daily.points.find(({ on }) => on === point.on);
        if (same) expect(point).toEqual(same);
      }
      expect(weekly.points.length).toBeLessThan(daily.points.length / 5);
    },
    60_000,
  );
});

describe('goods that were bought', () => {
  it('are a cost when they are issued, stand apart before, and are a loss when they are written off', async () => {
    const random = seededRandom(11);
    const season = await makeValuedSeason(service, random, { builds: 3, isPublished: true });
    const [first = '', second = ''] = season.buildIds;
    const [grantId = '', otherId = ''] = season.grantIds;
    // 10 kg for 50.00, all received: 5.00 a kilogram. By hand.
    const wire = await buyGoods(service, season, {
      ...{ ordered: '10', amount: '50.00', received: '10', receivedOn: '2026-03-10' },
      ...{ owed: '50.00', grantId },
    });
    const at = async (dataDate: string, by = 'build') => progressOf(season, { dataDate, by });
    const costOf = ({ items }: SeasonProgress, id: string) =>
      items.find((row) => row.id === id)?.actualCost.amount;
    const received = await at('2026-03-12');
    expect(received.total.actualCost.amount).toBe('0.00');
    expect(received.stockNotYetUsed.amount).toBe('50.00');

    const { materialId } = wire;
    await moveGoods(service, season, 'issue', materialId, '-4', '2026-03-15', first);
    await moveGoods(service, season, 'issue', materialId, '-3', '2026-03-16', second);
    await moveGoods(service, season, 'return', materialId, '1', '2026-03-18', second);
    const issued = await at('2026-03-20');
    expect(issued.stockNotYetUsed.amount).toBe('20.00');
    expect([costOf(issued, first), costOf(issued, second)]).toEqual(['20.00', '10.00']);
    expect(issued.total.actualCost.amount).toBe('30.00');
    expect(issued.costWithoutBuild.amount).toBe('0.00');
    expect((await at('2026-03-15')).stockNotYetUsed.amount).toBe('30.00');

    await moveGoods(service, season, 'write-off', materialId, '-1', '2026-03-22');
    const lost = await at('2026-03-25');
    expect(lost.stockNotYetUsed.amount).toBe('15.00');
    expect(lost.total.actualCost.amount).toBe('35.00');
    expect(lost.costWithoutBuild.amount).toBe('5.00');
    const part = (code: string) =>
      lost.reconciliation.costs.items.find((one) => one.code === code)?.amount.amount;
    expect(part('goods-used')).toBe('30.00');
    expect(part('goods-gone')).toBe('5.00');
    expect(part('stock-not-yet-used')).toBe('15.00');
    expect(lost.reconciliation.costs.accruedAndPaid.amount).toBe('50.00');

    // The same material bought again, dearer, for another grant: 10 kg for 70.00. All of it is alike:
    // 120.00 for 20 kg, of which 6 are used, 1 is gone and 13 are left.
    await buyGoods(service, season, {
      ...{ ordered: '10', amount: '70.00', received: '10', receivedOn: '2026-04-01' },
      ...{ owed: '70.00', grantId: otherId, materialId },
    });
    const mixed = await at('2026-04-02', 'grant');
    expect(mixed.stockNotYetUsed.amount).toBe('78.00');
    expect(mixed.total.actualCost.amount).toBe('42.00');
    // 50/120 of the stock was charged to one grant and 70/120 to the other.
    expect(costOf(mixed, grantId)).toBe('17.50');
    expect(costOf(mixed, otherId)).toBe('24.50');
  });

  it('of an order for one build leave what they cost beside the goods with it', async () => {
    const random = seededRandom(12);
    const season = await makeValuedSeason(service, random, { builds: 2, isPublished: true });
    const [first = '', second = ''] = season.buildIds;
    // 10 kg are worth 50.00, and 56.00 is owed: 6.00 of charges.
    const wire = await buyGoods(service, season, {
      ...{ ordered: '10', amount: '50.00', received: '10', receivedOn: '2026-03-10' },
      ...{ owed: '56.00', buildId: first },
    });
    await moveGoods(service, season, 'issue', wire.materialId, '-5', '2026-03-12', second);
    const found = await progressOf(season, { dataDate: '2026-03-12', by: 'build' });
    const costOf = (id: string) => found.items.find((row) => row.id === id)?.actualCost.amount;
    expect([costOf(first), costOf(second)]).toEqual(['6.00', '25.00']);
    expect(found.stockNotYetUsed.amount).toBe('25.00');
    expect(found.costWithoutBuild.amount).toBe('0.00');
  });

  it('from elsewhere share what is in hand with those that were bought', async () => {
    const random = seededRandom(13);
    const season = await makeValuedSeason(service, random, { builds: 2, isPublished: true });
    const wire = await buyGoods(service, season, {
      ...{ ordered: '10', amount: '50.00', received: '10', receivedOn: '2026-03-10' },
      owed: '50.00',
    });
    // 30 kg were given; 10 of the 40 are lost, a quarter of them ours: 7.5 kg of 5.00 are left.
    await moveGoods(service, season, 'receive', wire.materialId, '30', '2026-03-11');
    await moveGoods(service, season, 'write-off', wire.materialId, '-10', '2026-03-12');
    const found = await progressOf(season, { dataDate: '2026-03-13' });
    expect(found.stockNotYetUsed.amount).toBe('37.50');
  });
});

describe('the baseline', () => {
  it('keeps its amounts when bills are priced again, and names the difference', async () => {
    const random = seededRandom(21);
    const season = await makeValuedSeason(service, random, { builds: 5, isPublished: true });
    const before = await progressOf(season, {});
    expect(before.dataOn).toBe(TODAY);
    expect(before.outsideBaseline.buildCount).toBe(1);
    const org = season.person.organisationId;
    const [changed, cancelled] = season.buildIds;
    await service.as(season.person, async (tx) => {
      await tx.sql(
        `update bill_line set amount = amount + 10 where organisation_id = $1 and build_id = $2 and not is_in_kind`,
        [org, changed],
      );
      await tx.sql(`update build set cancelled_on = $3 where organisation_id = $1 and id = $2`, [
        org,
        cancelled,
        '2026-06-01',
      ]);
    });
    const after = await progressOf(season, {});
    expect(after.total.budgetAtCompletion).toEqual(before.total.budgetAtCompletion);
    expect(after.cancelledInBaseline.buildCount).toBe(1);
    const items = Object.fromEntries(
      after.reconciliation.budget.items.map(({ code, amount }) => [code, amount.amount]),
    );
    expect(items['bills-changed']).toBe('-40.00');
    expect(items['cancelled-in-baseline']).toBe(after.cancelledInBaseline.amount.amount);
    expect(after.reconciliation.budget.difference.amount).toBe('0.00');
    const billsBefore = cents(before.reconciliation.budget.billsNow);
    const billsAfter = cents(after.reconciliation.budget.billsNow);
    expect(billsAfter - billsBefore).toBe(4_000n - cents(after.cancelledInBaseline.amount));
    // Before the cancellation it was in the season.
    const then = await progressOf(season, { dataDate: '2026-05-31' });
    expect(then.cancelledInBaseline.buildCount).toBe(0);
  });

  it('of planned starts leaves builds without a day out of planned value and says so', async () => {
    const random = seededRandom(22);
    const season = await makeValuedSeason(service, random, { builds: 4, isPublished: false });
    await service.as(season.person, (tx) =>
      tx.sql('update build set planned_start_on = null where organisation_id = $1 and id = $2', [
        season.person.organisationId,
        season.buildIds[0],
      ]),
    );
    const found = await progressOf(season, { by: 'build' });
    expect(found.undated.buildCount).toBeGreaterThanOrEqual(1);
    const planned = cents(found.total.plannedValue) + cents(found.undated.amount);
    expect(planned).toBe(cents(found.total.budgetAtCompletion));
    expect(found.earnedSchedule?.earnedScheduleWeeks).toBe(0);
    expect(found.earnedSchedule?.forecastFinishOn).toBeNull();
  });
});

describe('work that is recorded', () => {
  it('earns when it is accepted, and nothing again from the day on which it is found wanting', async () => {
    const random = seededRandom(31);
    const season = await makeValuedSeason(service, random, { builds: 2, isPublished: true });
    const inspector = await service.person(['inspector'], season.person.organisationId);
    const engineer = await service.person(['engineer'], season.person.organisationId);
    const [build = ''] = season.buildIds;
    const record = (body: object, who = season.person) =>
      service.http.post(`/v1/builds/${build}/stage-records`).set(who.auth).send(body);
    const earnedOn = async (dataDate: string, earningRule = '0-100') =>
      (await progressOf(season, { dataDate, earningRule })).total.earnedValue.amount;
    const slab = (kind: string, observedOn: string, more: object = {}) => ({
      ...{ stageCode: 'slab', kind, observedOn },
      ...more,
    });
    await record(slab('started', '2026-03-02')).expect(201);
    await record(slab('finished', '2026-03-04')).expect(201);
    expect(await earnedOn('2026-03-05')).toBe('0.00');
    await record(slab('hold-released', '2026-03-06'), inspector).expect(201);
    const [value] = await service.as(season.person, (tx) =>
      tx.sql<{ amount: string }>(
        `select sum(amount)::text as amount from bill_line
         where build_id = $1 and stage_code = 'slab' and not is_in_kind`,
        [build],
      ),
    );
    const worth = Number(value?.amount).toFixed(2);
    expect(await earnedOn('2026-03-05')).toBe('0.00');
    expect(await earnedOn('2026-03-06')).toBe(worth);
    expect(await earnedOn(TODAY)).toBe(worth);
    const refused = await record(
      slab('hold-refused', '2026-03-20', { reason: 'Cracked through' }),
      inspector,
    ).expect(201);
    expect(await earnedOn(TODAY)).toBe('0.00');
    expect(await earnedOn('2026-03-19')).toBe(worth);
    await record(
      slab('nonconformity-decided', '2026-03-21', {
        ...{ decidesRecordId: refused.body.id, decision: 'rework', reason: 'Cast it anew' },
      }),
      engineer,
    ).expect(201);
    await record(slab('started', '2026-03-22')).expect(201);
    await record(slab('finished', '2026-03-24')).expect(201);
    await record(slab('hold-released', '2026-03-27'), inspector).expect(201);
    expect(await earnedOn('2026-03-26')).toBe('0.00');
    expect(await earnedOn('2026-03-27')).toBe(worth);
    const recount = await recountSeason(service, season, TODAY, '0-100');
    expect(recount.total.ev).toBe(BigInt(Math.round(Number(worth) * 100)));
    const curve = await curveOf(season, { step: 'day' });
    const seen = (on: string) => curve.points.find((point) => point.on === on)?.earnedValue?.amount;
    expect(['2026-03-06', '2026-03-19', '2026-03-20', '2026-03-27'].map(seen)).toEqual([
      worth,
      worth,
      '0.00',
      worth,
    ]);
  });
});

describe('who asks and how', () => {
  let season: ValuedSeason;
  beforeAll(async () => {
    season = await makeValuedSeason(service, seededRandom(41), { builds: 5, isPublished: true });
  });

  it('comes in pages of builds', async () => {
    const first = await progressOf(season, { by: 'build', limit: '2' });
    expect(first.items).toHaveLength(2);
    const codes = first.items.map(({ code }) => code);
    let cursor = first.nextCursor;
    while (cursor !== null) {
      const next = await progressOf(season, { by: 'build', limit: '2', cursor });
      codes.push(...next.items.map(({ code }) => code));
      cursor = next.nextCursor;
    }
    const all = await progressOf(season, { by: 'build' });
    expect(codes).toEqual(all.items.map(({ code }) => code));
    expect(codes).toEqual([...codes].sort());
    const foreign = await service.http
      .get(`/v1/programmes/${season.programmeId}/season-progress?by=build&limit=3&cursor=made.up`)
      .set(season.person.auth);
    expectProblem(foreign, 422, 'invalid-content');
  });

  it('comes as CSV and as a workbook', async () => {
    const get = (path: string) =>
      service.http.get(`/v1/programmes/${season.programmeId}/${path}`).set(season.person.auth);
    const rows = await get('season-progress.csv?by=village').expect(200);
    const [header = '', ...lines] = rows.text.trim().split('\r\n');
    expect(header).toContain('budget_at_completion,planned_value,earned_value,actual_cost');
    expect(lines).toHaveLength(3);
    const { items } = await progressOf(season, { by: 'village' });
    expect(lines[0]).toContain(items[0]?.budgetAtCompletion.amount);
    const points = await get('value-curve.csv?step=week').expect(200);
    expect(points.text).toContain('on,currency,planned_value,earliest_value,latest_value');
    for (const path of ['season-progress.xlsx?by=grant', 'value-curve.xlsx']) {
      const book = await get(path).buffer(true).expect(200);
      expect(book.headers['content-type']).toContain('spreadsheetml');
    }
  });

  it('is for people who may see money, of this organisation, about days that have been', async () => {
    const url = `/v1/programmes/${season.programmeId}`;
    const supervisor = await service.person(['supervisor'], season.person.organisationId);
    const donor = await service.person(['donor'], season.person.organisationId);
    const stranger = await service.person(['coordinator']);
    for (const path of ['season-progress', 'value-curve', 'value-curve.csv']) {
      for (const who of [supervisor, donor]) {
        expectProblem(await service.http.get(`${url}/${path}`).set(who.auth), 403, 'forbidden');
      }
      const other = await service.http.get(`${url}/${path}`).set(stranger.auth);
      expectProblem(other, 404, 'not-found');
      const future = await service.http
        .get(`${url}/${path}?dataDate=2026-07-01`)
        .set(season.person.auth);
      const problem = expectProblem(future, 422, 'invalid-content');
      expect(problem.errors?.[0]).toMatchObject({
        pointer: '/dataDate',
        rejectedValue: '2026-07-01',
      });
    }
    const unknown = await service.http
      .get(`${url}/season-progress?by=colour`)
      .set(season.person.auth);
    expectProblem(unknown, 422, 'invalid-content');
  });
});
