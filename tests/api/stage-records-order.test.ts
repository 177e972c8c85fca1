import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { buildProgress, stageRecordBatch } from '../../shared/contract/stage-record.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { projectStages } from '../../shared/scheduling/stage-progress.ts';
import { stagesForTank } from '../../shared/scheduling/stage-template.ts';
import { makeBuild, makePlaces, type Places } from '../support/factories.ts';
import {
  FATES,
  factOfWeek,
  fieldWeek,
  jumbled,
  seeded,
  type WeekRecord,
} from '../support/field-week.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

vi.setConfig({ testTimeout: 600_000, hookTimeout: 120_000 });

const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };
const template = stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: 1.8 });
const ORDERS = 32;

let service: TestService;
beforeAll(async () => {
  service = await startTestService({ clock });
});
afterAll(() => service.close());

const ROLES = ['supervisor', 'inspector', 'engineer', 'coordinator'] as const;
type People = Record<(typeof ROLES)[number], TestPerson>;

interface Site {
  readonly people: People;
  readonly buildIds: string[];
  readonly crewIds: string[];
  readonly materialId: string;
}

/** An organisation of its own, so that the ids of the week may come again. */
async function makeSite(buildCount: number): Promise<Site> {
  const organisationId = await service.organisation();
  const people = {} as People;
  for (const role of ROLES) people[role] = await service.person([role], organisationId);
  const places: Places = await makePlaces(service, people.coordinator);
  const buildIds: string[] = [];
  for (let made = 0; made < buildCount; made += 1) {
    buildIds.push((await makeBuild(service, people.coordinator, places)).buildId);
  }
  const crewIds = Array.from({ length: 5 }, () => randomUUID());
  const materialId = randomUUID();
  await service.as(people.coordinator, async (tx) => {
    for (const [index, crewId] of crewIds.entries()) {
      await tx.sql(
        `insert into crew (organisation_id, id, programme_id, code, name, size) values ($1, $2, $3, $4, $4, 4)`,
        [organisationId, crewId, places.programmeId, `C-${index}`],
      );
    }
    await tx.sql(
      `insert into material (organisation_id, id, code, name, category, unit_code)
       values ($1, $2, 'lime', 'Lime', 'binder', 'KGM')`,
      [organisationId, materialId],
    );
  });
  return { people, buildIds, crewIds, materialId };
}

const weekOf = ({ crewIds, materialId }: Site): WeekRecord[] =>
  fieldWeek(template, {
    buildCount: FATES.length,
    mondayOn: '2026-06-01',
    crewIds,
    materialId,
  });

const sendBatch = (person: TestPerson, records: readonly object[]) =>
  service.http.post('/v1/stage-record-batches').set(person.auth).send({ records });

const onBuild = ({ buildIds }: Site, { buildIndex, record }: WeekRecord) => ({
  ...record,
  buildId: buildIds[buildIndex] ?? '',
});

/** Sends records as they stand, a phone at a time, in batches of drawn sizes. */
async function sendAll(site: Site, week: readonly WeekRecord[], seed: number) {
  const random = seeded(seed);
  const rest = [...week];
  while (rest.length > 0) {
    const part = rest.splice(0, 1 + Math.floor(random() * 60));
    for (const role of ROLES) {
      const mine = part.filter(({ by }) => by === role).map((entry) => onBuild(site, entry));
      if (mine.length === 0) continue;
      const answer = await sendBatch(site.people[role], mine);
      expect(answer.status, JSON.stringify(answer.body)).toBe(200);
      const { outcomes } = stageRecordBatch.parse(answer.body);
      expect(outcomes.map(({ id }) => id)).toEqual(mine.map(({ id }) => id));
      expect(outcomes.filter(({ outcome }) => outcome === 'refused')).toEqual([]);
    }
  }
}

/** Everything that is said of the builds, without what names this organisation. */
async function whatIsSaid({ people, buildIds }: Site) {
  const said: string[] = [];
  for (const buildId of buildIds) {
    const { text } = await service.http
      .get(`/v1/builds/${buildId}/progress`)
      .set(people.coordinator.auth)
      .expect(200);
    buildProgress.parse(JSON.parse(text));
    const rows = await service.as(people.coordinator, (tx) =>
      tx.sql(
        `select status, percent_complete, current_stage_code, started_on, handed_over_on
         from build where id = $1`,
        [buildId],
      ),
    );
    const register = await service.as(people.coordinator, (tx) =>
      tx.sql(
        `select n.record_id, n.stage_code, n.kind, n.check_code, n.observed_on, n.detail, n.state, n.decision,
           n.decided_on, p.roles as decided_by, n.due_on, n.cause
         from nonconformity n left join person p on p.id = n.decided_by_id
         where n.build_id = $1 order by n.record_id`,
        [buildId],
      ),
    );
    said.push(text.replaceAll(buildId, 'BUILD'), JSON.stringify([rows, register]));
  }
  return said;
}

