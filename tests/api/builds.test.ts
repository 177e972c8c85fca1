import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type BuildBill, buildBill } from '../../shared/contract/bill.ts';
import { build, madeBuilds, repricing } from '../../shared/contract/build.ts';
import { micro, roundedProduct, sumOf } from '../support/exact.ts';
import { runQueuedJobs } from '../support/jobs.ts';
import {
  CATALOGUE,
  makeCatalogue,
  makeGrants,
  makeOffers,
  makeRain,
  makeRevision,
  makeSeason,
  makeSites,
  type Season,
  setStandardDesigns,
  tankInput,
} from '../support/season.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const PRICED_ON = '2026-10-01';

let service: TestService;
let season: Season;
let materials: ReadonlyMap<string, string>;
let revisionId: string;
let grantId: string;
let siteId: string;

beforeAll(async () => {
  service = await startTestService();
});
afterAll(() => service.close());
beforeEach(async () => {
  season = await makeSeason(service);
  materials = await makeCatalogue(service, season);
  await makeOffers(
    service,
    season,
    [...materials.values()].map((materialId, index) => ({
      materialId,
      packContent: index % 3 === 0 ? '50' : '1',
      pricePerPack: `${7 + index}.${10 + index}`,
    })),
  );
  revisionId = await makeRevision(service, season);
  [grantId = ''] = await makeGrants(service, season, 1);
  [siteId = ''] = await makeSites(service, season, [{ code: 'H-1' }]);
});

const materialId = (code: string) => materials.get(code) ?? '';

const whole = () => [{ grantId, shareRatio: '1' }];

const newBuild = (more: object = {}) => ({
  siteId,
  designRevisionId: revisionId,
  pricedOn: PRICED_ON,
  grantShares: whole(),
  ...more,
});

const post = (body: object, person: TestPerson = season.coordinator) =>
  service.http.post('/v1/builds').set(person.auth).send(body);

const get = (url: string, person: TestPerson = season.coordinator) =>
  service.http.get(url).set(person.auth);

async function billOf(buildId: string): Promise<BuildBill> {
  return buildBill.parse((await get(`/v1/builds/${buildId}/bill`).expect(200)).body);
}

const lineOf = (bill: BuildBill, materialCode: string) =>
  bill.lines.find((line) => line.materialCode === materialCode);

