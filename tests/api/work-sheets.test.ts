import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { workSheet } from '../../shared/contract/work-sheet.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { makeBuildWithBill } from '../support/made-bills.ts';
import { makePlannedSeason } from '../support/planned-season.ts';
import { publishPlan, type StageOfPlan } from '../support/published-plan.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2031-01-16' } });
  coordinator = await service.person(['coordinator', 'supervisor', 'engineer', 'inspector']);
});
afterAll(() => service.close());

const HOSTILE = '<script>alert("x")</script> & \'lime\'';

const read = (crewId: string, query = '?weekOf=2031-01-16', who = coordinator) =>
  service.http.get(`/v1/crews/${crewId}/work-sheet${query}`).set(who.auth);

/** One crew: a wall and a coat in the first village, then the slab of another tank a move away. */
async function makeWeek() {
  const season = await makePlannedSeason(service, coordinator, { villages: 2, buildsEach: 1 });
  const [near = '', far = ''] = season.villageIds;
  const [crewId = '', otherCrewId = ''] = season.crewIds;
  const cement = await season.made.material({ name: HOSTILE });
  const sand = await season.made.material({ name: 'Sand', category: 'aggregate' });
  const first = await makeBuildWithBill(service, coordinator, season.like, near, [
    { materialId: cement.id, quantity: '12.50', stageCode: 'wall' },
    { materialId: cement.id, quantity: '7.5', stageCode: 'wall' },
    { materialId: sand.id, quantity: '40', stageCode: 'wall', isInKind: true },
    { materialId: cement.id, quantity: '99', stageCode: 'test' },
  ]);
  const [second = ''] = season.buildIds[1] ?? [];
  await service.as(coordinator, async (tx) => {
    await tx.sql(
      `update tank_kind set stages = jsonb_set(stages, '{1}', stages->1 || $2::jsonb) where id = $1`,
      [
        season.like.tankKindId,
        JSON.stringify({
          title: 'Wall & hoops',
          needs: ['slab set', HOSTILE],
          holdPoint: 'hold',
          releasedBy: 'inspector',
          cautions: ['Cut band edges are sharp: gloves.', HOSTILE],
          checks: [
            {
              code: 'plumb',
              title: 'Out of plumb',
              unit: 'mm',
              maximum: 10,
              isCommonPractice: true,
            },
            {
              code: 'tight',
              title: 'Joints tight',
              unit: 'yes-no',
              minimum: 1,
              isCommonPractice: true,
            },
            {
              code: 'level-fall-7-days',
              title: 'Fall of the water',
              unit: 'mm',
              maximum: 10,
              isCommonPractice: false,
            },
          ],
        }),
      ],
    );
    await tx.sql('update bill_line set amount = 10 where build_id = $1', [first]);
    await tx.sql(`update village set name = 'Near ford' where id = $1`, [near]);
    await tx.sql(`update village set name = 'Far mill' where id = $1`, [far]);
  });
  const stages: StageOfPlan[] = [
    stageOf(first, 'slab', crewId, '2031-01-08', '2031-01-08'),
    stageOf(first, 'wall', crewId, '2031-01-13', '2031-01-14'),
    stageOf(first, 'first-coat', crewId, '2031-01-15', '2031-01-15'),
    stageOf(second, 'slab', crewId, '2031-01-18', '2031-01-18'),
    stageOf(second, 'wall', otherCrewId, '2031-01-16', '2031-01-17'),
  ];
  await publishPlan(service, coordinator, season.programmeId, stages);
  const record = async (stageCode: string, kind: string, observedOn: string, more = {}) => {
    const answer = await service.http
      .post(`/v1/builds/${first}/stage-records`)
      .set(coordinator.auth)
      .send({ stageCode, kind, observedOn, ...more });
    expect(answer.status, answer.text).toBe(201);
  };
  return { season, crewId, otherCrewId, first, second, near, far, cement, record };
}

const stageOf = (
  buildId: string,
  stageCode: string,
  crewId: string,
  startsOn: string,
  finishesOn: string,
): StageOfPlan => ({ buildId, stageCode, crewId, startsOn, finishesOn });

