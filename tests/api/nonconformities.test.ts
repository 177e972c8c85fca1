import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import pg from 'pg';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildWork } from '../../shared/contract/build-work.ts';
import { type Nonconformity, nonconformity } from '../../shared/contract/nonconformity.ts';
import {
  buildProgress,
  type StageRecord,
  stageRecord,
} from '../../shared/contract/stage-record.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { stagesForTank } from '../../shared/scheduling/stage-template.ts';
import { type MadeBuild, makeBuild, makePlaces } from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';
import { goodJourney } from '../support/stage-journey.ts';

const fromRoot = (path: string) => fileURLToPath(new URL(`../../${path}`, import.meta.url));
const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };
const template = stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: 1.8 });
const journey = goodJourney(template, '2026-06-01');
const BAD = 'band-out-of-level';

let service: TestService;
let coordinator: TestPerson;
let supervisor: TestPerson;
let engineer: TestPerson;
let inspector: TestPerson;
let build: MadeBuild;
let other: MadeBuild;
let crewId: string;

beforeAll(async () => {
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator']);
  const colleague = (role: 'supervisor' | 'engineer' | 'inspector') =>
    service.person([role], coordinator.organisationId);
  supervisor = await colleague('supervisor');
  engineer = await colleague('engineer');
  inspector = await colleague('inspector');
  const places = await makePlaces(service, coordinator);
  build = await makeBuild(service, coordinator, places);
  other = await makeBuild(service, coordinator);
  crewId = randomUUID();
  await service.as(coordinator, (tx) =>
    tx.sql(
      `insert into crew (organisation_id, id, programme_id, code, name, size) values ($1, $2, $3, 'C-1', 'First crew', 4)`,
      [coordinator.organisationId, crewId, places.programmeId],
    ),
  );
});
afterAll(() => service.close());

const send = (person: TestPerson, fact: object, at = build) =>
  service.http.post(`/v1/builds/${at.buildId}/stage-records`).set(person.auth).send(fact);
async function record(person: TestPerson, fact: object, at = build): Promise<StageRecord> {
  const answer = await send(person, fact, at);
  expect(answer.status, JSON.stringify([fact, answer.body])).toBe(201);
  return stageRecord.parse(answer.body);
}
const progress = async (at = build) =>
  buildProgress.parse(
    (await service.http.get(`/v1/builds/${at.buildId}/progress`).set(coordinator.auth)).body,
  );
const frameOf = async () =>
  (await progress()).stages.find(({ stageCode }) => stageCode === 'frame');
async function list(query: Record<string, string>, person = coordinator) {
  const answer = await service.http.get('/v1/nonconformities').query(query).set(person.auth);
  expect(answer.status, answer.text).toBe(200);
  return answer.body as { items: Nonconformity[]; nextCursor: string | null };
}
const upTo = (stageCode: string) =>
  journey.slice(
    0,
    journey.findIndex((fact) => fact.stageCode === stageCode),
  );
const frameFacts = journey.filter(
  ({ stageCode, kind }) => stageCode === 'frame' && kind !== 'hold-released',
);
const frameOn = frameFacts.at(-1)?.observedOn ?? '';
const bad = {
  stageCode: 'frame',
  kind: 'check-recorded',
  observedOn: frameOn,
  checkCode: BAD,
  measuredValue: 25,
};
const decide = (decidesRecordId: string, decision: string, more: object = {}) => ({
  stageCode: 'frame',
  kind: 'nonconformity-decided',
  observedOn: frameOn,
  decidesRecordId,
  decision,
  reason: 'Seen on site with the crew',
  ...more,
});