describe('making a build', () => {
  it('prices every line exactly, quantity with waste times unit rate, rounded half-even once', async () => {
    const made = await post(newBuild()).expect(201);
    expect(build.parse(made.body)).toMatchObject({
      code: 'B-H-1',
      programmeId: season.programmeId,
      villageId: season.villageIds[0],
      status: 'planned',
      percentComplete: 0,
      version: 1,
      grantShares: [{ grantId, shareRatio: '1' }],
    });
    expect(made.headers.etag).toBe('"v1"');
    const bill = await billOf(made.body.id);
    const revision = await get(`/v1/design-revisions/${revisionId}`).expect(200);
    expect(
      bill.lines.map(({ lineCode, materialCode, withWasteQuantity, isInKind }) => ({
        lineCode,
        materialCode,
        withWasteQuantity,
        isInKind,
      })),
    ).toEqual(
      revision.body.takeOff.map((line: BuildBill['lines'][number]) => ({
        lineCode: line.lineCode,
        materialCode: line.materialCode,
        withWasteQuantity: line.withWasteQuantity,
        isInKind: line.isInKind,
      })),
    );
    for (const line of bill.lines) {
      const cents = roundedProduct(line.withWasteQuantity, line.unitRate, 2);
      expect(micro(line.amount.amount), line.lineCode).toBe(cents * 10_000n);
    }
    const cash = bill.lines.filter((line) => !line.isInKind);
    const inKind = bill.lines.filter((line) => line.isInKind);
    expect(micro(bill.amount.amount)).toBe(sumOf(cash, (line) => micro(line.amount.amount)));
    expect(micro(bill.inKindAmount.amount)).toBe(
      sumOf(inKind, (line) => micro(line.amount.amount)),
    );
    expect(inKind.length).toBeGreaterThan(0);
    const catalogue = CATALOGUE.findIndex(({ code }) => code === 'cement');
    expect(lineOf(bill, 'cement')?.unitRate).toBe(
      // one pack of 50 kg
      String(Number(`${7 + catalogue}.${10 + catalogue}`) / 50),
    );
  });

  it('takes the offer that covers the tank for the least money on the day', async () => {
    const cement = materialId('cement');
    const [, cheap] = await makeOffers(service, season, [
      { materialId: cement, packContent: '1000', pricePerPack: '90', minimumPacks: 10 },
      { materialId: cement, packContent: '50', pricePerPack: '5.00' },
      { materialId: cement, packContent: '50', pricePerPack: '1', validUntil: '2026-09-30' },
      { materialId: cement, packContent: '50', pricePerPack: '2', validFrom: '2026-10-02' },
      { materialId: cement, packContent: '50', pricePerPack: '3', currency: 'USD' },
      { materialId: cement, packContent: '50', pricePerPack: '4', withdrawnOn: PRICED_ON },
      { materialId: cement, packContent: '50', pricePerPack: '0.999' },
    ]);
    const made = await post(newBuild()).expect(201);
    expect(lineOf(await billOf(made.body.id), 'cement')).toMatchObject({
      offerId: cheap,
      unitRate: '0.1',
    });
  });

  it('names every material that cannot be priced, and makes nothing', async () => {
    const refuse = (code: string, change: string) =>
      service.as(season.coordinator, (tx) =>
        tx.sql(`update offer set ${change} where material_id = $1`, [materialId(code)]),
      );
    await refuse('cement', `valid_until = '2026-09-30'`);
    await refuse('labour-mason', `currency = 'USD'`);
    const answer = expectProblem(await post(newBuild()), 422, 'rule-broken');
    expect(answer.rule).toBe('no-valid-offer');
    expect(answer.errors).toEqual([
      expect.objectContaining({
        rejectedValue: 'cement',
        message: 'no offer for cement holds on 2026-10-01 in EUR (not-valid-on-date)',
      }),
      expect.objectContaining({
        rejectedValue: 'labour-mason',
        message: 'no offer for labour-mason holds on 2026-10-01 in EUR (other-currency)',
      }),
    ]);
    expect((await get('/v1/builds').expect(200)).body.items).toEqual([]);
    await service.as(season.coordinator, (tx) =>
      tx.sql(`update material set code = 'tap-2' where id = $1`, [materialId('tap')]),
    );
    await refuse('cement', `valid_until = '2027-12-31'`);
    await refuse('labour-mason', `currency = 'EUR'`);
    const missing = expectProblem(await post(newBuild()), 422, 'rule-broken');
    expect(missing.rule).toBe('material-not-in-catalogue');
    expect(missing.errors).toMatchObject([{ rejectedValue: 'tap' }]);
  });

  it('refuses a revision that no engineer has approved, or that is approved no more', async () => {
    const undecided = await makeRevision(service, season, tankInput(), { approve: false });
    const first = await post(newBuild({ designRevisionId: undecided }));
    expect(expectProblem(first, 422, 'rule-broken')).toMatchObject({
      rule: 'design-not-approved',
      errors: [{ pointer: '/designRevisionId', rejectedValue: undecided }],
    });
    await service.http
      .post(`/v1/design-revisions/${revisionId}/decisions`)
      .set(season.engineer.auth)
      .send({ decision: 'withdrawn' })
      .expect(201);
    const second = await post(newBuild());
    expect(expectProblem(second, 422, 'rule-broken').rule).toBe('design-not-approved');
    const unknown = await post(newBuild({ designRevisionId: randomUUID() }));
    expectProblem(unknown, 422, 'invalid-content');
  });

  it('refuses shares that are not exactly 1, and grants that are not of this programme', async () => {
    const [a = '', b = '', c = ''] = await makeGrants(service, season, 3);
    const shares = (...ratios: string[]) =>
      newBuild({
        grantShares: ratios.map((shareRatio, index) => ({
          grantId: [a, b, c][index],
          shareRatio,
        })),
      });
    const short = expectProblem(
      await post(shares('0.33333333', '0.33333333', '0.33333333')),
      422,
      'rule-broken',
    );
    expect(short.rule).toBe('grant-shares-add-up');
    expect(short.errors).toMatchObject([{ pointer: '/grantShares', rejectedValue: '0.99999999' }]);
    const zero = expectProblem(await post(shares('1', '0.0')), 422, 'invalid-content');
    expect(zero.errors).toMatchObject([{ pointer: '/grantShares/1/shareRatio' }]);
    const twice = newBuild({
      grantShares: [
        { grantId: a, shareRatio: '0.5' },
        { grantId: a, shareRatio: '0.5' },
      ],
    });
    expect(expectProblem(await post(twice), 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/grantShares/1/grantId', code: 'grant.repeated' },
    ]);
    const otherProgramme = await service.as(season.coordinator, async (tx) => {
      const id = randomUUID();
      await tx.sql(
        `insert into programme (organisation_id, id, code, name, starts_on, ends_on, currency,
           target_reliability_ratio, litres_per_person_per_day)
         values ($1, $2, 'OTHER', 'Other', '2026-01-01', '2026-12-31', 'EUR', 0.8, 10)`,
        [season.coordinator.organisationId, id],
      );
      return id;
    });
    const [foreign] = await makeGrants(service, { ...season, programmeId: otherProgramme }, 1);
    const answer = await post(newBuild({ grantShares: [{ grantId: foreign, shareRatio: '1' }] }));
    expect(expectProblem(answer, 422, 'rule-broken').rule).toBe('grant-of-other-programme');
    await post(shares('0.33333333', '0.33333333', '0.33333334')).expect(201);
  });

  it('keeps one live build a site, also when two come at once', async () => {
    const both = await Promise.all([post(newBuild({ code: 'A' })), post(newBuild({ code: 'B' }))]);
    const statuses = both.map(({ status }) => status).sort();
    expect(statuses[0]).toBe(201);
    expect([409, 422]).toContain(statuses[1]);
    const third = expectProblem(await post(newBuild({ code: 'C' })), 422, 'rule-broken');
    expect(third.rule).toBe('site-has-build');
  });

  it('takes the design of the latest sizing, and says when there is none', async () => {
    const without = { ...newBuild(), designRevisionId: undefined };
    const unsized = expectProblem(await post(without), 422, 'rule-broken');
    expect(unsized).toMatchObject({ rule: 'site-has-no-design' });
    expect(unsized.detail).toContain('not sized yet');
    await sizeAll();
    const made = await post(without).expect(201);
    expect(made.body.designRevisionId).toBe(revisionId);
  });

  it('checks crew and planned start against the programme', async () => {
    const outside = await post(newBuild({ plannedStartOn: '2028-01-01' }));
    expect(expectProblem(outside, 422, 'rule-broken')).toMatchObject({
      rule: 'start-outside-programme',
      errors: [{ pointer: '/plannedStartOn', rejectedValue: '2028-01-01' }],
    });
    const unknown = await post(newBuild({ crewId: randomUUID() }));
    expect(expectProblem(unknown, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/crewId' },
    ]);
  });

  it('answers a repeated key once, and nobody else may make builds here', async () => {
    const key = { 'idempotency-key': randomUUID() };
    const [first, second] = await Promise.all([
      post(newBuild()).set(key),
      post(newBuild()).set(key),
    ]);
    expect([first.status, second.status]).toEqual([201, 201]);
    expect(second.body).toEqual(first.body);
    const supervisor = await service.person(['supervisor'], season.coordinator.organisationId);
    expectProblem(await post(newBuild(), supervisor), 403, 'forbidden');
    const stranger = await service.person(['coordinator']);
    expectProblem(await post(newBuild(), stranger), 422, 'invalid-content');
    expectProblem(await get(`/v1/builds/${first.body.id}`, stranger), 404, 'not-found');
    expectProblem(await get(`/v1/builds/${first.body.id}/bill`, stranger), 404, 'not-found');
  });
});