describe('records of a week in any order', () => {
  it(`say the same in ${ORDERS} orders of arrival with some of it twice, and lose nothing`, async () => {
    const first = await makeSite(FATES.length);
    const week = weekOf(first);
    expect(week.length).toBeGreaterThan(200);
    await sendAll(first, week, 0);
    const said = await whatIsSaid(first);
    for (const [index, buildId] of first.buildIds.entries()) {
      const facts = week.filter(({ buildIndex }) => buildIndex === index).map(factOfWeek);
      const { stages, nonConformities, closedNonConformities } = projectStages(template, facts);
      const answer = JSON.parse(said[2 * index] ?? '{}');
      const [, register] = JSON.parse(said[2 * index + 1] ?? '[]');
      const entries = [...nonConformities, ...closedNonConformities].map((entry) => [
        entry.recordId,
        entry.kind,
        entry.state,
        entry.decision?.decision ?? null,
        entry.decision?.dueOn ?? null,
      ]);
      expect(
        register.map((row: Record<string, unknown>) => [
          row.record_id,
          row.kind,
          row.state,
          row.decision,
          row.due_on,
        ]),
      ).toEqual(entries.sort(([a = ''], [b = '']) => ((a ?? '') < (b ?? '') ? -1 : 1)));
      expect(
        answer.stages.map(({ status }: { status: string }) => status),
        buildId,
      ).toEqual(stages.map(({ status }) => status));
    }
    for (let seed = 1; seed <= ORDERS; seed += 1) {
      const site = await makeSite(FATES.length);
      await sendAll(site, jumbled(weekOf(site), seed), seed);
      expect(await whatIsSaid(site), `order ${seed}`).toEqual(said);
    }
  });
});

