import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  type MovedBuild,
  type SeasonPlanStage,
  seasonPlan,
  seasonPlanStage,
} from '../../shared/contract/season-plan.ts';
import { addDays, daysBetween, isoWeekday } from '../../shared/units/calendar.ts';
import {
  FailedJob,
  makePlannedSeason,
  SEASON_STAGES,
  SEASON_STARTS_ON,
} from '../support/planned-season.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

vi.setConfig({ testTimeout: 60_000 });

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
});
afterAll(() => service.close());
beforeEach(() => service.db.pool.query('delete from pgboss.job'));

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);

function grouped(stages: readonly SeasonPlanStage[], keyOf: (stage: SeasonPlanStage) => string) {
  const groups = new Map<string, SeasonPlanStage[]>();
  for (const stage of stages) {
    const group = groups.get(keyOf(stage));
    if (group) group.push(stage);
    else groups.set(keyOf(stage), [stage]);
  }
  return groups;
}

/** Rules of the season held by hand over the dates that the service answers. */
function expectWorkable(stages: readonly SeasonPlanStage[]): void {
  const byBuild = grouped(stages, ({ buildId }) => buildId);
  for (const own of byBuild.values()) {
    const at = new Map(own.map((one) => [one.stageCode, one]));
    expect(at.size).toBe(SEASON_STAGES.length);
    expect(new Set(own.map(({ crewId }) => crewId)).size).toBe(1);
    for (const { code, after, minimumWaitDays: _ } of SEASON_STAGES) {
      const stage = at.get(code);
      if (!stage) throw new Error(`no ${code}`);
      expect(isoWeekday(stage.startsOn)).not.toBe(7);
      expect(isoWeekday(stage.finishesOn)).not.toBe(7);
      for (const earlier of after) {
        const before = at.get(earlier);
        const rule = SEASON_STAGES.find((one) => one.code === earlier);
        if (!before || !rule) throw new Error(`no ${earlier}`);
        const waited = daysBetween(before.finishesOn, stage.startsOn) - 1;
        expect(waited).toBeGreaterThanOrEqual(rule.minimumWaitDays);
        expect(waited).toBeLessThanOrEqual(rule.maximumWaitDays ?? Number.POSITIVE_INFINITY);
      }
    }
  }
  for (const own of grouped(stages, ({ crewId }) => crewId ?? '').values()) {
    const people = new Map<string, number>();
    const villages = new Map<string, string>();
    for (const { startsOn, finishesOn, stageCode, villageId } of own) {
      const { crewSize = 0 } = SEASON_STAGES.find(({ code }) => code === stageCode) ?? {};
      for (let on = startsOn; on <= finishesOn; on = addDays(on, 1)) {
        if (isoWeekday(on) === 7) continue;
        people.set(on, (people.get(on) ?? 0) + crewSize);
        expect(villages.get(on) ?? villageId, `two villages on ${on}`).toBe(villageId);
        villages.set(on, villageId);
      }
    }
    expect(Math.max(...people.values())).toBeLessThanOrEqual(5);
    const days = [...villages].toSorted(([a], [b]) => (a < b ? -1 : 1));
    for (const [turn, [on, village]] of days.entries()) {
      const [before, from] = days[turn - 1] ?? [on, village];
      if (from !== village) expect(daysBetween(before, on)).toBeGreaterThanOrEqual(2);
    }
  }
}