/** Sizes the programme under rain that fills every tank each day. */
async function sizeAll() {
  await service.db.pool.query('delete from pgboss.job');
  await setStandardDesigns(service, season, [revisionId]);
  await makeRain(service, season, '2025-01-01', new Array(365).fill(20));
  await service.http
    .post(`/v1/programmes/${season.programmeId}/sizings`)
    .set(season.coordinator.auth)
    .expect(202);
  await runQueuedJobs(service);
}

describe('making many builds', () => {
  const postMany = (body: object) =>
    service.http
      .post(`/v1/programmes/${season.programmeId}/builds`)
      .set(season.coordinator.auth)
      .send({ pricedOn: PRICED_ON, codePrefix: 'B-', grantShares: whole(), ...body });

  it('builds every sized site, each with the bill that one build would have', async () => {
    await makeSites(service, season, [
      { code: 'H-2' },
      { code: 'H-3', villageId: season.villageIds[1] ?? '' },
      { code: 'H-4', groundClass: null },
    ]);
    await sizeAll();
    const single = await post(newBuild({ code: 'FIRST' })).expect(201);
    const bill = await billOf(single.body.id);
    const made = madeBuilds.parse((await postMany({ allSized: true }).expect(201)).body);
    // H-1 has its build and H-4 stands on unknown ground
    expect(made).toMatchObject({ createdCount: 2, byDesign: [{ buildCount: 2 }] });
    expect(made.byDesign[0]?.amountPerBuild).toEqual(bill.amount);
    expect(micro(made.amount.amount)).toBe(2n * micro(bill.amount.amount));
    expect(micro(made.inKindAmount.amount)).toBe(2n * micro(bill.inKindAmount.amount));
    const { body } = await get(`/v1/builds?programmeId=${season.programmeId}`).expect(200);
    expect(body.items.map((row: { code: string }) => row.code)).toEqual([
      'B-H-2',
      'B-H-3',
      'FIRST',
    ]);
    expect((await billOf(body.items[1].id)).lines).toEqual(bill.lines);
    const again = expectProblem(await postMany({ allSized: true }), 422, 'rule-broken');
    expect(again.rule).toBe('no-site-to-build');
  });

  it('makes none when one of the named sites cannot be built, naming each', async () => {
    const [second = '', third = ''] = await makeSites(service, season, [
      { code: 'H-2', groundClass: null },
      { code: 'H-3' },
    ]);
    await sizeAll();
    await post(newBuild()).expect(201);
    const answer = await postMany({ siteIds: [siteId, second, third] });
    expect(expectProblem(answer, 422, 'rule-broken')).toMatchObject({
      rule: 'sites-not-ready',
      errors: [
        { pointer: '/siteIds/0', code: 'site.has-build' },
        {
          pointer: '/siteIds/1',
          code: 'site.refused',
          message: 'H-2 gets no tank: ground-unknown',
        },
      ],
    });
    const unknown = randomUUID();
    const errors = expectProblem(
      await postMany({ siteIds: [third, unknown, third] }),
      422,
      'invalid-content',
    ).errors;
    expect(errors?.map(({ pointer, code }) => [pointer, code])).toEqual([
      ['/siteIds/1', 'reference.unknown'],
      ['/siteIds/2', 'site.repeated'],
    ]);
    expect((await get('/v1/builds').expect(200)).body.items).toHaveLength(1);
    await postMany({ siteIds: [third] }).expect(201);
  });

  it('wants either sites or all of them, and codes that are free', async () => {
    await sizeAll();
    expectProblem(await postMany({}), 422, 'invalid-content');
    expectProblem(await postMany({ siteIds: [siteId], allSized: true }), 422, 'invalid-content');
    const first = await post(newBuild()).expect(201);
    await service.http
      .post(`/v1/builds/${first.body.id}/cancellations`)
      .set(season.coordinator.auth)
      .send({ reason: 'The family moved' })
      .expect(200);
    const taken = expectProblem(await postMany({ allSized: true }), 409, 'conflict');
    expect(taken.detail).toContain('B-H-1');
    await postMany({ allSized: true, codePrefix: 'C-' }).expect(201);
  });
});