describe('a batch', () => {
  let site: Site;
  beforeAll(async () => {
    site = await makeSite(2);
  });
  const buildId = () => site.buildIds[0] ?? '';
  const start = (stageCode: string, observedOn: string, more: object = {}) => ({
    id: randomUUID(),
    buildId: buildId(),
    stageCode,
    kind: 'started',
    observedOn,
    ...more,
  });
  const outcomesOf = async (person: TestPerson, records: readonly object[]) => {
    const answer = await sendBatch(person, records);
    expect(answer.status, JSON.stringify(answer.body)).toBe(200);
    return stageRecordBatch.parse(answer.body).outcomes.map(({ outcome, rule }) => rule ?? outcome);
  };

  it('takes what a person at the screen is refused, and shows it until what was missing is there', async () => {
    const finish = { ...start('frame', '2026-06-05'), kind: 'finished' };
    const { buildId: _, ...alone } = finish;
    const refused = expectProblem(
      await service.http
        .post(`/v1/builds/${buildId()}/stage-records`)
        .set(site.people.supervisor.auth)
        .send(alone),
      422,
      'rule-broken',
    );
    expect(refused.rule).toBe('finished-before-started');
    expect(await outcomesOf(site.people.supervisor, [finish])).toEqual(['recorded']);
    const kinds = async () => {
      const { body } = await service.http
        .get(`/v1/builds/${buildId()}/progress`)
        .set(site.people.supervisor.auth)
        .expect(200);
      return buildProgress.parse(body).nonConformities.map(({ kind }) => kind);
    };
    expect(await kinds()).toEqual(['finished-before-started']);
    const begun = [
      start('ground-and-slab', '2026-06-01'),
      { ...start('ground-and-slab', '2026-06-02'), kind: 'finished' },
      start('bamboo-preparation', '2026-06-01'),
      { ...start('bamboo-preparation', '2026-06-03'), kind: 'finished' },
      start('frame', '2026-06-05'),
    ];
    expect(new Set(await outcomesOf(site.people.supervisor, begun.reverse()))).toEqual(
      new Set(['recorded']),
    );
    expect(await kinds()).toEqual([]);
  });

  it('refuses a release by the wrong role whenever it comes, and keeps the rest', async () => {
    const release = { ...start('frame', '2026-06-06'), kind: 'hold-released' };
    const work: object = {
      ...start('frame', '2026-06-05'),
      kind: 'work-recorded',
      crewId: site.crewIds[0],
      peopleCount: 4,
      personHours: '28',
    };
    expect(await outcomesOf(site.people.supervisor, [release, work])).toEqual([
      'released-by-wrong-role',
      'recorded',
    ]);
    expect(await outcomesOf(site.people.inspector, [release])).toEqual(['recorded']);
  });

  it('names for each record what is wrong with it', async () => {
    const taken = start('wall-boards', '2026-06-08');
    const twice = { ...taken, observedOn: '2026-06-09' };
    const records = [
      taken,
      taken,
      twice,
      start('moat', '2026-06-08'),
      start('roof-grid', '2026-11-26'),
      { ...start('roof-grid', '2026-06-09'), buildId: randomUUID() },
      { ...start('frame', '2026-06-09'), kind: 'hold-released' },
      {
        ...start('frame', '2026-06-05'),
        kind: 'work-recorded',
        crewId: randomUUID(),
        peopleCount: 1,
        personHours: '1',
      },
      {
        ...start('frame', '2026-06-05'),
        kind: 'work-recorded',
        crewId: site.crewIds[0],
        peopleCount: 1,
        personHours: '1',
        quantities: [{ materialId: site.materialId, quantity: '1', unitCode: 'MTR' }],
      },
    ];
    expect(await outcomesOf(site.people.supervisor, records)).toEqual([
      'recorded',
      'already-recorded',
      'conflict',
      'unknown-stage',
      'invalid-content',
      'unknown-build',
      'released-by-wrong-role',
      'invalid-content',
      'invalid-content',
    ]);
    expect(await outcomesOf(site.people.supervisor, [taken, twice])).toEqual([
      'already-recorded',
      'conflict',
    ]);
  });

  it('is refused whole when a record has not the shape of one, naming it', async () => {
    const shapeless = { ...start('roof-grid', '2026-06-09'), kind: 'nonconformity-decided' };
    const { errors } = expectProblem(
      await sendBatch(site.people.supervisor, [start('roof-grid', '2026-06-09'), shapeless]),
      422,
      'invalid-content',
    );
    expect(errors?.map(({ pointer }) => pointer).sort()).toEqual([
      '/records/1/decidesRecordId',
      '/records/1/decision',
      '/records/1/reason',
    ]);
  });

  it('waits for another that is about the same builds, in whatever order they are named', async () => {
    const records = [
      start('bamboo-preparation', '2026-06-01', { buildId: site.buildIds[1] }),
      start('tap-stand', '2026-06-20'),
    ];
    const other = records.map((record) => ({ ...record, id: randomUUID() })).reverse();
    for (let turn = 0; turn < 3; turn += 1) {
      const answers = await Promise.all(
        [records, other].map((list) => outcomesOf(site.people.supervisor, list)),
      );
      const expected = turn === 0 ? 'recorded' : 'already-recorded';
      expect(new Set(answers.flat())).toEqual(new Set([expected]));
    }
  });

  it('takes what was seen before a build was cancelled, and nothing later', async () => {
    const other = site.buildIds[1] ?? '';
    await service.as(site.people.coordinator, (tx) =>
      tx.sql(`update build set cancelled_on = '2026-06-10' where id = $1`, [other]),
    );
    const at = (observedOn: string): object => ({
      ...start('ground-and-slab', observedOn),
      buildId: other,
    });
    expect(await outcomesOf(site.people.supervisor, [at('2026-06-11'), at('2026-06-10')])).toEqual([
      'build-cancelled',
      'recorded',
    ]);
  });

  it('does not know the builds of another organisation', async () => {
    const stranger = await service.person(['supervisor']);
    const { errors } = expectProblem(
      await sendBatch(stranger, [start('ground-and-slab', '2026-06-01')]),
      422,
      'invalid-content',
    );
    expect(errors).toMatchObject([{ pointer: '/records/0/buildId', rejectedValue: buildId() }]);
  });

  it('counts once what two phones send at the same time', async () => {
    const record = start('tap-stand', '2026-06-20');
    const answers = await Promise.all(
      [0, 1, 2].map(() => outcomesOf(site.people.supervisor, [record])),
    );
    expect(answers.flat().sort()).toEqual(['already-recorded', 'already-recorded', 'recorded']);
  });
});