describe('the work sheet of a crew', () => {
  it('says day by day what the crew does where, and when it is on the way', async () => {
    const { crewId, first, second } = await makeWeek();
    const sheet = workSheet.parse((await read(crewId).expect(200)).body);
    expect([sheet.weekStartsOn, sheet.weekEndsOn]).toEqual(['2031-01-13', '2031-01-19']);
    const days = sheet.days.map(({ on, work }) => [
      on,
      ...work.map(({ buildId, stageCode }) => `${buildId === first ? 1 : 2} ${stageCode}`),
    ]);
    expect(days).toEqual([
      ['2031-01-13', '1 wall'],
      ['2031-01-14', '1 wall'],
      ['2031-01-15', '1 first-coat'],
      ['2031-01-16'],
      ['2031-01-17'],
      ['2031-01-18', '2 slab'],
      ['2031-01-19'],
    ]);
    expect(sheet.days[0]?.work[0]).toMatchObject({
      villageName: 'Near ford',
      stageTitle: 'Wall & hoops',
      status: 'not-started',
    });
    // 22.2 km in a straight line, 1.4 times that at 20 km/h and 3 h of packing: 4.6 h, one day.
    expect(sheet.days.map(({ travel }) => travel.length)).toEqual([0, 0, 0, 0, 1, 0, 0]);
    expect(sheet.days[4]?.travel).toEqual([
      { fromVillageName: 'Near ford', toVillageName: 'Far mill' },
    ]);
    // A Sunday, which the programme does not work.
    expect(sheet.days[6]?.note).toBe('no-work-day');
    expect(sheet.stages.map(({ buildId, stageCode }) => [buildId, stageCode])).toEqual([
      [first, 'wall'],
      [first, 'first-coat'],
      [second, 'slab'],
    ]);
  });

  it('has for each stage what it needs, measures, holds and takes from the bill', async () => {
    const { crewId, cement } = await makeWeek();
    const sheet = workSheet.parse((await read(crewId).expect(200)).body);
    const [wall, coat] = sheet.stages;
    expect(wall).toMatchObject({
      needs: ['slab set', HOSTILE],
      holdPoint: 'hold',
      releasedBy: 'inspector',
    });
    // The water stands 1.8 m deep: 1800/500 mm, less than the 10 mm of the template (BS 8007 9.2).
    expect(wall?.checks.map(({ code, maximum }) => [code, maximum])).toEqual([
      ['plumb', 10],
      ['tight', undefined],
      ['level-fall-7-days', 3.6],
    ]);
    const bill = wall?.materials.map(({ materialCode, quantity, isInKind }) => [
      materialCode === cement.code ? 'cement' : 'sand',
      Number(quantity),
      isInKind,
    ]);
    expect(bill?.toSorted()).toEqual([
      ['cement', 20, false],
      ['sand', 40, true],
    ]);
    expect(coat?.materials).toEqual([]);
  });

  it('shows waits that run by the records, and those that the plan begins', async () => {
    const { crewId, first, second, record } = await makeWeek();
    await record('slab', 'started', '2031-01-10');
    await record('slab', 'finished', '2031-01-11');
    const sheet = workSheet.parse((await read(crewId).expect(200)).body);
    const waits = sheet.waits.map(({ buildId, stageCode, finishedOn, isPlanned, overOn }) => [
      buildId,
      stageCode,
      finishedOn,
      isPlanned,
      overOn,
    ]);
    expect(waits).toEqual([
      [first, 'slab', '2031-01-11', false, '2031-01-14'],
      [first, 'first-coat', '2031-01-15', true, '2031-01-16'],
      [second, 'slab', '2031-01-18', true, '2031-01-21'],
    ]);
    // The records take a start on the day on which the sheet says that the wait is over, none before.
    const start = (observedOn: string) =>
      service.http
        .post(`/v1/builds/${first}/stage-records`)
        .set(coordinator.auth)
        .send({ stageCode: 'wall', kind: 'started', observedOn });
    expect(expectProblem(await start('2031-01-13'), 422, 'rule-broken').rule).toBe('wait-not-over');
    expect((await start('2031-01-14')).status).toBe(201);
  });

  it('names work that did not pass on the builds of the week', async () => {
    const { crewId, first, record } = await makeWeek();
    await record('slab', 'started', '2031-01-06');
    await record('slab', 'finished', '2031-01-06');
    await record('wall', 'started', '2031-01-13');
    await record('wall', 'check-recorded', '2031-01-14', { checkCode: 'plumb', measuredValue: 14 });
    const sheet = workSheet.parse((await read(crewId).expect(200)).body);
    expect(sheet.nonconformities).toEqual([
      expect.objectContaining({
        buildId: first,
        stageCode: 'wall',
        checkCode: 'plumb',
        stageTitle: 'Wall & hoops',
        state: 'open',
      }),
    ]);
    expect(sheet.days[0]?.work[0]?.status).toBe('nonconforming');
    const later = workSheet.parse((await read(crewId, '?weekOf=2031-02-10').expect(200)).body);
    expect(later.nonconformities).toEqual([]);
  });

  it('is of this week when none is named, and empty while no plan is published', async () => {
    const season = await makePlannedSeason(service, coordinator, { villages: 1, buildsEach: 1 });
    const [crewId = ''] = season.crewIds;
    const sheet = workSheet.parse((await read(crewId, '').expect(200)).body);
    expect(sheet).toMatchObject({ plan: null, weekStartsOn: '2031-01-13', stages: [], waits: [] });
    expect(sheet.days).toHaveLength(7);
  });

  it('refuses a day that is none, and is not found from another organisation', async () => {
    const { crewId } = await makeWeek();
    const refused = expectProblem(await read(crewId, '?weekOf=2031-02-30'), 422, 'invalid-content');
    expect(refused.errors).toEqual([
      expect.objectContaining({ pointer: '/weekOf', rejectedValue: '2031-02-30' }),
    ]);
    const stranger = await service.person(['coordinator']);
    expectProblem(await read(crewId, '', stranger), 404, 'not-found');
  });
});

