import { sizeProgramme } from '../modules/sizings/size-programme.ts';
import { planSupply } from '../modules/supply-plans/plan-supply.ts';
import type { JobHandlers } from './run-job.ts';

/** What each queue's jobs do. */
export const jobHandlers: JobHandlers = {
  'programme-sizing': sizeProgramme,
  'supply-planning': planSupply,
};