describe('work that does not pass', () => {
  let failed: StageRecord;

  it('opens a non-conformity with place, crew and stage, and takes the stage out of what is done', async () => {
    for (const fact of [...upTo('frame'), ...frameFacts]) await record(supervisor, fact);
    const before = (await progress()).percentComplete;
    failed = await record(supervisor, { ...bad, crewId });
    const { items } = await list({ buildId: build.buildId });
    expect(items).toHaveLength(1);
    expect(nonconformity.parse(items[0])).toMatchObject({
      recordId: failed.id,
      buildId: build.buildId,
      programmeId: build.programmeId,
      villageId: build.villageId,
      villageName: 'Village',
      crewId,
      crewName: 'First crew',
      stageCode: 'frame',
      stageTitle: 'Temporary posts, bands level and plumb',
      kind: 'check-failed',
      checkCode: BAD,
      observedOn: frameOn,
      state: 'open',
      decision: null,
    });
    expect((await frameOf())?.status).toBe('nonconforming');
    expect((await progress()).percentComplete).toBe(before);
  });

  it('is conceded by the engineer only, and decided by nobody who may not', async () => {
    const byInspector = expectProblem(
      await send(inspector, decide(failed.id, 'concession')),
      422,
      'rule-broken',
    );
    expect(byInspector).toMatchObject({
      rule: 'decided-by-wrong-role',
      requiredRole: 'engineer',
    });
    const bySupervisor = await send(supervisor, decide(failed.id, 'rework'));
    expect(expectProblem(bySupervisor, 422, 'rule-broken').rule).toBe('decided-by-wrong-role');
    const unknown = await send(engineer, decide(randomUUID(), 'concession'));
    expect(expectProblem(unknown, 422, 'rule-broken').rule).toBe('decides-unknown-record');
    const shapeless = expectProblem(
      await send(engineer, {
        stageCode: 'frame',
        kind: 'nonconformity-decided',
        observedOn: frameOn,
        peopleCount: 2,
      }),
      422,
      'invalid-content',
    );
    expect(shapeless.errors?.map(({ pointer }) => pointer).sort()).toEqual([
      '/decidesRecordId',
      '/decision',
      '/peopleCount',
      '/reason',
    ]);
  });

  it('goes into rework by a decision with cause and due day, and what follows waits', async () => {
    const decision = await record(
      inspector,
      decide(failed.id, 'rework', { cause: 'Drilled by eye', dueOn: '2026-06-20' }),
    );
    expect(await frameOf()).toMatchObject({ status: 'in-rework', finishedOn: null, readings: [] });
    const { items } = await list({ state: 'in-rework' });
    expect(items).toMatchObject([
      {
        recordId: failed.id,
        decision: 'rework',
        decidedOn: frameOn,
        decidedById: inspector.personId,
        dueOn: '2026-06-20',
        cause: 'Drilled by eye',
      },
    ]);
    expect((await progress()).nonConformities).toMatchObject([
      { recordId: failed.id, decision: { recordId: decision.id, decision: 'rework' } },
    ]);
    const next = { stageCode: 'wall-boards', kind: 'started', observedOn: '2026-11-01' };
    expect(expectProblem(await send(supervisor, next), 422, 'rule-broken').rule).toBe('in-rework');
  });

  it('is listed by when it is due, village, programme and state', async () => {
    expect((await list({ dueBefore: '2026-06-21' })).items).toHaveLength(1);
    expect((await list({ dueBefore: '2026-06-20' })).items).toHaveLength(0);
    expect((await list({ villageId: build.villageId })).items).toHaveLength(1);
    expect((await list({ villageId: other.villageId })).items).toHaveLength(0);
    expect((await list({ programmeId: build.programmeId })).items).toHaveLength(1);
    expect((await list({ programmeId: other.programmeId })).items).toHaveLength(0);
    expect((await list({ state: 'open' })).items).toHaveLength(0);
    const unknown = await service.http.get('/v1/nonconformities?state=lost').set(coordinator.auth);
    expect(unknown.status).toBe(422);
  });

  it('takes pictures of a decision like of any stage record', async () => {
    const answer = await service.http
      .get(`/v1/builds/${build.buildId}/stage-records`)
      .set(coordinator.auth)
      .expect(200);
    const decision = (answer.body.items as StageRecord[]).find(
      ({ kind }) => kind === 'nonconformity-decided',
    );
    const png = await sharp({
      create: { width: 8, height: 8, channels: 3, background: '#884400' },
    })
      .png()
      .toBuffer();
    const query = { noun: 'stage-record', recordId: decision?.id ?? '', caption: 'The band' };
    await service.http
      .post('/v1/attachments')
      .query(query)
      .set(inspector.auth)
      .type('image/png')
      .send(png)
      .expect(201);
    const shown = await service.http
      .get('/v1/attachments')
      .query({ noun: query.noun, recordId: query.recordId })
      .set(coordinator.auth)
      .expect(200);
    expect(shown.body.items).toMatchObject([{ caption: 'The band', noun: 'stage-record' }]);
  });

  it('is closed when the stage is finished, checked and released again', async () => {
    await record(supervisor, { ...frameFacts[1], observedOn: '2026-06-08' });
    for (const fact of frameFacts.slice(2)) {
      await record(supervisor, { ...fact, observedOn: '2026-06-08' });
    }
    expect((await frameOf())?.status).toBe('in-rework');
    await record(inspector, {
      stageCode: 'frame',
      kind: 'hold-released',
      observedOn: '2026-06-08',
    });
    expect((await frameOf())?.status).toBe('accepted');
    expect((await list({ state: 'closed' })).items).toMatchObject([
      { recordId: failed.id, decision: 'rework' },
    ]);
    const late = await send(engineer, { ...decide(failed.id, 'reject'), observedOn: '2026-06-09' });
    expect(expectProblem(late, 422, 'rule-broken').rule).toBe('nothing-to-decide');
  });

  it('is accepted as it is by a concession, which the reading shows', async () => {
    const again = await record(supervisor, { ...bad, observedOn: '2026-06-09' });
    expect((await frameOf())?.status).toBe('nonconforming');
    await record(engineer, { ...decide(again.id, 'concession'), observedOn: '2026-06-10' });
    const frame = await frameOf();
    expect(frame?.status).toBe('accepted');
    expect(frame?.readings.find(({ checkCode }) => checkCode === BAD)).toMatchObject({
      measuredValue: 25,
      isWithinLimits: false,
      acceptedByConcession: true,
    });
  });

  it('stays rejected until another decision, in the list of its build, page by page', async () => {
    const worse = await record(supervisor, { ...bad, measuredValue: 60, observedOn: '2026-06-11' });
    await record(coordinator, { ...decide(worse.id, 'reject'), observedOn: '2026-06-11' });
    await record(supervisor, { ...bad, measuredValue: 1, observedOn: '2026-06-12' });
    expect((await frameOf())?.status).toBe('nonconforming');
    const next = { stageCode: 'wall-boards', kind: 'started', observedOn: '2026-11-01' };
    expect(expectProblem(await send(supervisor, next), 422, 'rule-broken').rule).toBe(
      'stage-rejected',
    );
    const path = `/v1/builds/${build.buildId}/nonconformities`;
    const seen: [string, string | null][] = [];
    let cursor: string | null = null;
    do {
      const query: Record<string, string> =
        cursor === null ? { limit: '1' } : { limit: '1', cursor };
      const { body } = await service.http.get(path).query(query).set(coordinator.auth).expect(200);
      for (const item of body.items as Nonconformity[]) seen.push([item.state, item.decision]);
      cursor = body.nextCursor;
    } while (cursor !== null);
    expect(seen).toEqual([
      ['closed', 'rework'],
      ['closed', 'concession'],
      ['open', 'reject'],
    ]);
  });

  it('is not shown to another organisation', async () => {
    const stranger = await service.person(['coordinator']);
    expect((await list({}, stranger)).items).toEqual([]);
    expectProblem(
      await service.http.get(`/v1/builds/${build.buildId}/nonconformities`).set(stranger.auth),
      404,
      'not-found',
    );
    expectProblem(
      await service.http.get(`/v1/builds/${build.buildId}/work`).set(stranger.auth),
      404,
      'not-found',
    );
  });
});

