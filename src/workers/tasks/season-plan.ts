import {
  SEASON_EFFORT,
  type SeasonPlanBody,
} from '../../../shared/contract/calculation-season-plan.ts';
import { planSeason, type SeasonPlan } from '../../../shared/scheduling/season-plan.ts';

/** Plans a season; when its time is over, the best plan so far stands. */
export function seasonPlan({ resources, activities, effort = {} }: SeasonPlanBody): SeasonPlan {
  const {
    schedules = SEASON_EFFORT.schedules.default,
    seed = 1,
    timeLimitS = SEASON_EFFORT.timeLimitS.default,
  } = effort;
  const endsAtMs = performance.now() + timeLimitS * 1000;
  return planSeason(
    { resources, activities, schedules, seed },
    () => performance.now() >= endsAtMs,
  );
}
