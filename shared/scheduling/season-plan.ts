import { EngineError } from '../errors.ts';
import { projectNetwork } from './project-network.ts';
import type { ProjectActivity, ProjectResource } from './project-types.ts';
import { searchSchedule } from './schedule-search.ts';

export interface SeasonPlanInput {
  readonly resources: readonly ProjectResource[];
  /** Without fixed starts and greatest waits: such a season always has a plan. */
  readonly activities: readonly Pick<
    ProjectActivity,
    'id' | 'durationDays' | 'requires' | 'after'
  >[];
  readonly schedules: number;
  readonly seed: number;
}

export interface SeasonPlan {
  readonly status: 'optimal' | 'feasible';
  readonly makespanDays: number;
  readonly lowerBoundDays: number;
  readonly bounds: {
    readonly criticalPathDays: number;
    readonly energyDays: number;
    readonly headWorkTailDays: number;
  };
  readonly schedulesGenerated: number;
  readonly starts: readonly { readonly activityId: string; readonly startDay: number }[];
}

/**
 * A short plan of a season's activities on their resources, with a bound below which no plan can
 * fall.
 *
 * @param isOver asked after every schedule generated; true ends the search
 * @returns starts in the order of the activities, day 0 first
 * @throws {EngineError} naming the field, such as `activities[2].requires[0].count`
 * @source double-justification
 * @source resource-bounds
 */
export function planSeason(input: SeasonPlanInput, isOver?: () => boolean): SeasonPlan {
  const { resources, activities, schedules, seed } = input;
  const network = projectNetwork({ resources, activities });
  const found = searchSchedule(network, { schedules, seed, isOver });
  const { status, startDay, finishedDay, schedulesGenerated } = found;
  const { lowerBoundDays, ...bounds } = found.bounds;
  if (status === 'infeasible') {
    throw new EngineError('inconsistent', 'activities', found.brokenDays, 'must have minimum lags');
  }
  return {
    status,
    makespanDays: finishedDay,
    lowerBoundDays,
    bounds,
    schedulesGenerated,
    starts: activities.map(({ id }, at) => ({ activityId: id, startDay: startDay[at] ?? 0 })),
  };
}
