import type { DayRange } from './build-season.ts';

/** A plan of a season: the answer to a BuildSeason. */
export interface BuildPlan {
  /** optimal: proved that none finishes sooner with as little lateness. */
  readonly status: 'optimal' | 'feasible' | 'infeasible';
  readonly stages: readonly PlannedStage[];
  readonly moves: readonly CrewMove[];
  readonly figures: BuildPlanFigures;
  readonly bounds: BuildPlanBounds;
  readonly schedulesGenerated: number;
  /** Wishes that cannot hold together, or cannot be kept; empty unless infeasible. */
  readonly conflicts: readonly WishConflict[];
}

export interface PlannedStage {
  readonly buildId: string;
  readonly stageCode: string;
  readonly standing: 'done' | 'begun' | 'planned';
  readonly crewId: string | null;
  /** Null for a stage that was done before. */
  readonly startDay: number | null;
  /** First day no longer worked on. */
  readonly finishDay: number;
  readonly isPinned: boolean;
  /** What kept it from starting a day sooner; the first of them that holds. */
  readonly waitsFor: StartReason;
}

/** Why a stage does not start sooner. */
export type StartReason =
  | { readonly kind: 'nothing' }
  /** The wait after an earlier stage of the same build. */
  | { readonly kind: 'stage'; readonly stageCode: string }
  /** Its crew works elsewhere or has too few people free: the stage that holds them. */
  | { readonly kind: 'crew'; readonly buildId: string; readonly stageCode: string }
  | { readonly kind: 'move'; readonly fromVillageId: string }
  | { readonly kind: 'crew-away' }
  | {
      readonly kind: 'equipment';
      readonly equipmentId: string;
      readonly buildId: string;
      readonly stageCode: string;
    }
  | { readonly kind: 'no-work-day' }
  | { readonly kind: 'rains' }
  | { readonly kind: 'release' }
  | { readonly kind: 'pin' }
  /** A stage that must follow within days cannot be done sooner. */
  | { readonly kind: 'maximum-wait'; readonly stageCode: string };

export interface CrewMove extends DayRange {
  readonly crewId: string;
  readonly fromVillageId: string;
  readonly toVillageId: string;
}

export interface BuildPlanFigures {
  /** First day on which all is finished. */
  readonly finishedDay: number;
  /** Days late against due days, all builds together, and how many builds are late. */
  readonly tardinessDays: number;
  readonly lateBuildCount: number;
  readonly moveCount: number;
  readonly moveDays: number;
  /** Person-days of planned work by crew, in the order of the crews. */
  readonly crewLoads: readonly {
    readonly crewId: string;
    readonly personDays: number;
    readonly lastDay: number;
  }[];
  /** Stages whose crew or start differs from the published plan, and days moved in all. */
  readonly changedStageCount: number;
  readonly changedDays: number;
}

/** Days below which no plan of the season can finish, each by its own argument. */
export interface BuildPlanBounds {
  readonly lowerBoundDay: number;
  /** Longest chain of stages and waits of one build with its calendar. */
  readonly longestBuildDay: number;
  /** Work that the crews have to do, people and stages that exclude each other counted. */
  readonly crewWorkDay: number;
  /** No less lateness than this is possible: builds that are late even alone. */
  readonly tardinessDays: number;
}

/** A smallest set of wishes that cannot hold together, with why. */
export interface WishConflict {
  readonly wishes: readonly ConflictingWish[];
  /** False: the search did not keep them, without proof that none could. */
  readonly isProved: boolean;
  readonly detail: string;
}

export type ConflictingWish =
  | { readonly kind: 'pin'; readonly pinId: string; readonly buildId: string }
  | { readonly kind: 'crew-until'; readonly crewId: string }
  | { readonly kind: 'no-crew-for-trade'; readonly buildId: string; readonly stageCode: string }
  | { readonly kind: 'too-few-people'; readonly buildId: string; readonly stageCode: string }
  | {
      readonly kind: 'too-little-equipment';
      readonly buildId: string;
      readonly stageCode: string;
      readonly equipmentId: string;
    }
  | { readonly kind: 'maximum-wait'; readonly buildId: string; readonly stageCode: string };
