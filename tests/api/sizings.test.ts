import pg from 'pg';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import {
  type SiteSizing,
  siteSizing,
  siteSizingSummary,
} from '../../shared/contract/site-sizing.ts';
import type { JobHandler } from '../../src/jobs/run-job.ts';
import { sizeProgramme } from '../../src/modules/sizings/size-programme.ts';
import { runQueuedJobs } from '../support/jobs.ts';
import {
  makeRain,
  makeRevision,
  makeSeason,
  makeSites,
  type Season,
  setStandardDesigns,
  tankInput,
} from '../support/season.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let season: Season;
let small: string;
let large: string;

/** Bearing pressures of the two tanks are about 18.7 and 24.3 kPa. */
const SMALL = tankInput(1.5, 1.7, 6);
const LARGE = {
  ...tankInput(2.4, 2.2, 11),
  bands: { ...tankInput().bands, widthMm: 30, count: 11 },
};

beforeAll(async () => {
  service = await startTestService();
});
afterAll(() => service.close());
beforeEach(async () => {
  await service.db.pool.query('delete from pgboss.job');
  season = await makeSeason(service);
  small = await makeRevision(service, season, SMALL);
  large = await makeRevision(service, season, LARGE);
  await setStandardDesigns(service, season, [large, small]);
});

const request = () =>
  service.http.post(`/v1/programmes/${season.programmeId}/sizings`).set(season.coordinator.auth);

const readJob = async (id: string) =>
  (await service.http.get(`/v1/jobs/${id}`).set(season.coordinator.auth).expect(200)).body;

async function size(handler: JobHandler = sizeProgramme) {
  const { body } = await request().expect(202);
  await runQueuedJobs(service, { handlers: { 'programme-sizing': handler } });
  return readJob(body.id);
}

async function sizings(query = ''): Promise<SiteSizing[]> {
  const { body } = await service.http
    .get(`/v1/site-sizings?programmeId=${season.programmeId}&limit=200${query}`)
    .set(season.coordinator.auth)
    .expect(200);
  return body.items.map((item: unknown) => siteSizing.parse(item));
}

const summary = async () =>
  siteSizingSummary.parse(
    (
      await service.http
        .get(`/v1/site-sizings/summary?programmeId=${season.programmeId}`)
        .set(season.coordinator.auth)
        .expect(200)
    ).body,
  );

/** Two years from 1 January 2023: a wet half and a dry half of each, drawn by a fixed generator. */
function seasonalRain(dayCount = 730): number[] {
  let state = 12_345;
  return Array.from({ length: dayCount }, (_, day) => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    const draw = state / 2 ** 31;
    const isWetSeason = day % 365 < 180;
    return draw < (isWetSeason ? 0.4 : 0.03) ? Math.round(draw * 1000) / 10 + 2 : 0;
  });
}

/** Yield after spillage written out day by day, apart from the engine. */
function byHand(rainMm: readonly number[], roofM2: number, demandL: number, capacityL: number) {
  let volumeL = 0;
  let yieldL = 0;
  let inflowL = 0;
  let daysMet = 0;
  for (const rain of rainMm) {
    // 0.85 is the project's coefficient of a metal roof, 0.9 the programme's gutters, 1 mm its first flush
    const inflow = Math.max(0, rain - 1) * roofM2 * 0.85 * 0.9;
    const drawn = Math.min(demandL, volumeL);
    volumeL = Math.min(volumeL + inflow - drawn, capacityL - drawn);
    yieldL += drawn;
    inflowL += inflow;
    if (drawn >= demandL - 1e-9) daysMet += 1;
  }
  const days = rainMm.length;
  return {
    reliability: yieldL / (demandL * days),
    daysMetRatio: daysMet / days,
    meanYieldL: yieldL / days,
    annualRunoffL: (inflowL / days) * 365.25,
  };
}

/** Revisions never change for the service; only the superuser of the tests can bend one. */
async function bendPressure(revisionId: string, pressurePa: number) {
  const client = new pg.Client({ connectionString: service.database.adminUrl });
  await client.connect();
  try {
    await client.query(
      `update design_revision
       set result = jsonb_set(result, '{bearingPressureWithLiveLoadPa}', to_jsonb($2::float8)) where id = $1`,
      [revisionId, pressurePa],
    );
  } finally {
    await client.end();
  }
}