describe('a season plan', () => {
  it('says who builds which stage when, workable day by day, beside a day it cannot beat', async () => {
    const season = await makePlannedSeason(service, coordinator);
    const plan = seasonPlan.parse(await season.plan());
    expect(plan).toMatchObject({ standing: 'draft', purpose: 'plan', startsOn: SEASON_STARTS_ON });
    const { figures } = plan;
    expect(figures).toMatchObject({
      buildCount: 6,
      stageCount: 30,
      leftOutCount: 0,
      against: null,
    });
    expect(figures.boundDays).toBeLessThanOrEqual(figures.finishDays);
    expect(daysBetween(plan.startsOn, plan.finishesOn) + 1).toBe(figures.finishDays);
    expect(figures.oneTankAfterAnother?.savedDays).toBeGreaterThan(0);
    const stages = (await season.stagesOf(plan.id)).map((stage) => seasonPlanStage.parse(stage));
    expect(stages).toHaveLength(30);
    expectWorkable(stages);
    const last = stages
      .map(({ finishesOn }) => finishesOn)
      .toSorted()
      .at(-1);
    expect(last).toBe(plan.finishesOn);
    const again = await season.plan();
    expect(await season.stagesOf(again.id)).toEqual(stages);
  });

  it('comes as CSV and as a workbook, stage by stage', async () => {
    const season = await makePlannedSeason(service, coordinator, { buildsEach: 1 });
    const plan = await season.plan();
    const csv = await get(`season-plans/${plan.id}/stages.csv`).expect(200);
    const rows: Record<string, string>[] = parse(csv.text, { bom: true, columns: true });
    expect(rows).toHaveLength(10);
    expect(new Set(rows.map((row) => row.stage_code))).toEqual(
      new Set(SEASON_STAGES.map(({ code }) => code)),
    );
    const book = await get(`season-plans/${plan.id}/stages.xlsx`).expect(200);
    expect(book.headers['content-type']).toContain('spreadsheetml');
  });

  it('plans nothing in the rains that rain blocks, and nobody while a crew is away', async () => {
    const season = await makePlannedSeason(service, coordinator, { villages: 1, crews: 1 });
    const [crewId] = season.crewIds;
    const plan = await season.plan({
      purpose: 'what-if',
      assumptions: {
        rains: { fromOn: '2031-01-13', untilOn: '2031-01-25' },
        crewsAway: [{ crewId, fromOn: '2031-02-03', untilOn: '2031-02-08' }],
      },
    });
    const stages = await season.stagesOf(plan.id);
    expectWorkable(stages);
    for (const { stageCode, startsOn, finishesOn } of stages) {
      const isAway = startsOn <= '2031-02-08' && finishesOn >= '2031-02-03';
      expect(isAway).toBe(false);
      const isWet = startsOn <= '2031-01-25' && finishesOn >= '2031-01-13';
      if (SEASON_STAGES.find(({ code }) => code === stageCode)?.isBlockedByRain) {
        expect(isWet, `${stageCode} ${startsOn}`).toBe(false);
      }
    }
  });

  it('leaves out builds that may not begin, and names them', async () => {
    const season = await makePlannedSeason(service, coordinator, { buildsEach: 2 });
    const [first] = season.buildIds[0] ?? [];
    await service.as(coordinator, (tx) =>
      tx.sql(
        'update site set agreed_on = null where id = (select site_id from build where id = $1)',
        [first],
      ),
    );
    const { figures } = await season.plan();
    expect(figures).toMatchObject({ buildCount: 3, leftOutCount: 1 });
    expect(figures.leftOut).toEqual([
      { buildId: first, buildCode: expect.any(String), reason: 'the site is not agreed' },
    ]);
  });
});

