import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  type SeasonForecastRecord,
  seasonForecast,
  seasonForecastSummary,
} from '../../shared/contract/season-forecast.ts';
import { addDays, calendarDay, daysBetween } from '../../shared/units/calendar.ts';
import { runQueuedJobs } from '../support/jobs.ts';
import { makePlannedSeason } from '../support/planned-season.ts';
import { publishPlan, type StageOfPlan } from '../support/published-plan.ts';
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
const ask = (planId: string, body: object = {}, who = coordinator) =>
  service.http.post(`/v1/season-plans/${planId}/forecasts`).set(who.auth).send(body);

const RECORD_STARTS_ON = '2001-01-01';
const RECORD_ENDS_ON = '2011-01-05';

/** A station with a record of daily rain; null where it is missing. */
async function makeStation(
  rainOn: (on: string) => number | null,
  { startsOn = RECORD_STARTS_ON, endsOn = RECORD_ENDS_ON } = {},
): Promise<string> {
  const id = randomUUID();
  const count = daysBetween(startsOn, endsOn) + 1;
  const rain = Array.from({ length: count }, (_, day) => rainOn(addDays(startsOn, day)));
  await service.as(coordinator, async (tx) => {
    await tx.sql(
      `insert into rain_station (organisation_id, id, code, name, source) values ($1, $2, $3, 'Gauge', 'made up')`,
      [tx.organisationId, id, `R-${id.slice(0, 8)}`],
    );
    await tx.sql(
      `insert into rain_series (organisation_id, id, station_id, starts_on, ends_on, daily_rain_mm,
         missing_day_count, missing_days_declared, source)
       values ($1, $2, $3, $4, $5, $6, $7, true, 'made up')`,
      [
        tx.organisationId,
        randomUUID(),
        id,
        startsOn,
        endsOn,
        rain,
        rain.filter((mm) => mm === null).length,
      ],
    );
  });
  return id;
}

const useStation = (villageId: string | undefined, stationId: string) =>
  service.as(coordinator, (tx) =>
    tx.sql('update village set rain_station_id = $2 where id = $1', [villageId, stationId]),
  );

/** The plan of one tank from Monday the 6th: Sundays are not worked, and slab and coats not in rain. */
const planOf = (buildId: string, crewId: string): StageOfPlan[] =>
  (
    [
      ['slab', '2031-01-06', '2031-01-06'],
      ['wall', '2031-01-10', '2031-01-11'],
      ['first-coat', '2031-01-13', '2031-01-13'],
      ['second-coat', '2031-01-15', '2031-01-15'],
      ['test', '2031-01-23', '2031-01-23'],
    ] as const
  ).map(([stageCode, startsOn, finishesOn]) => ({
    buildId,
    stageCode,
    crewId,
    startsOn,
    finishesOn,
  }));

async function makePlan() {
  const season = await makePlannedSeason(service, coordinator, { villages: 2, buildsEach: 1 });
  const [first = '', second = ''] = season.buildIds.flat();
  const [crewId = '', otherCrewId = ''] = season.crewIds;
  const planId = await publishPlan(service, coordinator, season.programmeId, [
    ...planOf(first, crewId),
    ...planOf(second, otherCrewId),
  ]);
  return { ...season, first, second, planId };
}

async function forecastOf(planId: string, body: object = {}): Promise<SeasonForecastRecord> {
  const asked = await ask(planId, body);
  expect(asked.status, asked.text).toBe(202);
  expect(asked.headers.location).toBe(`/v1/jobs/${asked.body.id}`);
  await runQueuedJobs(service);
  const job = await get(`jobs/${asked.body.id}`).expect(200);
  expect(job.body.state, JSON.stringify(job.body.error)).toBe('succeeded');
  const found = await get(`season-forecasts/${job.body.result.seasonForecastId}`).expect(200);
  return seasonForecast.parse(found.body);
}