describe('changing builds', () => {
  const patch = (id: string, version: number, body: object) =>
    service.http
      .patch(`/v1/builds/${id}`)
      .set(season.coordinator.auth)
      .set('if-match', `"v${version}"`)
      .send(body);
  const cancel = (id: string, body: object = { reason: 'The family moved' }) =>
    service.http.post(`/v1/builds/${id}/cancellations`).set(season.coordinator.auth).send(body);
  const setStatus = (id: string, status: string, startedOn: string | null) =>
    service.as(season.coordinator, (tx) =>
      tx.sql('update build set status = $2, started_on = $3 where id = $1', [
        id,
        status,
        startedOn,
      ]),
    );

  it('moves a planned start against the version that was read, and not after the start', async () => {
    const { id } = (await post(newBuild()).expect(201)).body;
    const moved = await patch(id, 1, { plannedStartOn: '2026-11-02' }).expect(200);
    expect(moved.body).toMatchObject({ version: 2, plannedStartOn: '2026-11-02', crewId: null });
    const stale = expectProblem(await patch(id, 1, { crewId: null }), 412, 'stale-version');
    expect(stale.currentEtag).toBe('"v2"');
    await setStatus(id, 'started', '2026-11-03');
    const late = expectProblem(await patch(id, 2, { plannedStartOn: null }), 422, 'rule-broken');
    expect(late.rule).toBe('build-has-started');
    expectProblem(await patch(id, 2, { status: 'complete' }), 422, 'invalid-content');
  });

  it('cancels a build that does not stand yet, and frees its site', async () => {
    const { id } = (await post(newBuild()).expect(201)).body;
    expectProblem(await cancel(id, {}), 422, 'invalid-content');
    const cancelled = await cancel(id, { reason: 'Moved', cancelledOn: '2026-10-05' }).expect(200);
    expect(cancelled.body).toMatchObject({ status: 'cancelled', cancelledOn: '2026-10-05' });
    expect(expectProblem(await cancel(id), 422, 'rule-broken').rule).toBe('build-is-cancelled');
    const second = (await post(newBuild({ code: 'AGAIN' })).expect(201)).body;
    await setStatus(second.id, 'handed-over', '2026-10-06');
    expect(expectProblem(await cancel(second.id), 422, 'rule-broken').rule).toBe(
      'build-is-complete',
    );
    const list = await get('/v1/builds?status=cancelled').expect(200);
    expect(list.body.items.map((row: { id: string }) => row.id)).toEqual([id]);
  });

  it('lists by code, page by page, narrowed by village, status and site', async () => {
    const [second = '', third = ''] = await makeSites(service, season, [
      { code: 'H-2', villageId: season.villageIds[1] ?? '' },
      { code: 'H-3' },
    ]);
    for (const site of [third, siteId, second]) await post(newBuild({ siteId: site })).expect(201);
    const url = `/v1/builds?programmeId=${season.programmeId}&limit=2`;
    const first = await get(url).expect(200);
    const rest = await get(`${url}&cursor=${first.body.nextCursor}`).expect(200);
    const codes = [...first.body.items, ...rest.body.items].map((row) => row.code);
    expect(codes).toEqual(['B-H-1', 'B-H-2', 'B-H-3']);
    const count = async (query: string) =>
      (await get(`/v1/builds?${query}`).expect(200)).body.items.length;
    expect(await count(`villageId=${season.villageIds[1]}`)).toBe(1);
    expect(await count(`siteId=${third}`)).toBe(1);
    expect(await count('status=planned')).toBe(3);
    expect(await count('status=started')).toBe(0);
  });
});