describe('the page of a work sheet', () => {
  it('prints whole by itself, may use its own style only, and shows text as text', async () => {
    const { crewId } = await makeWeek();
    const answer = await service.http
      .get(`/v1/crews/${crewId}/work-sheet.html?weekOf=2031-01-13`)
      .set(coordinator.auth)
      .expect(200);
    expect(answer.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(answer.headers['content-disposition']).toContain('inline');
    const [, style = ''] = /<style>([\s\S]*?)<\/style>/.exec(answer.text) ?? [];
    const hash = createHash('sha256').update(style).digest('base64');
    expect(answer.headers['content-security-policy']).toContain(`style-src 'sha256-${hash}'`);
    expect(style).toContain('@page{size:A4');
    expect(answer.text).not.toMatch(/<script|<img|<link|style=|https?:\/\//);
    expect(answer.text).toContain(
      '&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt; &amp; &#39;lime&#39;',
    );
    // Black on white: no colour of the sheet is more than a grey.
    const colours = [...style.matchAll(/#([0-9a-f]{3})\b/g)].map(([, colour = '']) => colour);
    expect(colours.length).toBeGreaterThan(0);
    for (const colour of colours) expect(new Set(colour).size, colour).toBe(1);
  });

  it('has a blank for every check, the hold with who releases it, and each stage once', async () => {
    const { crewId } = await makeWeek();
    const { text } = await service.http
      .get(`/v1/crews/${crewId}/work-sheet.html?weekOf=2031-01-13`)
      .set(coordinator.auth)
      .expect(200);
    const plain = text.replace(/<style>[\s\S]*?<\/style>/, '').replace(/<[^>]+>/g, ' ');
    expect(plain).toMatch(/Out of plumb\s+at most 10 \(mm\)/);
    expect(plain).toMatch(/Joints tight\s+must be yes\s+☐ yes ☐ no/);
    expect(plain).toContain('nothing goes on before the inspector releases it');
    expect(plain).toContain('On the way from Near ford to Far mill.');
    expect(plain).toContain('What belongs to it stands at Monday 2031-01-13.');
    expect(plain.match(/Cut band edges are sharp/g)).toHaveLength(1);
    expect(plain).toMatch(/20 KGM/);
    for (const day of ['Monday 2031-01-13', 'Sunday 2031-01-19']) expect(plain).toContain(day);
  });

  it('asks for nothing more of a stage that is done', async () => {
    const { crewId, record } = await makeWeek();
    const page = async () => {
      const { text } = await service.http
        .get(`/v1/crews/${crewId}/work-sheet.html?weekOf=2031-01-06`)
        .set(coordinator.auth)
        .expect(200);
      return text;
    };
    expect(await page()).toContain('Then it waits: 3 calendar days');
    await record('slab', 'started', '2031-01-08');
    await record('slab', 'finished', '2031-01-08');
    const done = await page();
    expect(done).toContain(': slab (done)</h3>');
    expect(done).not.toContain('Then it waits');
    expect(done).toContain('Waits that run');
  });
});
