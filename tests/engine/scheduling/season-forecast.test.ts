import { describe, expect, it } from 'vitest';
import {
  fitWetDays,
  forecastSeason,
  type SeasonForecast,
  type SeasonWeather,
  weatherDelay,
} from '../../../shared/index.ts';
import type { BuildSeason } from '../../../shared/scheduling/build-season.ts';
import { wetDaySamples } from '../../../shared/scheduling/wet-day-samples.ts';
import { buildOf, crewOf, seasonOf, stageOf } from '../../support/made-season.ts';
import { seasonPlanOf } from '../../support/season-plan-of.ts';

type Row = [build: string, code: string, crew: string, start: number, finish: number];
const planOf = (season: BuildSeason, rows: readonly Row[]) =>
  seasonPlanOf(
    season,
    rows.map(([buildId, stageCode, crewId, startDay, finishDay]) => ({
      buildId,
      stageCode,
      crewId,
      startDay,
      finishDay,
      workedDays: [],
    })),
  );
/** The figures of a plan that is only replayed: its finish. */
const finished = (season: BuildSeason, rows: readonly Row[]) => {
  const plan = planOf(season, rows);
  return { ...plan, figures: { ...plan.figures, finishedDay: Math.max(...rows.map((r) => r[4])) } };
};
const ROOF = { isBlockedByRain: true };
/** One stage of so many dry days. */
const oneStage = (days: number) => {
  const season = seasonOf(
    [stageOf('coat', days, 1, [], ROOF)],
    [crewOf('c', 1)],
    [buildOf('a', 'north')],
  );
  return { season, plan: finished(season, [['a', 'coat', 'c', 0, days]]) };
};
const chainOf = (wetAfterWetRatio: number, wetAfterDryRatio: number): SeasonWeather => ({
  kind: 'chain',
  startsOn: '2026-11-25',
  stations: [
    {
      villageIds: ['north', 'south'],
      months: Array.from({ length: 12 }, () => ({ wetAfterWetRatio, wetAfterDryRatio })),
    },
  ],
});
/** Wet days as text, w for wet. */
const yearOf = (days: string) => [...days].map((day) => day === 'w');
const yearsOf = (...years: string[]): SeasonWeather => ({
  kind: 'years',
  stations: [{ villageIds: ['north', 'south'], years: years.map(yearOf) }],
});
const DRY = '.'.repeat(40);