describe('sizing the sites of a programme', () => {
  it('answers 202 with the job, and refuses a second one while it waits', async () => {
    const asked = await request().expect(202);
    expect(asked.headers.location).toBe(`/v1/jobs/${asked.body.id}`);
    expect(asked.headers['retry-after']).toBe('1');
    const again = expectProblem(await request(), 422, 'rule-broken');
    expect(again.rule).toBe('sizing-in-progress');
    await runQueuedJobs(service);
    await request().expect(202);
  });

  it('chooses the smallest design that meets the target, as a balance by hand finds', async () => {
    const rain = seasonalRain();
    const seriesId = await makeRain(service, season, '2023-01-01', rain);
    await makeSites(service, season, [
      { code: 'A', roofAreaM2: 60, demandLPerDay: 30 },
      { code: 'B', roofAreaM2: 60, demandLPerDay: 45 },
    ]);
    const done = await size();
    expect(done).toMatchObject({ state: 'succeeded', progress: { done: 2, total: 2 } });
    const [a, b] = await sizings();
    expect([a?.designRevisionId, b?.designRevisionId]).toEqual([small, large]);
    for (const [row, demandL] of [
      [a, 30],
      [b, 45],
    ] as const) {
      const hand = byHand(rain, 60, demandL, row?.capacityL ?? 0);
      expect(row?.volumetricReliabilityRatio).toBeCloseTo(hand.reliability, 9);
      expect(row?.daysMetRatio).toBeCloseTo(hand.daysMetRatio, 12);
      expect(row?.meanYieldLPerDay).toBeCloseTo(hand.meanYieldL, 6);
      expect(row?.meanAnnualRunoffL).toBeCloseTo(hand.annualRunoffL, 4);
      expect(row).toMatchObject({ demandLPerDay: demandL, rainSeriesId: seriesId, isLatest: true });
      expect(hand.reliability).toBeGreaterThanOrEqual(0.8);
    }
    const smallForB = b?.candidates[0];
    expect(smallForB).toMatchObject({ designRevisionId: small, meetsTarget: false });
    const hand = byHand(rain, 60, 45, smallForB?.capacityL ?? 0);
    expect(smallForB?.volumetricReliabilityRatio).toBeCloseTo(hand.reliability, 9);
    expect(hand.reliability).toBeLessThan(0.8);
  });

  it('takes demand from people, the roof from its kind or its own coefficient, the newest rain', async () => {
    await makeRain(service, season, '2020-01-01', [0, 0, 0]);
    const rain = [...seasonalRain(365), null];
    const newest = await makeRain(service, season, '2021-01-01', rain);
    await makeSites(service, season, [
      { code: 'A', peopleServed: 3 },
      { code: 'B', peopleServed: 3, litresPerPersonPerDay: 5 },
      { code: 'C', peopleServed: 3, demandLPerDay: 12 },
      { code: 'D', peopleServed: 3, runoffCoefficient: 0.425 },
    ]);
    await size();
    const [a, b, c, d] = await sizings();
    expect([a, b, c, d].map((row) => row?.demandLPerDay)).toEqual([30, 15, 12, 30]);
    expect(new Set([a, b, c, d].map((row) => row?.rainSeriesId))).toEqual(new Set([newest]));
    expect(d?.meanAnnualRunoffL).toBeCloseTo((a?.meanAnnualRunoffL ?? 0) / 2, 6);
    const dry = rain.map((rainMm) => rainMm ?? 0);
    expect(a?.meanAnnualRunoffL).toBeCloseTo(byHand(dry, 40, 30, 3000).annualRunoffL, 4);
  });

  it('names the dry months of the chosen tank', async () => {
    // 40 mm on every day of January to June, nothing from July on, two equal years
    const rain = Array.from({ length: 730 }, (_, day) => (day % 365 < 181 ? 40 : 0));
    await makeRain(service, season, '2022-01-01', rain);
    await makeSites(service, season, [{ code: 'A', demandLPerDay: 60 }]);
    await service.as(season.coordinator, (tx) =>
      tx.sql('update programme set target_reliability_ratio = 0.6 where id = $1', [
        season.programmeId,
      ]),
    );
    await size();
    const [row] = await sizings();
    // 3,004 L last 50 days at 60 L: the whole of July and 19 days of August
    expect(row).toMatchObject({ designRevisionId: small, dryMonths: [9, 10, 11, 12] });
  });

  it('says for every site without a tank why', async () => {
    await makeRain(service, season, '2023-01-01', seasonalRain());
    const dryVillage = season.villageIds[1] ?? '';
    await service.as(season.coordinator, (tx) =>
      tx.sql('update village set rain_station_id = null where id = $1', [dryVillage]),
    );
    await makeSites(service, season, [
      { code: 'A', roofAreaM2: 60, demandLPerDay: 30 },
      { code: 'B', roofAreaM2: 4, demandLPerDay: 60 },
      { code: 'C', roofAreaM2: 500, demandLPerDay: 400 },
      { code: 'D', roofAreaM2: 60, demandLPerDay: 30, groundClass: null },
      { code: 'E', roofAreaM2: 60, demandLPerDay: 30, groundClass: 'made-ground' },
      { code: 'F', villageId: dryVillage },
      { code: 'G', peopleServed: 0 },
      { code: 'H', roofAreaM2: 60, demandLPerDay: 30, groundClass: 'unknown' },
    ]);
    await size();
    const rows = await sizings();
    expect(rows.map((row) => [row.siteCode, row.refusal])).toEqual([
      ['A', null],
      ['B', 'roof-too-small'],
      ['C', 'target-not-reachable'],
      ['D', 'ground-unknown'],
      ['E', 'ground-not-suitable'],
      ['F', 'no-rain-record'],
      ['G', 'no-demand'],
      ['H', 'ground-unknown'],
    ]);
    for (const row of rows) {
      expect(row.designRevisionId === null).toBe(row.refusal !== null);
      expect(row.volumetricReliabilityRatio === null).toBe(row.refusal !== null);
    }
    expect(rows[3]?.candidates[0]).toMatchObject({ meetsTarget: true, suitsGround: null });
    expect(await summary()).toMatchObject({
      siteCount: 8,
      chosenCount: 1,
      refusedCount: 7,
      unsizedCount: 0,
      byDesign: [{ designRevisionId: small, siteCount: 1, peopleServed: 5 }],
      meanReliabilityRatio: rows[0]?.volumetricReliabilityRatio,
    });
    expect((await summary()).byRefusal[0]).toEqual({ refusal: 'ground-unknown', siteCount: 2 });
    const unknown = await sizings('&refusal=ground-unknown');
    expect(unknown.map((row) => row.siteCode)).toEqual(['D', 'H']);
  });

  it('passes over a design that presses harder than the ground carries', async () => {
    // Soft clay carries 40 kPa by the lowest published value; a pressure of 50 kPa is given to the small tank.
    await bendPressure(small, 50_000);
    await makeRain(service, season, '2023-01-01', seasonalRain());
    await makeSites(service, season, [
      { code: 'A', roofAreaM2: 60, demandLPerDay: 30, groundClass: 'soft-clay' },
      { code: 'B', roofAreaM2: 60, demandLPerDay: 30, groundClass: 'stiff-clay' },
    ]);
    await size();
    const [a, b] = await sizings();
    expect([a?.designRevisionId, b?.designRevisionId]).toEqual([large, small]);
    expect(a?.candidates.map((one) => one.suitsGround)).toEqual([false, true]);
  });

  it('offers no design whose approval was withdrawn, and says when none is left', async () => {
    await makeRain(service, season, '2023-01-01', seasonalRain());
    await makeSites(service, season, [{ code: 'A', roofAreaM2: 60, demandLPerDay: 30 }]);
    const withdraw = (id: string) =>
      service.http
        .post(`/v1/design-revisions/${id}/decisions`)
        .set(season.engineer.auth)
        .send({ decision: 'withdrawn' })
        .expect(201);
    await withdraw(small);
    await size();
    expect((await sizings())[0]?.designRevisionId).toBe(large);
    await withdraw(large);
    await size();
    expect((await sizings())[0]).toMatchObject({
      refusal: 'no-standard-design',
      designRevisionId: null,
    });
    expect(await sizings('&latest=all')).toHaveLength(2);
    expect((await sizings('&latest=false'))[0]).toMatchObject({
      designRevisionId: large,
      isLatest: false,
    });
  });

  it('goes on where a killed attempt ended, and sizes each site once', async () => {
    await makeRain(service, season, '2023-01-01', seasonalRain());
    const sites = Array.from({ length: 1_100 }, (_, index) => ({
      code: `H-${index}`,
      roofAreaM2: 40 + (index % 7),
    }));
    await makeSites(service, season, sites);
    let isFirstAttempt = true;
    let steps = 0;
    const ended = await size(async (running) => {
      const dies = isFirstAttempt;
      isFirstAttempt = false;
      return sizeProgramme({
        ...running,
        step: (progress, work) => {
          if (dies && progress.done > 500) throw new Error('killed');
          steps++;
          return running.step(progress, work);
        },
      });
    });
    expect(ended).toMatchObject({
      state: 'succeeded',
      attempt: 2,
      progress: { done: 1_100, total: 1_100 },
      result: { siteCount: 1_100, unsizedCount: 0 },
    });
    expect(steps).toBe(3);
    const counts = await service.as(season.coordinator, (tx) =>
      tx.sql<{ rows: number; sites: number }>(
        'select count(*) as rows, count(distinct site_id) as sites from site_sizing where job_id = $1',
        [ended.id],
      ),
    );
    expect(counts).toEqual([{ rows: 1_100, sites: 1_100 }]);
  });

  it('keeps what was sized before it was cancelled, beside the sizings of before', async () => {
    await makeRain(service, season, '2023-01-01', seasonalRain());
    const codes = Array.from({ length: 600 }, (_, index) => ({ code: `H-${1000 + index}` }));
    await makeSites(service, season, codes);
    const before = await size();
    const cancelled = await size((running) =>
      sizeProgramme({
        ...running,
        step: async (progress, work) => {
          if (progress.done === 500) {
            const result = await running.step(progress, work);
            await service.http
              .post(`/v1/jobs/${running.id}/cancellations`)
              .set(season.coordinator.auth)
              .expect(200);
            return result;
          }
          return running.step(progress, work);
        },
      }),
    );
    expect(cancelled).toMatchObject({ state: 'cancelled', progress: { done: 500, total: 600 } });
    const latest = await service.as(season.coordinator, (tx) =>
      tx.sql<{ job_id: string; count: number }>(
        `select job_id, count(*) as count from site_sizing
         where programme_id = $1 and is_latest group by job_id`,
        [season.programmeId],
      ),
    );
    expect(Object.fromEntries(latest.map((row) => [row.job_id, row.count]))).toEqual({
      [before.id]: 100,
      [cancelled.id]: 500,
    });
  });

  it('pages by site code, and hides programmes of others', async () => {
    await makeSites(service, season, [{ code: 'C' }, { code: 'A' }, { code: 'B' }]);
    await size();
    const url = `/v1/site-sizings?programmeId=${season.programmeId}&limit=2`;
    const first = await service.http.get(url).set(season.coordinator.auth).expect(200);
    const rest = await service.http
      .get(`${url}&cursor=${first.body.nextCursor}`)
      .set(season.coordinator.auth)
      .expect(200);
    const codes = [...first.body.items, ...rest.body.items].map((row: SiteSizing) => row.siteCode);
    expect(codes).toEqual(['A', 'B', 'C']);
    expect(rest.body.nextCursor).toBeNull();
    const stranger = await service.person(['coordinator']);
    const foreign = service.http.post(`/v1/programmes/${season.programmeId}/sizings`);
    expectProblem(await foreign.set(stranger.auth), 404, 'not-found');
    const empty = await service.http.get(url).set(stranger.auth).expect(200);
    expect(empty.body.items).toEqual([]);
    const inspector = await service.person(['inspector'], season.coordinator.organisationId);
    expectProblem(
      await service.http.post(`/v1/programmes/${season.programmeId}/sizings`).set(inspector.auth),
      403,
      'forbidden',
    );
  });
});