describe('the life of a plan', () => {
  it('is published once, dates the builds, and gives way to the next one', async () => {
    const season = await makePlannedSeason(service, coordinator);
    const first = await season.plan();
    const published = await season.publish(first.id);
    expect(published.status, published.text).toBe(201);
    expect(published.body).toMatchObject({ standing: 'published', versionNumber: 1 });
    const stages = await season.stagesOf(first.id);
    for (const buildId of season.buildIds.flat()) {
      const own = stages.filter((stage) => stage.buildId === buildId);
      const build = await get(`builds/${buildId}`).expect(200);
      expect(build.body.plannedStartOn).toBe(own.map(({ startsOn }) => startsOn).toSorted()[0]);
      expect(build.body.crewId).toBe(own[0]?.crewId);
    }
    expectProblem(await season.publish(first.id), 422, 'rule-broken');
    const second = await season.plan({ purpose: 'replan' });
    expect(second).toMatchObject({ basedOnId: first.id, purpose: 'replan' });
    expect(second.figures.against).toMatchObject({
      planId: first.id,
      movedStageCount: 0,
      crewIds: [],
    });
    const next = await season.publish(second.id, 'Nothing new');
    expect(next.body).toMatchObject({ standing: 'published', versionNumber: 2 });
    const old = await get(`season-plans/${first.id}`).expect(200);
    expect(old.body).toMatchObject({ standing: 'superseded', versionNumber: 1 });
  });

  it('is not published when another was in the meantime, nor when it only supposes', async () => {
    const season = await makePlannedSeason(service, coordinator, { buildsEach: 1 });
    const [one, other] = [await season.plan(), await season.plan()];
    const supposed = await season.plan({ purpose: 'what-if', assumptions: {} });
    expect((await season.publish(one.id)).status).toBe(201);
    expect(expectProblem(await season.publish(other.id), 422, 'rule-broken').rule).toBe(
      'plan-is-outdated',
    );
    expect(expectProblem(await season.publish(supposed.id), 422, 'rule-broken').rule).toBe(
      'what-if-is-not-published',
    );
    const aside = await post(`season-plans/${other.id}/settings-aside`, {}).expect(201);
    expect(aside.body.standing).toBe('set-aside');
  });

  it('plans again after a week of delay in one village with only the crews concerned', async () => {
    const season = await makePlannedSeason(service, coordinator, {
      villages: 4,
      buildsEach: 2,
      crews: 4,
    });
    const first = await season.plan();
    await season.publish(first.id);
    const stages = await season.stagesOf(first.id);
    const [late = ''] = season.villageIds;
    for (const buildId of season.buildIds[0] ?? []) {
      const build = await get(`builds/${buildId}`).expect(200);
      await service.http
        .patch(`/v1/builds/${buildId}`)
        .set(coordinator.auth)
        .set('If-Match', String(build.headers.etag))
        .send({ earliestStartOn: addDays(build.body.plannedStartOn, 7) })
        .expect(200);
    }
    const again = await season.plan({ purpose: 'replan' });
    expectWorkable(await season.stagesOf(again.id));
    const concerned = new Set(
      stages.filter(({ villageId }) => villageId === late).map(({ crewId }) => crewId),
    );
    const moved = await get(`season-plans/${again.id}/moved-builds?limit=200`).expect(200);
    expect(moved.body.items.length).toBeGreaterThan(0);
    for (const { crewCodesBefore, crewCodesAfter, buildId } of moved.body.items as MovedBuild[]) {
      const before = stages.find((stage) => stage.buildId === buildId);
      expect(concerned, `${crewCodesBefore} to ${crewCodesAfter}`).toContain(before?.crewId);
    }
    for (const crewId of again.figures.against?.crewIds ?? []) expect(concerned).toContain(crewId);
  });
});