describe('a forecast of a season plan by years', () => {
  it('finishes as the weather of each year lets it, worked out by hand', async () => {
    const { planId, villageIds, first, second } = await makePlan();
    // Six dry years; rain from the 6th to the 8th in three of them, to the 13th in one. By hand: the
    // slab is laid on the first dry work day, the 9th or the 14th; three days later the wall, two days
    // with no Sunday; the coats a day apart; the test a week after the second coat. That ends on the
    // 23rd as planned, on Saturday the 25th, or on Friday the 31st.
    const lastWetDay = (year: number) =>
      year === 2004 ? 13 : [2002, 2006, 2009].includes(year) ? 8 : 0;
    const station = await makeStation((on) => {
      const { year, month, day } = calendarDay(on);
      return month === 1 && day >= 6 && day <= lastWetDay(year) ? 5 : 4.9;
    });
    await useStation(villageIds[0], station);
    const forecast = await forecastOf(planId, { samples: 2_000 });
    expect(forecast).toMatchObject({ method: 'years', sampleCount: 2_000, seed: 1, wetDayMm: 5 });
    expect(forecast.years).toEqual([2001, 2002, 2003, 2004, 2005, 2006, 2007, 2008, 2009, 2010]);
    expect(forecast.yearsLeftOut).toEqual([2011]);
    expect(forecast.season).toMatchObject({
      plannedOn: '2031-01-23',
      p50On: '2031-01-23',
      p80On: '2031-01-25',
    });
    // 0.6·0 + 0.3·2 + 0.1·8 days, give or take four standard errors of 2,000 samples.
    expect(Math.abs(forecast.season.meanDelayDays - 1.4)).toBeLessThan(
      (4 * 2.33) / Math.sqrt(2_000),
    );
    const [built, dry] = [first, second].map((id) =>
      forecast.builds.find(({ buildId }) => buildId === id),
    );
    expect(built).toMatchObject({ p50On: '2031-01-23', p80On: '2031-01-25' });
    expect(dry).toMatchObject({
      p50On: '2031-01-23',
      p80On: '2031-01-23',
      standardDeviationDays: 0,
    });
    expect(forecast.villages.map(({ villageId, p80On }) => [villageId, p80On]).toSorted()).toEqual(
      [
        [villageIds[0], '2031-01-25'],
        [villageIds[1], '2031-01-23'],
      ].toSorted(),
    );
    expect(forecast.stations).toEqual([
      expect.objectContaining({ stationId: station, villageCount: 1, endsOn: RECORD_ENDS_ON }),
    ]);
    expect(forecast.villagesWithoutStation.map(({ villageId }) => villageId)).toEqual([
      villageIds[1],
    ]);
    // √(p(1 − p)/n)
    expect(forecast.p80StandardErrorRatio).toBeCloseTo(Math.sqrt(0.16 / 2_000), 12);
    // Only the slab is ever stopped; without rain on it the season ends as planned.
    expect(forecast.risks[0]).toMatchObject({ stageCode: 'slab' });
    expect(Math.abs((forecast.risks[0]?.criticalRatio ?? 0) - 0.4)).toBeLessThan(0.05);
  });

  it('says the chance to finish before the rains and before the end of the programme', async () => {
    const { planId, programmeId, villageIds } = await makePlan();
    await useStation(
      villageIds[0],
      await makeStation((on) => {
        const { year, month, day } = calendarDay(on);
        return year % 2 === 0 && month === 1 && day >= 6 && day <= 8 ? 20 : 0;
      }),
    );
    expect((await forecastOf(planId)).beforeRains).toBeNull();
    await service.as(coordinator, (tx) =>
      tx.sql(
        `update programme set rains_from = '2031-01-24', rains_until = '2031-03-31' where id = $1`,
        [programmeId],
      ),
    );
    const { beforeRains, beforeEnd, sampleCount } = await forecastOf(planId);
    expect(beforeRains?.on).toBe('2031-01-24');
    // Five of ten years end on the 23rd, the others on the 25th.
    const error = beforeRains?.standardErrorRatio ?? 0;
    expect(error).toBeCloseTo(Math.sqrt(0.25 / sampleCount), 3);
    expect(Math.abs((beforeRains?.ratio ?? 0) - 0.5)).toBeLessThan(4 * error);
    expect(beforeEnd).toEqual({ on: '2031-07-01', ratio: 1, standardErrorRatio: 0 });
  });

  it('leaves out years with a gap, and refuses when none is whole', async () => {
    const { planId, villageIds } = await makePlan();
    await useStation(villageIds[0], await makeStation((on) => (on === '2005-06-01' ? null : 0)));
    const forecast = await forecastOf(planId, { samples: 10 });
    expect(forecast.years).not.toContain(2005);
    expect(forecast.yearsLeftOut).toEqual([2005, 2011]);
    await useStation(
      villageIds[1],
      await makeStation(() => 0, { startsOn: '1990-01-01', endsOn: '1992-12-31' }),
    );
    const asked = await ask(planId).expect(202);
    await runQueuedJobs(service);
    const job = await get(`jobs/${asked.body.id}`).expect(200);
    expect(job.body).toMatchObject({ state: 'failed', error: { rule: 'no-whole-year-of-rain' } });
  });

  it('takes the newest record of a station, and gives the same for the same seed', async () => {
    const { planId, villageIds } = await makePlan();
    const station = await makeStation(() => 50);
    await useStation(villageIds[0], station);
    await service.as(coordinator, (tx) =>
      tx.sql(
        `insert into rain_series (organisation_id, id, station_id, starts_on, ends_on, daily_rain_mm,
           missing_day_count, missing_days_declared, source, created_at)
         select organisation_id, gen_random_uuid(), station_id, starts_on, ends_on,
           array_fill(0::float8, array[cardinality(daily_rain_mm)]), 0, true, 'corrected', now() + interval '1 hour'
         from rain_series where station_id = $1`,
        [station],
      ),
    );
    const forecast = await forecastOf(planId, { samples: 50 });
    expect(forecast.season.p80On).toBe('2031-01-23');
    const again = await forecastOf(planId, { samples: 50 });
    const { id: _, jobId: __, createdAt: ___, ...result } = forecast;
    expect(again).toMatchObject(result);
    const list = await get(`season-plans/${planId}/forecasts?limit=1`).expect(200);
    expect(seasonForecastSummary.parse(list.body.items[0]).id).toBe(again.id);
    expect(list.body.items[0]).not.toHaveProperty('builds');
    const rest = await get(
      `season-plans/${planId}/forecasts?limit=1&cursor=${list.body.nextCursor}`,
    ).expect(200);
    expect(rest.body.items.map(({ id }: { id: string }) => id)).toEqual([forecast.id]);
    expect(rest.body.nextCursor).toBeNull();
  });

  it('is of the plan as it was made: what was recorded since changes nothing', async () => {
    const { planId, villageIds, first } = await makePlan();
    await useStation(villageIds[0], await makeStation(() => 0));
    const before = await forecastOf(planId, { samples: 20 });
    await service.as(coordinator, async (tx) => {
      await tx.sql(
        `insert into stage_record (organisation_id, id, build_id, stage_code, kind, observed_on, recorded_by_id, note)
         values ($1, $2, $3, 'slab', 'started', '2031-01-20', $4, '')`,
        [tx.organisationId, randomUUID(), first, tx.actor.personId],
      );
      await tx.sql(`update build set started_on = '2031-01-20', status = 'started' where id = $1`, [
        first,
      ]);
    });
    const after = await forecastOf(planId, { samples: 20 });
    expect(after.season).toEqual(before.season);
    expect(after.builds).toEqual(before.builds);
  });

  it('finishes a plan that the planner found on its own day when no day is wet', async () => {
    const season = await makePlannedSeason(service, coordinator);
    const station = await makeStation(() => 0);
    for (const villageId of season.villageIds) await useStation(villageId, station);
    const plan = await season.plan();
    const forecast = await forecastOf(plan.id, { samples: 20 });
    expect(forecast.season).toMatchObject({
      plannedOn: plan.finishesOn,
      p50On: plan.finishesOn,
      p80On: plan.finishesOn,
      meanDelayDays: 0,
    });
    expect(forecast.builds).toHaveLength(6);
  });
});

