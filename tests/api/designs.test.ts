import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { designRevision } from '../../shared/contract/design-revision.ts';
import { checkTank } from '../../shared/design/check-tank.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../../shared/takeoff/bamboo-band-mortar-recipe.ts';
import { takeoffTank } from '../../shared/takeoff/bill-of-quantities.ts';
import type { TakeoffGeometry } from '../../shared/takeoff/takeoff-geometry.ts';
import { makeRevision, makeSeason, type Season, tankInput } from '../support/season.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let season: Season;

beforeAll(async () => {
  service = await startTestService();
  season = await makeSeason(service);
});
afterAll(() => service.close());

const newDesign = async (code: string) =>
  (
    await service.http
      .post('/v1/tank-designs')
      .set(season.coordinator.auth)
      .send({ code, name: 'Tank', tankKindId: season.tankKindId })
      .expect(201)
  ).body.id as string;

const revise = (designId: string, input: object, person: TestPerson = season.coordinator) =>
  service.http.post(`/v1/tank-designs/${designId}/revisions`).set(person.auth).send({ input });

const decide = (revisionId: string, decision: string, person: TestPerson = season.engineer) =>
  service.http
    .post(`/v1/design-revisions/${revisionId}/decisions`)
    .set(person.auth)
    .send({ decision, remarks: 'Looked at' });

const standard = (designRevisionIds: readonly string[]) =>
  service.http
    .put(`/v1/programmes/${season.programmeId}/standard-designs`)
    .set(season.coordinator.auth)
    .send({ designRevisionIds });

describe('design revisions', () => {
  it("stores what the engine finds, to the last digit, and the kind's take-off", async () => {
    const designId = await newDesign('D-1');
    const made = await revise(designId, tankInput()).expect(201);
    const read = await service.http
      .get(made.headers.location ?? '')
      .set(season.coordinator.auth)
      .expect(200);
    const revision = designRevision.parse(read.body);
    expect(revision).toMatchObject({
      designId,
      designCode: 'D-1',
      revisionNumber: 1,
      outcome: 'pass',
      approval: 'undecided',
      decisions: [],
    });
    expect(revision.input).toEqual(tankInput());
    expect(revision.result).toEqual(checkTank(tankInput()));
    const bill = takeoffTank(tankInput() as TakeoffGeometry, BAMBOO_BAND_MORTAR_RECIPE);
    expect(revision.takeOff.map(({ isInKind: _, ...line }) => line)).toEqual(bill);
    const given = new Set(
      revision.takeOff.filter((line) => line.isInKind).map((line) => line.materialCode),
    );
    expect([...given].sort()).toEqual(['hardcore', 'labour-labourer', 'sand', 'water']);
    // π/4 · 1.9² · 1.8 m
    expect(revision.capacityL).toBeCloseTo(5103.52, 2);
    expect(revision.result.bambooHoopCreditRatio).toBe(0);
    expect(revision.result.cautions.length).toBeGreaterThan(0);
  });

  it('numbers revisions one after the other, also when they come at once', async () => {
    const designId = await newDesign('D-2');
    const made = await Promise.all([1, 2, 3].map(() => revise(designId, tankInput())));
    expect(made.map(({ status }) => status)).toEqual([201, 201, 201]);
    expect(made.map(({ body }) => body.revisionNumber).sort()).toEqual([1, 2, 3]);
    const list = await service.http
      .get(`/v1/tank-designs/${designId}/revisions?limit=2`)
      .set(season.coordinator.auth)
      .expect(200);
    const rest = await service.http
      .get(`/v1/tank-designs/${designId}/revisions?limit=2&cursor=${list.body.nextCursor}`)
      .set(season.coordinator.auth)
      .expect(200);
    const numbers = [...list.body.items, ...rest.body.items].map((row) => row.revisionNumber);
    expect(numbers).toEqual([1, 2, 3]);
    expect(list.body.items[0]).not.toHaveProperty('result');
  });

  it('names field, value and limit when the engine cannot judge the dimensions', async () => {
    const designId = await newDesign('D-3');
    const thick = { ...tankInput(), wallThicknessM: 0.5 };
    const { errors } = expectProblem(await revise(designId, thick), 422, 'out-of-range');
    expect(errors).toMatchObject([{ pointer: '/input/wallThicknessM', rejectedValue: 0.5 }]);
    expect(errors?.[0]?.message).toContain('0.3');
    const noCount = { ...tankInput(), bands: { ...tankInput().bands, count: undefined } };
    const missing = expectProblem(await revise(designId, noCount), 422, 'out-of-range');
    expect(missing.errors).toMatchObject([{ pointer: '/input/bands/count' }]);
    const unknown = { ...tankInput(), diameterM: 2 };
    expect(expectProblem(await revise(designId, unknown), 422, 'invalid-content').errors).toEqual([
      expect.objectContaining({ pointer: '/input/diameterM', code: 'field.unknown' }),
    ]);
    expectProblem(await revise(randomUUID(), tankInput()), 404, 'not-found');
    const { body } = await service.http
      .get(`/v1/tank-designs/${designId}/revisions`)
      .set(season.coordinator.auth);
    expect(body.items).toEqual([]);
  });

  it('keeps a design at its kind once it has revisions', async () => {
    const designId = await newDesign('D-4');
    await revise(designId, tankInput()).expect(201);
    const other = await service.http
      .post('/v1/tank-kinds')
      .set(season.coordinator.auth)
      .send({
        code: 'other',
        name: 'Other',
        recipe: { ...BAMBOO_BAND_MORTAR_RECIPE, tankKindCode: 'other' },
        stages: (
          await service.http.get(`/v1/tank-kinds/${season.tankKindId}`).set(season.coordinator.auth)
        ).body.stages,
      })
      .expect(201);
    const moved = await service.http
      .patch(`/v1/tank-designs/${designId}`)
      .set(season.coordinator.auth)
      .set('if-match', '"v1"')
      .send({ tankKindId: other.body.id });
    expect(expectProblem(moved, 422, 'rule-broken').rule).toBe('design-has-revisions');
  });
});