describe('pins and suppositions', () => {
  it('are kept to the day and the crew, and a what-if shows what they cost', async () => {
    const season = await makePlannedSeason(service, coordinator);
    const first = await season.plan();
    await season.publish(first.id);
    const [buildId = ''] = season.buildIds[0] ?? [];
    const [, crewId = ''] = season.crewIds;
    const pin = { buildId, stageCode: 'slab', crewId, startsOn: '2031-02-17' };
    const supposed = await season.plan({ purpose: 'what-if', assumptions: { pins: [pin] } });
    expect(supposed.figures.against?.finishDays).toBeGreaterThan(0);
    const kept = await post('season-pins', { ...pin, reason: 'The household asked' }).expect(201);
    const again = await season.plan({ purpose: 'replan' });
    const slab = (await season.stagesOf(again.id)).find(
      (stage) => stage.buildId === buildId && stage.stageCode === 'slab',
    );
    expect(slab).toMatchObject({ crewId, startsOn: '2031-02-17', isPinned: true });
    expectProblem(await post('season-pins', { ...pin, reason: 'Again' }), 422, 'rule-broken');
    await post(`season-pins/${kept.body.id}/endings`, {}).expect(201);
    const pins = await get(`season-pins?programmeId=${season.programmeId}`).expect(200);
    expect(pins.body.items).toEqual([]);
  });

  it('names the smallest set of pins that cannot hold together', async () => {
    const season = await makePlannedSeason(service, coordinator, { villages: 1, crews: 1 });
    const [one = '', two = '', three = ''] = season.buildIds[0] ?? [];
    const pins = [
      { buildId: one, stageCode: 'slab', startsOn: '2031-01-20' },
      { buildId: two, stageCode: 'slab', startsOn: '2031-01-21' },
      { buildId: three, stageCode: 'wall', startsOn: '2031-01-20' },
    ];
    const ids: string[] = [];
    for (const pin of pins) {
      ids.push((await post('season-pins', { ...pin, reason: 'Wish' }).expect(201)).body.id);
    }
    const failed = await season.plan().catch((error: unknown) => error);
    if (!(failed instanceof FailedJob)) throw new Error('the plan was found');
    expect(failed.problem.rule).toBe('season-wishes-conflict');
    const [first] = failed.problem.errors ?? [];
    expect(first?.code).toBe('wishes.conflict');
    // Five people cannot lay a slab and a wall of four each on one day; the second slab is no part of it.
    expect(first?.message).toContain(ids[0]);
    expect(first?.message).toContain(ids[2]);
    expect(first?.message).not.toContain(ids[1]);
  });

  it('finish sooner with one crew more and later with late cement, without touching the plan', async () => {
    const season = await makePlannedSeason(service, coordinator, { buildsEach: 4, crews: 1 });
    const first = await season.plan();
    await season.publish(first.id);
    const more = await season.plan({
      purpose: 'what-if',
      assumptions: { extraCrews: [{ code: 'EXTRA', size: 5 }] },
    });
    expect(more.figures.against?.finishDays).toBeLessThan(0);
    const late = await season.plan({
      purpose: 'what-if',
      assumptions: { lateMaterials: [{ notBeforeOn: '2031-02-10', stageCodes: ['first-coat'] }] },
    });
    expect(late.figures.against?.finishDays).toBeGreaterThan(0);
    for (const { stageCode, startsOn } of await season.stagesOf(late.id)) {
      if (stageCode === 'first-coat') expect(startsOn >= '2031-02-10').toBe(true);
    }
    const still = await get(`season-plans/${first.id}`).expect(200);
    expect(still.body.standing).toBe('published');
  });
});

describe('refusals', () => {
  it('names what a request gets wrong', async () => {
    const season = await makePlannedSeason(service, coordinator, { buildsEach: 1 });
    const plans = `programmes/${season.programmeId}/season-plans`;
    const other = await makePlannedSeason(service, coordinator, { buildsEach: 1, villages: 1 });
    expectProblem(await post(plans, { assumptions: {} }), 422, 'invalid-content');
    expect(expectProblem(await post(plans, { purpose: 'replan' }), 422, 'rule-broken').rule).toBe(
      'no-published-plan',
    );
    const foreign = {
      purpose: 'what-if',
      assumptions: {
        crewsAway: [{ crewId: other.crewIds[0], fromOn: '2031-01-06', untilOn: '2031-01-07' }],
      },
    };
    const problem = expectProblem(await post(plans, foreign), 422, 'invalid-content');
    expect(problem.errors?.[0]?.pointer).toBe('/assumptions/crewsAway/0/crewId');
    const [buildId] = season.buildIds[0] ?? [];
    for (const pin of [
      { buildId, reason: 'x' },
      { buildId, startsOn: '2031-01-06', reason: 'x' },
      { buildId, stageCode: 'no-such', startsOn: '2031-01-06', reason: 'x' },
      { buildId, crewId: other.crewIds[0], reason: 'x' },
    ]) {
      expectProblem(await post('season-pins', pin), 422, 'invalid-content');
    }
  });

  it('lets only those who run the programme publish, and nobody of another organisation look', async () => {
    const season = await makePlannedSeason(service, coordinator, { buildsEach: 1 });
    const plan = await season.plan();
    const supervisor = await service.person(['supervisor'], coordinator.organisationId);
    expectProblem(
      await post(`season-plans/${plan.id}/publications`, { reason: 'x' }, supervisor),
      403,
      'forbidden',
    );
    await get(`season-plans/${plan.id}/stages`, supervisor).expect(200);
    const stranger = await service.person(['coordinator']);
    expectProblem(await get(`season-plans/${plan.id}`, stranger), 404, 'not-found');
    expectProblem(await get(`season-plans/${plan.id}/stages`, stranger), 404, 'not-found');
  });
});
