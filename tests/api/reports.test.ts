import { randomUUID } from 'node:crypto';
import Big from 'big.js';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { report, reportRecord } from '../../shared/contract/report.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { stagesForTank } from '../../shared/scheduling/stage-template.ts';
import { makeBuild, makeGrant, makePlaces, shareBuild } from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';
import { goodJourney } from '../support/stage-journey.ts';

const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator', 'inspector', 'engineer']);
});
afterAll(() => service.close());

const journey = goodJourney(
  stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: 1.8 }),
  '2026-06-01',
);
const handedOverOn = journey.at(-1)?.observedOn as string;

async function finish(buildId: string) {
  for (const fact of journey) {
    await service.http
      .post(`/v1/builds/${buildId}/stage-records`)
      .set(coordinator.auth)
      .send(fact)
      .expect(201);
  }
}

async function freeze(grantId: string, dataOn = '2026-11-24') {
  const answer = await service.http
    .post(`/v1/grants/${grantId}/reports`)
    .set(coordinator.auth)
    .send({
      code: `R-${randomUUID().slice(0, 8)}`,
      periodFrom: '2026-01-01',
      periodUntil: '2026-12-31',
      dataOn,
    })
    .expect(201);
  return report.parse(answer.body);
}

const figureOf = (frozen: Awaited<ReturnType<typeof freeze>>, code: string) => {
  const figure = frozen.content.figures.find((candidate) => candidate.code === code);
  if (!figure) throw new Error(`no figure ${code}`);
  return figure;
};

async function recordsOf(url: string, person = coordinator) {
  const answer = await service.http.get(`${url}?limit=200`).set(person.auth).expect(200);
  return reportRecord.array().parse(answer.body.items);
}

const payFor = (
  grant: { grantId: string },
  programmeId: string,
  amount: string,
  fields: object = {},
) =>
  service.http
    .post('/v1/cost-entries')
    .set(coordinator.auth)
    .send({
      programmeId,
      grantId: grant.grantId,
      state: 'paid',
      funding: 'cash',
      occurredOn: '2026-10-10',
      description: 'Cement',
      amount: { amount, currency: 'EUR' },
      ...fields,
    })
    .expect(201);