describe('a forecast of a season', () => {
  // Exact quantiles by recursion over the days; the sampling error of a share of 20,000 samples is
  // 0.35 percentage points at P50 and 0.28 at P80, and four of them are allowed.
  it.each([
    // [dry days, P(wet|wet), P(wet|dry), P50, P80]
    [10, 0.2, 0.2, 12, 14],
    [20, 0.3, 0.3, 28, 31],
    [30, 0.4, 0.4, 50, 55],
    [60, 0.25, 0.25, 80, 84],
    [20, 0.5, 0.2143, 28, 32],
  ])(
    'of %i dry days with wet chances %f and %f has the quantiles of the exact count',
    (n, wet, dry, p50, p80) => {
      const { season, plan } = oneStage(n);
      const samples = 20_000;
      const effort = { samples, seed: 1, riskSamples: 0 };
      const found = forecastSeason(season, plan, chainOf(wet, dry), effort).season;
      const exactDays = (level: number) =>
        weatherDelay(n, { kind: 'chain', wetAfterWetRatio: wet, wetAfterDryRatio: dry }, [level])
          .quantileDays[0]?.days ?? 0;
      for (const [level, day] of [
        [0.5, found.p50Day],
        [0.8, found.p80Day],
      ] as const) {
        const error = 4 * Math.sqrt((level * (1 - level)) / samples);
        expect(day).toBeGreaterThanOrEqual(exactDays(level - error));
        expect(day).toBeLessThanOrEqual(exactDays(level + error));
      }
      expect([found.p50Day, found.p80Day]).toEqual([p50, p80]);
      const exact = weatherDelay(
        n,
        { kind: 'chain', wetAfterWetRatio: wet, wetAfterDryRatio: dry },
        [0.5],
      );
      const standardError = exact.standardDeviationDays / Math.sqrt(samples);
      expect(Math.abs(found.meanDay - exact.meanDays)).toBeLessThan(4 * standardError);
      expect(found.standardDeviationDays / exact.standardDeviationDays).toBeCloseTo(1, 1);
      expect(found.plannedDay).toBe(n);
    },
    120_000,
  );

  it('is the plan itself where it never rains', () => {
    const { season, plan } = oneStage(5);
    for (const weather of [chainOf(0, 0), yearsOf(DRY, DRY)]) {
      const forecast = forecastSeason(season, plan, weather, { samples: 50, seed: 3 });
      expect(forecast.season).toEqual({
        plannedDay: 5,
        p50Day: 5,
        p80Day: 5,
        meanDay: 5,
        standardDeviationDays: 0,
      });
      expect(forecast.risks).toEqual([
        { stageCode: 'coat', delayDays: 0, delayStandardErrorDays: 0, criticalRatio: 0 },
      ]);
    }
  });

  /**
   * By hand, with the years below in equal shares. Tank a: coat on days 0 and 1, paint of one day two
   * days after it; tank b in the south: coat on 3 and 4 by the same crew, paint on day 7.
   */
  const season = seasonOf(
    [
      stageOf('coat', 2, 1, [], { ...ROOF, trade: 'mason' }),
      stageOf('paint', 1, 1, [['coat', 2]], { trade: 'painter' }),
    ],
    [crewOf('c', 1), crewOf('d', 1)],
    [buildOf('a', 'north', { dueDay: 5 }), buildOf('b', 'south')],
  );
  const plan = finished(season, [
    ['a', 'coat', 'c', 0, 2],
    ['a', 'paint', 'd', 4, 5],
    ['b', 'coat', 'c', 3, 5],
    ['b', 'paint', 'd', 7, 8],
  ]);

  it('replays whole years by hand', () => {
    // Wet on day 1: coat of a on 0 and 2, paint on 5; road on 3, coat of b on 4 and 5, paint on 8.
    // Wet on days 4 and 5: only the coat of b waits, on 3 and 6; its paint on 9.
    // A dry year is the plan; the fourth year is wet when nobody coats.
    const years = [`.w${DRY}`, `....ww${DRY}`, DRY, `..w....${DRY}`];
    const finishes = { a: [6, 5, 5, 5], b: [9, 10, 8, 8] };
    for (const [at, year] of years.entries()) {
      const forecast = forecastSeason(season, plan, yearsOf(year), { samples: 3, seed: at });
      expect(forecast.builds.map(({ p80Day }) => p80Day)).toEqual([finishes.a[at], finishes.b[at]]);
      expect(forecast.season).toMatchObject({ p50Day: finishes.b[at], standardDeviationDays: 0 });
    }
    const all = forecastSeason(season, plan, yearsOf(...years), {
      samples: 4_000,
      seed: 7,
      beforeDays: [7, 8, 9, 10],
    });
    // Finishes 8, 8, 9, 10 in quarters: half by day 8, four fifths by day 10 only.
    expect(all.season).toMatchObject({ plannedDay: 8, p50Day: expect.any(Number), p80Day: 10 });
    expect(all.season.meanDay).toBeCloseTo(8.75, 1);
    const ratios = all.before.map(({ ratio }) => ratio);
    for (const [at, exact] of [0, 0.5, 0.75, 1].entries()) {
      expect(Math.abs((ratios[at] ?? 0) - exact)).toBeLessThan(0.03);
    }
    expect(all.before[1]?.standardErrorRatio).toBeCloseTo(Math.sqrt(0.25 / 4_000), 4);
    expect(all.p80StandardErrorRatio).toBeCloseTo(Math.sqrt(0.16 / 4_000), 9);
    expect(all.builds[0]?.inTimeRatio).toBeCloseTo(0.75, 1);
    expect(all.builds[1]?.inTimeRatio).toBe(null);
    expect(all.villages.map(({ villageId, plannedDay }) => [villageId, plannedDay])).toEqual([
      ['north', 5],
      ['south', 8],
    ]);
  });

  it('says which stages carry the risk', () => {
    // In the only year the coat of b costs two days; paint does not mind rain.
    const forecast = forecastSeason(season, plan, yearsOf(`....ww${DRY}`), {
      samples: 20,
      seed: 1,
      riskSamples: 10,
    });
    expect(forecast.risks).toEqual([
      { stageCode: 'coat', delayDays: 2, delayStandardErrorDays: 0, criticalRatio: 1 },
    ]);
    const none: SeasonForecast = forecastSeason(season, plan, yearsOf(`....ww${DRY}`), {
      samples: 20,
      seed: 1,
      riskSamples: 0,
    });
    expect(none.risks[0]?.delayDays).toBe(0);
  });

  it('gives all stations the same year and leaves villages without one dry', () => {
    const weather: SeasonWeather = {
      kind: 'years',
      stations: [
        { villageIds: ['north'], years: [yearOf(`w${DRY}`), yearOf(DRY)] },
        { villageIds: ['south'], years: [yearOf(`.w${DRY}`), yearOf(DRY)] },
      ],
    };
    const drawn = wetDaySamples(season, weather, 5);
    let wet = 0;
    for (let sample = 0; sample < 400; sample += 1) {
      const [north, south] = drawn.wetDays(sample, 10);
      expect(north?.[0]).toBe(south?.[1]);
      wet += north?.[0] ?? 0;
    }
    expect(Math.abs(wet / 400 - 0.5)).toBeLessThan(0.1);
    const one = wetDaySamples(season, { ...weather, stations: weather.stations.slice(0, 1) }, 5);
    expect(one.wetDays(0, 10)[1]).toBe(null);
    // A longer sample begins with the same days.
    const chain = wetDaySamples(season, chainOf(0.6, 0.2), 5);
    expect(chain.wetDays(3, 50)[0]?.slice(0, 20)).toEqual(chain.wetDays(3, 20)[0]);
    expect(chain.wetDays(3, 50)[0]).not.toEqual(chain.wetDays(4, 50)[0]);
  });

  it('counts the samples that outlast the record', () => {
    const { season: own, plan: short } = oneStage(5);
    const forecast = forecastSeason(own, short, yearsOf('.wwww', `.....`), {
      samples: 200,
      seed: 2,
    });
    // After day 4 the first year is taken as dry: four more days of work.
    expect(forecast.season.p80Day).toBe(9);
    expect(forecast.beyondRecordCount).toBeGreaterThan(60);
    expect(forecast.beyondRecordCount).toBeLessThan(140);
  });

  it.each<[string, Partial<Parameters<typeof forecastSeason>[3]>, SeasonWeather]>([
    ['samples', { samples: 0 }, chainOf(0, 0)],
    ['samples', { samples: 1.5 }, chainOf(0, 0)],
    ['riskSamples', { riskSamples: 9 }, chainOf(0, 0)],
    ['seed', { seed: Number.NaN }, chainOf(0, 0)],
    ['weather.stations[0].years', {}, yearsOf()],
    ['weather.stations[0].months[0].wetAfterWetRatio', {}, chainOf(1.2, 0)],
    ['weather.startsOn', {}, { ...chainOf(0, 0), startsOn: '2026-13-01' } as SeasonWeather],
    [
      'weather.stations[0].months',
      {},
      { kind: 'chain', startsOn: '2026-01-01', stations: [{ villageIds: [], months: [] }] },
    ],
    [
      'weather.stations[0].villageIds[0]',
      {},
      { kind: 'years', stations: [{ villageIds: ['nowhere'], years: [[]] }] },
    ],
    [
      'weather.stations[1].villageIds[0]',
      {},
      {
        kind: 'years',
        stations: [
          { villageIds: ['north'], years: [[]] },
          { villageIds: ['north'], years: [[]] },
        ],
      },
    ],
    [
      'weather.stations[1].years',
      {},
      {
        kind: 'years',
        stations: [
          { villageIds: ['north'], years: [[], []] },
          { villageIds: ['south'], years: [[]] },
        ],
      },
    ],
  ])('refuses a wrong %s', (field, effort, weather) => {
    const run = () => forecastSeason(season, plan, weather, { samples: 5, seed: 1, ...effort });
    expect(run).toThrow(expect.objectContaining({ parameter: field }));
  });

  it('refuses a plan without stages', () => {
    const run = () =>
      forecastSeason(season, { ...plan, stages: [] }, chainOf(0, 0), { samples: 1, seed: 1 });
    expect(run).toThrow(/plan\.stages/);
  });
});

