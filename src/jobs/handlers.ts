import { createForecastJob } from '../modules/season-forecasts/forecast-plan.ts';
import { planSeasonBuilds } from '../modules/season-plans/plan-season.ts';
import { readSeason, type SeasonSettings } from '../modules/season-plans/read-season.ts';
import { allSeasonStages, findSeasonPlan } from '../modules/season-plans/repository.ts';
import { sizeProgramme } from '../modules/sizings/size-programme.ts';
import { planSupply } from '../modules/supply-plans/plan-supply.ts';
import type { JobHandlers } from './run-job.ts';

/** What each queue's jobs do. */
export const jobHandlers: JobHandlers = {
  'programme-sizing': sizeProgramme,
  'season-forecasting': createForecastJob({
    find: findSeasonPlan,
    stages: allSeasonStages,
    season: (tx, { programmeId, settings }) =>
      readSeason(tx, programmeId, settings as unknown as SeasonSettings),
  }),
  'season-planning': planSeasonBuilds,
  'supply-planning': planSupply,
};
