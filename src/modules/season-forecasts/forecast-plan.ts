import { newSeasonForecast } from '../../../shared/contract/season-forecast.ts';
import type { SeasonPlanRecord, SeasonPlanStage } from '../../../shared/contract/season-plan.ts';
import { id } from '../../../shared/contract/values.ts';
import type { BuildSeason } from '../../../shared/scheduling/build-season.ts';
import type { SeasonForecast } from '../../../shared/scheduling/season-forecast.ts';
import type { Tx } from '../../db/database.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import type { JobHandler, RunningJob } from '../../jobs/run-job.ts';
import { runInWorker, WorkerFailure } from '../../workers/pool.ts';
import type { SeasonToForecast } from '../../workers/tasks/forecast-season.ts';
import { daysAskedFor, type ForecastContext, forecastResult } from './forecast-result.ts';
import { planInDays, seasonOfPlan } from './plan-to-forecast.ts';
import { weatherOf } from './plan-weather.ts';
import { newestRecords, villagesWithStations, wetDayOf } from './rain-repository.ts';
import { insertForecast } from './repository.ts';

/** What the forecast needs of the season plans. */
export interface PlansToForecast {
  find(tx: Tx, seasonPlanId: string): Promise<SeasonPlanRecord | null>;
  stages(tx: Tx, seasonPlanId: string): Promise<readonly SeasonPlanStage[]>;
  /** The season at the settings of its plan. */
  season(tx: Tx, plan: SeasonPlanRecord): Promise<SeasonOfPlan>;
}

export interface SeasonOfPlan {
  readonly season: BuildSeason;
  readonly programme: { readonly rainsFrom: string | null; readonly endsOn: string };
  readonly builds: ReadonlyMap<string, { readonly code: string; readonly villageId: string }>;
}

const jobInput = newSeasonForecast.extend({ seasonPlanId: id });

/** Days that each year of rain has to cover: a year, or the plan and what rain may add to it. */
const LEAST_WINDOW_DAYS = 365;
const BEYOND_PLAN_DAYS = 90;
const TIME_LIMIT_MS = 540_000;
const PROGRESS_EVERY_MS = 1_000;
/** Longest that the progress shows; a forecast of a season mostly takes seconds. */
const PROGRESS_STEPS = 100;

/** Replays a season plan under the weather of its rain stations and writes the forecast in one step. */
export function createForecastJob(plans: PlansToForecast): JobHandler {
  return async (job) => {
    const { seasonPlanId, ...asked } = jobInput.parse(job.input);
    const read = await job.read((tx) => readToForecast(tx, plans, seasonPlanId, asked.method));
    const { context, ...work } = read;
    const effort = {
      samples: asked.samples,
      seed: asked.seed,
      beforeDays: daysAskedFor(context),
    };
    const forecast = await run(job, { ...work, effort });
    const result = forecastResult(forecast, context);
    return job.step({ done: PROGRESS_STEPS, total: PROGRESS_STEPS }, async (tx) => {
      await insertForecast(tx, job.id, seasonPlanId, asked, result);
      const { season, beforeRains, beforeEnd } = result;
      const { p50On, p80On } = season;
      return { seasonForecastId: job.id, p50On, p80On, beforeRains, beforeEnd };
    });
  };
}

async function readToForecast(
  tx: Tx,
  plans: PlansToForecast,
  seasonPlanId: string,
  method: 'years' | 'wet-day-chain',
): Promise<Omit<SeasonToForecast, 'effort'> & { readonly context: ForecastContext }> {
  const record = await plans.find(tx, seasonPlanId);
  if (!record) throw notFound('season plan', seasonPlanId);
  const stages = await plans.stages(tx, seasonPlanId);
  const read = await plans.season(tx, record);
  const season = seasonOfPlan(read.season, stages);
  const plan = planInDays(record, stages, season);
  const used = new Set(season.builds.map(({ villageId }) => villageId));
  const villages = await villagesWithStations(tx, [...used]);
  const stationIds = new Set(villages.flatMap(({ stationId }) => stationId ?? []));
  const records = await newestRecords(tx, [...stationIds]);
  const wetDayMm = await wetDayOf(tx, record.programmeId);
  const { startsOn } = record;
  const { weather, ...found } = weatherOf(method, {
    startsOn,
    windowDays: Math.max(LEAST_WINDOW_DAYS, plan.figures.finishedDay + BEYOND_PLAN_DAYS),
    wetDayMm,
    records,
    villages,
  });
  const { rainsFrom, endsOn } = read.programme;
  return {
    season,
    plan,
    weather,
    context: {
      ...found,
      startsOn,
      rainsFrom,
      endsOn,
      wetDayMm,
      records,
      villages,
      builds: read.builds,
    },
  };
}

/** The replay in a worker, with a sign of life every second, which also hears of a cancellation. */
async function run(job: RunningJob, work: SeasonToForecast): Promise<SeasonForecast> {
  const stop = new AbortController();
  let failure: unknown;
  let seconds = 0;
  const ticking = setInterval(() => {
    seconds = Math.min(PROGRESS_STEPS - 1, seconds + 1);
    job
      .step({ done: seconds, total: PROGRESS_STEPS }, async () => undefined)
      .catch((error: unknown) => {
        failure ??= error;
        stop.abort();
      });
  }, PROGRESS_EVERY_MS);
  try {
    return await runInWorker('forecast-season', work, {
      timeoutMs: TIME_LIMIT_MS,
      signal: AbortSignal.any([job.signal, stop.signal]),
    });
  } catch (error) {
    if (failure !== undefined) throw failure;
    if (error instanceof WorkerFailure && error.reason === 'timeout') {
      throw ruleBroken(
        'forecast-takes-too-long',
        `${work.effort.samples} samples took more than ${TIME_LIMIT_MS / 1_000} s; ask for fewer.`,
      );
    }
    throw error;
  } finally {
    clearInterval(ticking);
  }
}