describe('wet days fitted from a record', () => {
  it('count each day for its own month, and nothing over a gap', () => {
    // 28 January to 4 February: w w d | gap | w d w w, threshold 5 mm
    const all = Array.from({ length: 365 }, () => 0 as number | null);
    const days = [5, 9.9, 4.9, null, 5, 0, 20, 7];
    for (const [at, rain] of days.entries()) all[27 + at] = rain;
    const months = fitWetDays({ startsOn: '2026-01-01', dailyRainMm: all }, 5);
    expect(months).toHaveLength(12);
    // January: 30 days on record; wet after dry on the 28th, wet then dry after wet.
    expect(months[0]).toEqual({
      wetAfterWetRatio: 1 / 2,
      wetAfterDryRatio: 1 / 27,
      wetRatio: 2 / 30,
      dayCount: 30,
      wetCount: 2,
      afterWetCount: 2,
      afterDryCount: 27,
    });
    // February: the 1st follows the gap; dry after wet, wet after dry, wet after wet, dry after wet.
    expect(months[1]).toMatchObject({
      wetRatio: 3 / 28,
      wetAfterWetRatio: 1 / 3,
      wetAfterDryRatio: 1 / 24,
    });
    // March never rains: its share stands for the chance after a wet day.
    expect(months[2]).toMatchObject({ wetAfterWetRatio: 0, wetAfterDryRatio: 0, wetRatio: 0 });
  });

  it('finds the chances of which a long record was drawn', () => {
    const weather = chainOf(0.6, 0.2);
    const season = seasonOf([stageOf('coat', 1, 1)], [], []);
    const wet = wetDaySamples(season, weather, 11).wetDays(0, 40 * 365)[0] ?? [];
    const dailyRainMm = [...wet].map((day) => (day === 1 ? 8 : 0.4));
    const months = fitWetDays({ startsOn: '1980-01-01', dailyRainMm }, 1);
    for (const month of months) {
      // Four standard errors of shares of about 400 and 800 days.
      expect(Math.abs(month.wetAfterWetRatio - 0.6)).toBeLessThan(0.1);
      expect(Math.abs(month.wetAfterDryRatio - 0.2)).toBeLessThan(0.06);
      expect(Math.abs(month.wetRatio - 0.2 / 0.6)).toBeLessThan(0.09);
    }
  });

  it('refuses a month that is not on record, and thresholds and rain out of reach', () => {
    const record = { startsOn: '2026-01-01', dailyRainMm: [0, 1] };
    expect(() => fitWetDays(record, 1)).toThrow(/months\[1\]/);
    expect(() => fitWetDays(record, 0)).toThrow(/thresholdMm/);
    expect(() => fitWetDays({ ...record, dailyRainMm: [-1] }, 1)).toThrow(/dailyRainMm\[0\]/);
  });
});
