import { randomUUID } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildProgress } from '../../shared/contract/stage-record.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { stagesForTank } from '../../shared/scheduling/stage-template.ts';
import { makeBuild } from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';
import { goodJourney, type JourneyFact } from '../support/stage-journey.ts';

const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };

let service: TestService;
let everybody: TestPerson;
let supervisor: TestPerson;

beforeAll(async () => {
  service = await startTestService({ clock });
  everybody = await service.person(['coordinator', 'supervisor', 'engineer', 'inspector']);
  supervisor = await service.person(['supervisor'], everybody.organisationId);
});
afterAll(() => service.close());

const record = (buildId: string, fact: object, person = everybody) =>
  service.http.post(`/v1/builds/${buildId}/stage-records`).set(person.auth).send(fact);
const progressOf = async (buildId: string) =>
  buildProgress.parse(
    (await service.http.get(`/v1/builds/${buildId}/progress`).set(everybody.auth).expect(200)).body,
  );

const template = stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: 1.8 });
const journey = goodJourney(template, '2026-06-01');
const until = (isLast: (fact: JourneyFact) => boolean) =>
  journey.slice(0, journey.findIndex(isLast) + 1);

async function recordAll(buildId: string, facts: readonly JourneyFact[]) {
  for (const fact of facts) {
    const answer = await record(buildId, fact);
    expect(answer.status, JSON.stringify([fact, answer.body])).toBe(201);
  }
}