describe('donor reports', () => {
  it('counts a co-funded tank by share, and traces each figure to its records', async () => {
    const places = await makePlaces(service, coordinator);
    const [first, second] = [
      await makeGrant(service, coordinator, places.programmeId),
      await makeGrant(service, coordinator, places.programmeId),
    ];
    const done = await makeBuild(service, coordinator, places);
    const open = await makeBuild(service, coordinator, places);
    await shareBuild(service, coordinator, done.buildId, {
      [first.grantId]: '0.25',
      [second.grantId]: '0.75',
    });
    await shareBuild(service, coordinator, open.buildId, { [first.grantId]: '1' });
    await finish(done.buildId);
    await payFor(first, places.programmeId, '500.00', { budgetLineId: first.budgetLineId });
    await payFor(first, places.programmeId, '80.00', { funding: 'in-kind', evidence: 'sheet 3' });

    const frozen = await freeze(first.grantId);
    const values = Object.fromEntries(
      frozen.content.figures.map(({ code, value }) => [code, value]),
    );
    expect(values).toMatchObject({
      'tanks-handed-over': '1',
      'tanks-own-share': '0.25',
      storage: '5000',
      'storage-own-share': '1250',
      'people-served': '6',
      'paid-to-date': '500',
      'in-kind-to-date': '80',
      'cost-per-tank': '2000.00',
      'cost-per-litre': '0.4000',
      'yield-per-person': null,
    });
    expect(frozen.content.budget).toEqual([
      expect.objectContaining({
        budgetLineCode: 'MAT',
        paid: { amount: '500.00', currency: 'EUR' },
        available: { amount: '59500.00', currency: 'EUR' },
      }),
    ]);
    expect(frozen.content.builds.map(({ status }) => status).sort()).toEqual([
      'handed-over',
      'planned',
    ]);
    const records = await recordsOf(figureOf(frozen, 'storage-own-share').recordsUrl);
    expect(records).toEqual([
      {
        noun: 'build',
        recordId: done.buildId,
        label: expect.stringContaining('Village'),
        contribution: '1250',
      },
    ]);
    for (const figure of frozen.content.figures.filter(({ basis }) => basis === 'recorded')) {
      const behind = await recordsOf(figure.recordsUrl);
      const sum = behind.reduce((total, { contribution }) => total.plus(contribution), new Big(0));
      expect(sum.toFixed(), figure.code).toBe(figure.value);
    }
    const csv = await service.http
      .get(`/v1/reports/${frozen.id}/figures.csv`)
      .set(coordinator.auth)
      .expect(200);
    expect(csv.text).toContain(
      'storage-own-share,"Storage handed over, own share",1250,L,recorded',
    );
  });

  it('stays as it was frozen when records arrive later, and shows the state of its own data date', async () => {
    const places = await makePlaces(service, coordinator);
    const grant = await makeGrant(service, coordinator, places.programmeId);
    const { buildId } = await makeBuild(service, coordinator, places);
    await shareBuild(service, coordinator, buildId, { [grant.grantId]: '1' });
    await finish(buildId);
    const dayBefore = journey.filter(({ observedOn }) => observedOn < handedOverOn).at(-1)
      ?.observedOn as string;
    const early = await freeze(grant.grantId, dayBefore);
    expect(figureOf(early, 'tanks-handed-over').value).toBe('0');
    expect(early.content.builds[0]).toMatchObject({ handedOverOn: null });
    expect(early.content.builds[0]?.percentComplete).toBeLessThan(100);
    const late = await freeze(grant.grantId);
    await payFor(grant, places.programmeId, '10.00');
    const again = await service.http
      .get(`/v1/reports/${late.id}`)
      .set(coordinator.auth)
      .expect(200);
    expect(report.parse(again.body)).toEqual(late);
    expect(figureOf(await freeze(grant.grantId), 'paid-to-date').value).toBe('10');
  });

  it('shows a donor the reports of that donor only, and never a household', async () => {
    const places = await makePlaces(service, coordinator);
    const own = await makeGrant(service, coordinator, places.programmeId);
    const other = await makeGrant(service, coordinator, places.programmeId);
    const { buildId, siteId } = await makeBuild(service, coordinator, places);
    await shareBuild(service, coordinator, buildId, { [own.grantId]: '1' });
    await service.as(coordinator, (tx) =>
      tx.sql(
        `insert into site_contact (organisation_id, id, contact_name, phone, lat_deg, lon_deg, consent_given)
         values ($1, $2, 'Canary Person', '+000 111', 1.23456, 2.34567, true)`,
        [coordinator.organisationId, siteId],
      ),
    );
    await finish(buildId);
    const mine = await freeze(own.grantId);
    const theirs = await freeze(other.grantId);
    const viewer = await service.person(['donor'], coordinator.organisationId, own.donorId);
    const list = await service.http.get('/v1/reports').set(viewer.auth).expect(200);
    expect(list.body.items.map(({ id }: { id: string }) => id)).toEqual([mine.id]);
    expectProblem(
      await service.http.get(`/v1/reports/${theirs.id}`).set(viewer.auth),
      404,
      'not-found',
    );
    const seen = [
      JSON.stringify(
        (await service.http.get(`/v1/reports/${mine.id}`).set(viewer.auth).expect(200)).body,
      ),
      JSON.stringify(await recordsOf(figureOf(mine, 'people-served').recordsUrl, viewer)),
    ].join();
    for (const secret of ['Canary', '+000 111', '1.23456', '2.34567'])
      expect(seen).not.toContain(secret);
    expect(seen).not.toMatch(/"(lat|lon|phone|contactName|notes?)/i);
    expectProblem(await service.http.get('/v1/programmes').set(viewer.auth), 403, 'forbidden');
  });

  it('sums money to the last cent over any set of entries', async () => {
    const places = await makePlaces(service, coordinator);
    const entryCents = fc.array(
      fc.record({
        cents: fc.integer({ min: 0, max: 99_999_999 }),
        state: fc.constantFrom('committed', 'accrued', 'paid'),
        isInKind: fc.boolean(),
      }),
      { minLength: 1, maxLength: 12 },
    );
    await fc.assert(
      fc.asyncProperty(entryCents, async (entries) => {
        const grant = await makeGrant(service, coordinator, places.programmeId);
        for (const { cents, state, isInKind } of entries) {
          await payFor(grant, places.programmeId, (cents / 100).toFixed(2), {
            state,
            funding: isInKind ? 'in-kind' : 'cash',
            evidence: 'E',
          });
        }
        const frozen = await freeze(grant.grantId);
        const expected = (wanted: (entry: (typeof entries)[number]) => boolean) =>
          entries.filter(wanted).reduce((sum, { cents }) => sum + cents, 0);
        const shown = (code: string) => Math.round(Number(figureOf(frozen, code).value) * 100);
        expect(shown('paid-to-date')).toBe(expected((e) => e.state === 'paid' && !e.isInKind));
        expect(shown('spent-to-date')).toBe(
          expected((e) => e.state !== 'committed' && !e.isInKind),
        );
        expect(shown('committed-to-date')).toBe(
          expected((e) => e.state === 'committed' && !e.isInKind),
        );
        expect(shown('in-kind-to-date')).toBe(expected((e) => e.isInKind));
        for (const figure of frozen.content.figures.filter(({ basis }) => basis === 'recorded')) {
          const records = await recordsOf(figure.recordsUrl);
          const sum = records.reduce(
            (total, { contribution }) => total + Math.round(Number(contribution) * 100),
            0,
          );
          expect(sum, figure.code).toBe(Math.round(Number(figure.value) * 100));
        }
      }),
      { numRuns: 8 },
    );
  });
});