describe('decisions on design revisions', () => {
  it('carries name and registration number of the engineer, and the last one holds', async () => {
    const revisionId = await makeRevision(service, season, tankInput(), { approve: false });
    const approved = await decide(revisionId, 'approved').expect(201);
    expect(approved.body).toMatchObject({
      decision: 'approved',
      engineerId: season.engineer.personId,
      engineerName: 'Test engineer',
      registrationNumber: 'REG-0001',
      remarks: 'Looked at',
    });
    const approval = async () =>
      (await service.http.get(`/v1/design-revisions/${revisionId}`).set(season.coordinator.auth))
        .body.approval;
    expect(await approval()).toBe('approved');
    expect(expectProblem(await decide(revisionId, 'approved'), 422, 'rule-broken').rule).toBe(
      'already-approved',
    );
    await decide(revisionId, 'withdrawn').expect(201);
    expect(await approval()).toBe('withdrawn');
    expect(expectProblem(await decide(revisionId, 'withdrawn'), 422, 'rule-broken').rule).toBe(
      'nothing-to-withdraw',
    );
    await decide(revisionId, 'approved').expect(201);
    expect(await approval()).toBe('approved');
  });

  it('approves one of two decisions that come at once', async () => {
    const revisionId = await makeRevision(service, season, tankInput(), { approve: false });
    const other = await service.person(['engineer'], season.engineer.organisationId);
    const both = await Promise.all([
      decide(revisionId, 'approved'),
      decide(revisionId, 'approved', other),
    ]);
    expect(both.map(({ status }) => status).sort()).toEqual([201, 422]);
  });

  it('never approves a revision that fails a check', async () => {
    const weak = tankInput(2.6, 2.4, 2);
    const revisionId = await makeRevision(service, season, weak, { approve: false });
    const { body } = await service.http
      .get(`/v1/design-revisions/${revisionId}`)
      .set(season.coordinator.auth);
    expect(body.outcome).toBe('fail');
    const { rule } = expectProblem(await decide(revisionId, 'approved'), 422, 'rule-broken');
    expect(rule).toBe('design-fails-checks');
    await decide(revisionId, 'refused').expect(201);
  });

  it('refuses the author, an engineer without a number, and people who are no engineers', async () => {
    const designId = await newDesign('D-5');
    const own = await revise(designId, tankInput(), season.engineer).expect(201);
    expect(expectProblem(await decide(own.body.id, 'approved'), 422, 'rule-broken').rule).toBe(
      'approver-is-author',
    );
    const unnumbered = await service.person(['engineer'], season.engineer.organisationId);
    await service.as(unnumbered, (tx) =>
      tx.sql('update person set engineer_registration_number = null where id = $1', [
        unnumbered.personId,
      ]),
    );
    const refused = await decide(own.body.id, 'approved', unnumbered);
    expect(expectProblem(refused, 422, 'rule-broken').rule).toBe('engineer-not-registered');
    const coordinator = await decide(own.body.id, 'approved', season.coordinator);
    expectProblem(coordinator, 403, 'forbidden');
    const stranger = await service.person(['engineer']);
    expectProblem(await decide(own.body.id, 'approved', stranger), 404, 'not-found');
  });
});

describe('standard designs of a programme', () => {
  it('takes approved revisions only and shows them with the programme', async () => {
    const approved = await makeRevision(service, season);
    const undecided = await makeRevision(service, season, tankInput(), { approve: false });
    const refused = expectProblem(await standard([approved, undecided]), 422, 'rule-broken');
    expect(refused.rule).toBe('design-not-approved');
    expect(refused.errors).toMatchObject([
      { pointer: '/designRevisionIds/1', rejectedValue: undecided },
    ]);
    const unknown = randomUUID();
    expect(expectProblem(await standard([unknown]), 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/designRevisionIds/0', code: 'reference.unknown' },
    ]);
    const set = await standard([approved]).expect(200);
    expect(set.body.standardDesignRevisionIds).toEqual([approved]);
    const none = await standard([]).expect(200);
    expect(none.body.standardDesignRevisionIds).toEqual([]);
  });
});
