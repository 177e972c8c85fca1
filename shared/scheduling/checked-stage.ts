import type { PlannedStage } from './build-plan.ts';
import type { SeasonBuild, SeasonCrew, SeasonStage } from './build-season.ts';

/** A rule of a season that a plan breaks. */
export interface BuildPlanFault {
  readonly rule:
    | 'planned-once'
    | 'fact'
    | 'pin'
    | 'release'
    | 'work-day'
    | 'rains'
    | 'crew-away'
    | 'duration'
    | 'minimum-wait'
    | 'maximum-wait'
    | 'crew'
    | 'trade'
    | 'one-crew'
    | 'people'
    | 'one-village'
    | 'move'
    | 'equipment'
    | 'figures';
  readonly buildId: string | null;
  readonly stageCode: string | null;
  readonly crewId: string | null;
  readonly day: number | null;
  readonly detail: string;
}

export type ReportFault = (
  rule: BuildPlanFault['rule'],
  detail: string,
  of: Partial<BuildPlanFault>,
) => void;

/** A stage of the plan beside what the season says of it. */
export interface CheckedStage {
  readonly build: SeasonBuild;
  readonly stage: SeasonStage;
  readonly planned: PlannedStage;
  readonly crew: SeasonCrew | null;
  /** Days on which it is worked on, in order. */
  readonly workedDays: readonly number[];
}

/** Whether a crew works in the trade of a stage. */
export const canDo = (crew: SeasonCrew, stage: SeasonStage): boolean =>
  stage.trade === null || crew.trades.length === 0 || crew.trades.includes(stage.trade);