/** Smallest D with P(at least n dry days of D) of at least `level`, days wet by themselves: exact sums. */
function daysForDryDays(n: number, wetRatio: number, level: number): number {
  for (let days = n; ; days += 1) {
    let sum = 0;
    let term = wetRatio ** days;
    for (let dry = 0; dry <= days; dry += 1) {
      if (dry >= n) sum += term;
      term *= ((days - dry) / (dry + 1)) * ((1 - wetRatio) / wetRatio);
    }
    if (sum >= level - 1e-12) return days;
  }
}

describe('a forecast of a season plan by a chain of wet days', () => {
  it('agrees with the binomial count of dry days where days are wet by themselves', async () => {
    const { programmeId, like, villageIds, first, second } = await makePlan();
    // Quantiles [memory] of 20 dry days at 30 % wet days: 28 and 31.
    expect([daysForDryDays(20, 0.3, 0.5), daysForDryDays(20, 0.3, 0.8)]).toEqual([28, 31]);
    await service.as(coordinator, async (tx) => {
      await tx.sql(
        `update tank_kind set stages = jsonb_build_array(stages->0 || '{"workDays":20}') where id = $1`,
        [like.tankKindId],
      );
      await tx.sql(`update programme set working_weekdays = '{1,2,3,4,5,6,7}' where id = $1`, [
        programmeId,
      ]);
      await tx.sql(`update build set cancelled_on = '2030-12-31' where id = $1`, [second]);
    });
    const crewId = (await get(`crews?programmeId=${programmeId}`).expect(200)).body.items[0].id;
    const longPlan = await publishPlan(service, coordinator, programmeId, [
      {
        buildId: first,
        stageCode: 'slab',
        crewId,
        startsOn: '2031-01-06',
        finishesOn: '2031-01-25',
      },
    ]);
    // A multiplicative generator (Lehmer, 48271 modulo 2^31 − 1): wet with chance 0.3, day by day.
    let state = 20_310_106;
    const station = await makeStation(
      () => {
        state = (state * 48_271) % 2_147_483_647;
        return state / 2_147_483_647 < 0.3 ? 12 : 0;
      },
      { startsOn: '1951-01-01', endsOn: '2010-12-31' },
    );
    await useStation(villageIds[0], station);
    const { season, coveredDays } = await forecastOf(longPlan, {
      method: 'wet-day-chain',
      samples: 4_000,
      seed: 7,
    });
    expect(coveredDays).toBeNull();
    expect(season.plannedOn).toBe('2031-01-25');
    const daysUntil = (on: string) => daysBetween('2031-01-06', on) + 1;
    // The record's own shares differ a little from 0.3: a day either way.
    expect(Math.abs(daysUntil(season.p50On) - 28)).toBeLessThanOrEqual(1);
    expect(Math.abs(daysUntil(season.p80On) - 31)).toBeLessThanOrEqual(1);
    // Mean of n/(1 − p) days, standard deviation of √(n·p)/(1 − p).
    expect(Math.abs(season.meanDelayDays - (20 / 0.7 - 20))).toBeLessThan(1);
    expect(Math.abs(season.standardDeviationDays - Math.sqrt(6) / 0.7)).toBeLessThan(0.5);
  });
});

