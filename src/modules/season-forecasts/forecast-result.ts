import type {
  SeasonForecastRecord,
  SeasonForecastResult,
} from '../../../shared/contract/season-forecast.ts';
import type { FinishForecast } from '../../../shared/scheduling/finish-forecast.ts';
import type { SeasonForecast } from '../../../shared/scheduling/season-forecast.ts';
import { addDays, dayNumber } from '../../../shared/units/calendar.ts';
import type { PlanWeather } from './plan-weather.ts';
import type { RainRecord, VillageWithStation } from './rain-repository.ts';

export interface ForecastContext extends Omit<PlanWeather, 'weather'> {
  readonly startsOn: string;
  readonly rainsFrom: string | null;
  readonly endsOn: string;
  readonly wetDayMm: number;
  readonly records: readonly RainRecord[];
  readonly villages: readonly VillageWithStation[];
  readonly builds: ReadonlyMap<string, { readonly code: string; readonly villageId: string }>;
}

type Finish = SeasonForecastRecord['season'];
type Chance = SeasonForecastRecord['beforeEnd'];

/** Days of a plan before which it is asked to be finished: the rains to come and its end. */
export function daysAskedFor({ startsOn, rainsFrom, endsOn }: ForecastContext): number[] {
  const ends = [dayNumber(addDays(endsOn, 1)) - dayNumber(startsOn)];
  return rainsFrom !== null && rainsFrom > startsOn
    ? [...ends, dayNumber(rainsFrom) - dayNumber(startsOn)]
    : ends;
}

/** A forecast in dates and codes. A finish in days is the first day no longer worked on. */
export function forecastResult(
  forecast: SeasonForecast,
  context: ForecastContext,
): SeasonForecastResult {
  const { startsOn, records, villages, builds } = context;
  const finish = finishIn(startsOn);
  const [end, rains] = forecast.before.map(
    ({ day, ratio, standardErrorRatio }): Chance => ({
      on: addDays(startsOn, day),
      ratio,
      standardErrorRatio,
    }),
  );
  if (end === undefined) throw new Error('A forecast has no chance of its end');
  return {
    season: finish(forecast.season),
    beforeRains: rains ?? null,
    beforeEnd: end,
    p50StandardErrorRatio: forecast.p50StandardErrorRatio,
    p80StandardErrorRatio: forecast.p80StandardErrorRatio,
    risks: forecast.risks.map((risk) => ({ ...risk })),
    wetDayMm: context.wetDayMm,
    stations: records.map(({ dailyRainMm: _, ...record }) => ({
      ...record,
      villageCount: villages.filter(({ stationId }) => stationId === record.stationId).length,
    })),
    years: [...context.years],
    yearsLeftOut: [...context.yearsLeftOut],
    coveredDays: context.coveredDays,
    beyondRecordCount: forecast.beyondRecordCount,
    villagesWithoutStation: villages
      .filter(({ stationId }) => stationId === null)
      .map(({ stationId: _, ...village }) => village),
    villages: forecast.villages.flatMap(({ villageId, ...own }) => {
      const village = villages.find((one) => one.villageId === villageId);
      if (village === undefined) return [];
      const { villageCode, villageName } = village;
      return [{ villageId, villageCode, villageName, ...finish(own) }];
    }),
    builds: forecast.builds.flatMap(({ buildId, inTimeRatio, ...own }) => {
      const build = builds.get(buildId);
      if (build === undefined) return [];
      const { code: buildCode, villageId } = build;
      return [{ buildId, buildCode, villageId, ...finish(own), inTimeRatio }];
    }),
  };
}

const finishIn =
  (startsOn: string) =>
  ({ plannedDay, p50Day, p80Day, meanDay, standardDeviationDays }: FinishForecast): Finish => ({
    plannedOn: addDays(startsOn, plannedDay - 1),
    p50On: addDays(startsOn, p50Day - 1),
    p80On: addDays(startsOn, p80Day - 1),
    meanDelayDays: meanDay - plannedDay,
    standardDeviationDays,
  });