describe('what did not pass before it was listed', () => {
  it('is put on the list by the migration as the facts say', async () => {
    const third = await makeBuild(service, coordinator);
    for (const fact of [...upTo('frame'), ...frameFacts]) await record(supervisor, fact, third);
    const level = await record(supervisor, { ...bad, observedOn: '2026-06-08' }, third);
    await record(supervisor, { ...bad, measuredValue: 4, observedOn: '2026-06-09' }, third);
    const refusal = { stageCode: 'frame', kind: 'hold-refused', reason: 'A band is loose' };
    await record(inspector, { ...refusal, observedOn: '2026-06-09' }, third);
    await record(
      inspector,
      { stageCode: 'frame', kind: 'hold-released', observedOn: '2026-06-10' },
      third,
    );
    await record(inspector, { ...refusal, observedOn: '2026-06-11' }, third);
    await record(
      supervisor,
      { ...bad, checkCode: 'band-joints', measuredValue: 0, observedOn: '2026-06-11' },
      third,
    );
    const listed = () =>
      service.as(coordinator, (tx) =>
        tx.sql(
          `select record_id, stage_code, kind, check_code, observed_on, detail, state
           from nonconformity where build_id = $1 order by record_id`,
          [third.buildId],
        ),
      );
    const written = await listed();
    expect(written).toHaveLength(4);
    expect(written).toContainEqual(
      expect.objectContaining({ record_id: level.id, state: 'closed' }),
    );
    const migration = await readFile(
      fromRoot('prisma/migrations/20261126000031_list_known_nonconformities/migration.sql'),
      'utf8',
    );
    const owner = new pg.Client({ connectionString: service.database.ownerUrl });
    await owner.connect();
    try {
      await service.as(coordinator, (tx) =>
        tx.sql('delete from nonconformity where build_id = $1', [third.buildId]),
      );
      expect(await listed()).toEqual([]);
      await owner.query(migration);
    } finally {
      await owner.end();
    }
    expect(await listed()).toEqual(written);
  });
});