describe('repricing', () => {
  it('prices the builds that have not started again, and leaves the others alone', async () => {
    const [second = ''] = await makeSites(service, season, [{ code: 'H-2' }]);
    const waiting = (await post(newBuild()).expect(201)).body.id;
    const begun = (await post(newBuild({ siteId: second })).expect(201)).body.id;
    await service.as(season.coordinator, (tx) =>
      tx.sql(`update build set status = 'started', started_on = '2026-10-20' where id = $1`, [
        begun,
      ]),
    );
    const before = { waiting: await billOf(waiting), begun: await billOf(begun) };
    const [dearer] = await makeOffers(service, season, [
      { materialId: materialId('cement'), pricePerPack: '0.02', validFrom: '2026-11-01' },
    ]);
    const answer = await service.http
      .post(`/v1/programmes/${season.programmeId}/repricings`)
      .set(season.coordinator.auth)
      .send({ pricedOn: '2026-11-15' })
      .expect(200);
    const after = { waiting: await billOf(waiting), begun: await billOf(begun) };
    expect(after.begun).toEqual(before.begun);
    expect(after.waiting.pricedOn).toBe('2026-11-15');
    expect(lineOf(after.waiting, 'cement')).toMatchObject({ offerId: dearer, unitRate: '0.02' });
    expect(lineOf(after.waiting, 'sand')).toEqual(lineOf(before.waiting, 'sand'));
    expect(repricing.parse(answer.body)).toEqual({
      programmeId: season.programmeId,
      pricedOn: '2026-11-15',
      repricedCount: 1,
      amountBefore: before.waiting.amount,
      inKindAmountBefore: before.waiting.inKindAmount,
      amount: after.waiting.amount,
      inKindAmount: after.waiting.inKindAmount,
    });
    expect(micro(after.waiting.amount.amount)).toBeLessThan(micro(before.waiting.amount.amount));
  });

  it('changes nothing when a material has no offer on that day', async () => {
    const { id } = (await post(newBuild()).expect(201)).body;
    const before = await billOf(id);
    const refused = await service.http
      .post(`/v1/programmes/${season.programmeId}/repricings`)
      .set(season.coordinator.auth)
      .send({ pricedOn: '2028-01-01' });
    expect(expectProblem(refused, 422, 'rule-broken').rule).toBe('no-valid-offer');
    expect(await billOf(id)).toEqual(before);
  });
});