describe('asking for a forecast', () => {
  it('is refused without a record of rain, for supposed crews, and while one runs', async () => {
    const { planId, villageIds } = await makePlan();
    expect(expectProblem(await ask(planId), 422, 'rule-broken').rule).toBe('no-rain-record');
    await useStation(villageIds[0], await makeStation(() => 0));
    await ask(planId, { samples: 1 }).expect(202);
    expect(expectProblem(await ask(planId), 422, 'rule-broken').rule).toBe(
      'season-forecast-in-progress',
    );
    await runQueuedJobs(service);
    await service.as(coordinator, (tx) =>
      tx.sql(
        `update season_plan set settings = settings || '{"assumptions":{"extraCrews":[{"code":"X"}]}}' where id = $1`,
        [planId],
      ),
    );
    expect(expectProblem(await ask(planId), 422, 'rule-broken').rule).toBe('plan-supposes-crews');
  });

  it('is refused with the field, the value and the limit', async () => {
    const { planId } = await makePlan();
    for (const [field, value] of [
      ['samples', 0],
      ['samples', 10_001],
      ['samples', 1.5],
      ['method', 'guess'],
      ['seed', -1],
    ] as const) {
      const refused = expectProblem(await ask(planId, { [field]: value }), 422, 'invalid-content');
      expect(refused.errors).toEqual([
        expect.objectContaining({ pointer: `/${field}`, rejectedValue: value }),
      ]);
    }
  });

  it('is for those who plan builds, of their own organisation', async () => {
    const { planId, villageIds } = await makePlan();
    await useStation(villageIds[0], await makeStation(() => 0));
    const supervisor = await service.person(['supervisor'], coordinator.organisationId);
    expectProblem(await ask(planId, {}, supervisor), 403, 'forbidden');
    const stranger = await service.person(['coordinator']);
    expectProblem(await ask(planId, {}, stranger), 404, 'not-found');
    const forecast = await forecastOf(planId, { samples: 1 });
    expectProblem(await get(`season-forecasts/${forecast.id}`, stranger), 404, 'not-found');
    expectProblem(await get(`season-plans/${planId}/forecasts`, stranger), 404, 'not-found');
    await get(`season-forecasts/${forecast.id}`, supervisor).expect(200);
  });
});
