import { sizeProgramme } from '../modules/sizings/size-programme.ts';
import { planSeason } from '../modules/supply-plans/plan-season.ts';
import type { JobHandlers } from './run-job.ts';

/** What each queue's jobs do. */
export const jobHandlers: JobHandlers = {
  'programme-sizing': sizeProgramme,
  'supply-planning': planSeason,
};