describe('what work takes', () => {
  it('is summed by stage against the bill, people by crew and day', async () => {
    const [cement] = await service.as(coordinator, (tx) =>
      tx.sql<{ id: string }>(
        'select material_id as id from bill_line where build_id = $1 limit 1',
        [other.buildId],
      ),
    );
    const sand = randomUUID();
    await service.as(coordinator, (tx) =>
      tx.sql(
        `insert into material (organisation_id, id, code, name, category, unit_code)
         values ($1, $2, 'a-sand', 'Sand', 'aggregate', 'MTQ')`,
        [coordinator.organisationId, sand],
      ),
    );
    const cementId = cement?.id ?? '';
    await record(supervisor, journey[0] as object, other);
    const work = (observedOn: string, peopleCount: number, personHours: string, more = {}) =>
      record(
        supervisor,
        {
          stageCode: 'ground-and-slab',
          kind: 'work-recorded',
          observedOn,
          crewId,
          peopleCount,
          personHours,
          ...more,
        },
        other,
      );
    const before = await progress(other);
    await work('2026-06-01', 4, '14.25', {
      quantities: [{ materialId: cementId, quantity: '50.5', unitCode: 'KGM' }],
    });
    // the same crew in the afternoon, two of them gone
    await work('2026-06-01', 2, '7', {
      quantities: [
        { materialId: cementId, quantity: '25', unitCode: 'KGM' },
        { materialId: sand, quantity: '0.75', unitCode: 'MTQ' },
      ],
    });
    await work('2026-06-02', 3, '21.5');
    const { body } = await service.http
      .get(`/v1/builds/${other.buildId}/work`)
      .set(supervisor.auth)
      .expect(200);
    const sums = buildWork.parse(body);
    // by hand: 4 on the first day, 3 on the second; 14.25 + 7 + 21.5 hours
    expect(sums).toMatchObject({ recordCount: 3, peopleDays: 7, personHours: '42.75' });
    expect(sums.stages).toHaveLength(template.length);
    expect(sums.stages[0]).toMatchObject({
      stageCode: 'ground-and-slab',
      recordCount: 3,
      peopleDays: 7,
      personHours: '42.75',
      plannedPeopleDays: 8,
      firstOn: '2026-06-01',
      lastOn: '2026-06-02',
      materials: [
        {
          materialId: sand,
          usedQuantity: '0.75',
          billNetQuantity: null,
          billWithWasteQuantity: null,
        },
        {
          materialId: cementId,
          usedQuantity: '75.5',
          billNetQuantity: '100',
          billWithWasteQuantity: '100',
        },
      ],
    });
    expect(sums.stages[1]).toMatchObject({ recordCount: 0, personHours: '0', firstOn: null });
    const { stages, percentComplete } = await progress(other);
    expect({ stages, percentComplete }).toEqual({
      stages: before.stages,
      percentComplete: before.percentComplete,
    });
  });

  it('names what a work record has wrong', async () => {
    const base = {
      stageCode: 'ground-and-slab',
      kind: 'work-recorded',
      observedOn: '2026-06-02',
      crewId,
      peopleCount: 2,
      personHours: '8',
    };
    const pointers = async (fact: object) =>
      expectProblem(await send(supervisor, fact, other), 422, 'invalid-content').errors?.map(
        ({ pointer, rejectedValue }) => [pointer, rejectedValue],
      );
    const materialId = randomUUID();
    const line = { materialId, quantity: '1', unitCode: 'KGM' };
    expect(await pointers({ ...base, crewId: materialId })).toEqual([['/crewId', materialId]]);
    expect(await pointers({ ...base, quantities: [line] })).toEqual([
      ['/quantities/0/materialId', materialId],
    ]);
    expect((await pointers({ ...base, quantities: [line, line] }))?.[0]?.[0]).toBe(
      '/quantities/1/materialId',
    );
    expect((await pointers({ ...base, personHours: '48.01' }))?.[0]?.[0]).toBe('/personHours');
    expect((await pointers({ ...base, personHours: '-1' }))?.[0]?.[0]).toBe('/personHours');
    const { crewId: _, ...crewless } = base;
    expect((await pointers(crewless))?.[0]?.[0]).toBe('/crewId');
    const early = await send(supervisor, { ...base, stageCode: 'handover' }, other);
    expect(expectProblem(early, 422, 'rule-broken').rule).toBe('work-before-start');
  });
});