describe('stage records', () => {
  it('carries a build from planned to handed over, percent by cost of accepted stages', async () => {
    const { buildId } = await makeBuild(service, everybody);
    expect(await progressOf(buildId)).toMatchObject({ status: 'planned', percentComplete: 0 });
    await recordAll(buildId, journey);
    const done = await progressOf(buildId);
    expect(done).toMatchObject({ status: 'handed-over', percentComplete: 100, openHolds: [] });
    const [build] = await service.as(everybody, (tx) =>
      tx.sql('select status, handed_over_on, percent_complete from build where id = $1', [buildId]),
    );
    expect(build).toEqual({
      status: 'handed-over',
      handed_over_on: journey.at(-1)?.observedOn,
      percent_complete: '100.000000',
    });
  });

  it('counts equal stage costs equally, 0/100', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const firstStage = template[0]?.code;
    await recordAll(
      buildId,
      journey.filter((fact) => fact.stageCode === firstStage),
    );
    const { percentComplete, status } = await progressOf(buildId);
    expect(percentComplete).toBeCloseTo(100 / template.length, 3);
    expect(status).toBe('started');
  });

  it('refuses a stage out of order and names the rule', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const problem = expectProblem(
      await record(buildId, { stageCode: 'roof-grid', kind: 'started', observedOn: '2026-06-01' }),
      422,
      'rule-broken',
    );
    expect(problem.rule).toBe('stage-out-of-order');
  });

  it('refuses work behind a hold that nobody released, and a release by the wrong role', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const facts = until((fact) => fact.stageCode === 'frame' && fact.kind === 'hold-released');
    const release = facts.at(-1) as JourneyFact;
    await recordAll(buildId, facts.slice(0, -1));
    expect(await progressOf(buildId)).toMatchObject({ status: 'on-hold', openHolds: ['frame'] });
    const next = { stageCode: 'wall-boards', kind: 'started', observedOn: '2026-11-01' };
    expect(expectProblem(await record(buildId, next), 422, 'rule-broken').rule).toBe('hold-open');
    const wrong = expectProblem(await record(buildId, release, supervisor), 422, 'rule-broken');
    expect(wrong).toMatchObject({ rule: 'released-by-wrong-role', requiredRole: 'inspector' });
    await record(buildId, release).expect(201);
    await record(buildId, next).expect(201);
  });

  it('refuses a start before the wait is over and says the first day; a late record is welcome', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const before = until((fact) => fact.stageCode === 'damp-curing' && fact.kind === 'finished');
    await recordAll(buildId, before);
    const waiting = template.find((stage) => stage.code === 'damp-curing');
    const next = template.find((stage) => stage.after.includes('damp-curing'));
    const early = expectProblem(
      await record(buildId, {
        stageCode: next?.code,
        kind: 'started',
        observedOn: before.at(-1)?.observedOn,
      }),
      422,
      'rule-broken',
    );
    expect(waiting?.minimumWaitDays).toBeGreaterThan(0);
    expect(early.rule).toBe('wait-not-over');
    expect(String(early.earliestOn) > String(before.at(-1)?.observedOn)).toBe(true);
    await record(buildId, {
      stageCode: next?.code,
      kind: 'started',
      observedOn: early.earliestOn,
    }).expect(201);
  });

  it('keeps a failed check as a fact and stops what follows until it is right', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const facts = until((fact) => fact.stageCode === 'roof-grid' && fact.kind === 'finished');
    await recordAll(buildId, facts);
    const crown = template
      .find((stage) => stage.code === 'roof-grid')
      ?.checks.find((check) => check.minimum !== undefined);
    const bad = {
      stageCode: 'roof-grid',
      kind: 'check-recorded',
      observedOn: facts.at(-1)?.observedOn,
      checkCode: crown?.code,
      measuredValue: (crown?.minimum ?? 0) / 2,
    };
    await record(buildId, bad).expect(201);
    const { nonConformities, status } = await progressOf(buildId);
    expect(nonConformities).toContainEqual(
      expect.objectContaining({ kind: 'check-failed', checkCode: crown?.code }),
    );
    expect(status).toBe('on-hold');
  });

  it('counts a record sent twice once, and refuses its id for another fact', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const fact = { id: randomUUID(), ...journey[0] };
    const answers = await Promise.all([record(buildId, fact), record(buildId, fact)]);
    expect(answers.map(({ status }) => status)).toEqual([201, 201]);
    const listed = await service.http
      .get(`/v1/builds/${buildId}/stage-records`)
      .set(everybody.auth);
    expect(listed.body.items).toHaveLength(1);
    expectProblem(await record(buildId, { ...fact, observedOn: '2026-06-02' }), 409, 'conflict');
  });

  it('orders the records of a day by the clock of the device, or the time within a version 7 id', async () => {
    const { buildId } = await makeBuild(service, everybody);
    await recordAll(
      buildId,
      until((fact) => fact.stageCode === 'frame' && fact.kind === 'finished'),
    );
    const on = journey.find(({ stageCode }) => stageCode === 'frame')?.observedOn ?? '';
    const level = (measuredValue: number, more: object) => ({
      stageCode: 'frame',
      kind: 'check-recorded',
      observedOn: on,
      checkCode: 'band-out-of-level',
      measuredValue,
      ...more,
    });
    const idAt = (hour: string) => uuidv7({ msecs: Date.parse(`${on}T${hour}:00:00Z`) });
    // as they arrive: the last of the day first
    const readings = [
      level(4, { deviceRecordedAt: `${on}T18:30:00+03:00` }),
      level(40, { id: idAt('12') }),
      level(30, { deviceRecordedAt: `${on}T08:00:00Z`, id: idAt('20') }),
    ];
    for (const reading of readings) await record(buildId, reading).expect(201);
    const shown = async () =>
      (await progressOf(buildId)).stages
        .find(({ stageCode }) => stageCode === 'frame')
        ?.readings.map(({ measuredValue }) => measuredValue);
    expect(await shown()).toEqual([4]);
    await record(buildId, level(50, { id: idAt('16') })).expect(201);
    expect(await shown()).toEqual([50]);
  });

  it('refuses a start without an approved design, a date to come, and a check without its value', async () => {
    const { buildId, designRevisionId } = await makeBuild(service, everybody);
    const future = expectProblem(
      await record(buildId, { ...journey[0], observedOn: '2026-11-26' }),
      422,
      'invalid-content',
    );
    expect(future.errors?.[0]).toMatchObject({
      pointer: '/observedOn',
      rejectedValue: '2026-11-26',
    });
    const shapeless = {
      stageCode: 'frame',
      kind: 'check-recorded',
      observedOn: '2026-06-01',
      checkCode: 'x',
    };
    const { errors } = expectProblem(await record(buildId, shapeless), 422, 'invalid-content');
    expect(errors?.map(({ pointer }) => pointer)).toEqual(['/measuredValue']);
    await service.as(everybody, (tx) =>
      tx.sql(
        `insert into design_decision (organisation_id, id, design_revision_id, decision, engineer_id, engineer_name, registration_number)
         values ($1, $2, $3, 'withdrawn', $4, 'Test Engineer', 'REG-0001')`,
        [everybody.organisationId, randomUUID(), designRevisionId, everybody.personId],
      ),
    );
    const refused = expectProblem(await record(buildId, journey[0] as object), 422, 'rule-broken');
    expect(refused.rule).toBe('design-not-approved');
  });

  it('does not know the build of another organisation', async () => {
    const { buildId } = await makeBuild(service, everybody);
    const stranger = await service.person(['supervisor', 'coordinator']);
    expectProblem(await record(buildId, journey[0] as object, stranger), 404, 'not-found');
    expectProblem(
      await service.http.get(`/v1/builds/${buildId}/progress`).set(stranger.auth),
      404,
      'not-found',
    );
  });
});
