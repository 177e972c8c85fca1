/**
 * A season as its planner sees it: builds of stages in villages, crews that move between villages,
 * equipment that is lent. Days are whole numbers from day 0 of the plan; a finish is the first day no
 * longer worked on. Work goes on on working days, waits run on calendar days.
 */
export interface BuildSeason {
  readonly villages: readonly SeasonVillage[];
  readonly crews: readonly SeasonCrew[];
  readonly equipment: readonly SeasonEquipment[];
  readonly templates: readonly SeasonTemplate[];
  readonly builds: readonly SeasonBuild[];
  /**
   * Days on the road or packing, lost to work, when a crew moves from the village in the row to the
   * one in the column, by their places in `villages`: symmetric, 0 on the diagonal.
   */
  readonly moveDays: readonly (readonly number[])[];
  /** Days on which stages that rain blocks are not worked, wherever. */
  readonly rains: readonly DayRange[];
}

/** From `fromDay` until the day before `untilDay`. */
export interface DayRange {
  readonly fromDay: number;
  readonly untilDay: number;
}

export interface SeasonVillage {
  readonly id: string;
  /**
   * From day 0: working weekdays, holidays, market days and the months in which the village is
   * reached, all in one; after its end the last seven repeat.
   */
  readonly isWorkingDay: readonly boolean[];
}

export interface SeasonCrew {
  readonly id: string;
  /** People at work at the same time; all of them are in one village on any one day. */
  readonly people: number;
  /** Trades it works in; none given means every stage. */
  readonly trades: readonly string[];
  /** Where it stands before day 0; it moves from there. Null: wherever it is first needed. */
  readonly homeVillageId: string | null;
  readonly fromDay: number;
  /** First day on which it is gone; null when it stays. */
  readonly untilDay: number | null;
  readonly absences: readonly DayRange[];
  readonly learning: CrewLearning | null;
}

/**
 * A crew gets faster with each tank: its n-th tank takes `(n / practisedAfterTanks)^log2(ratio)` times
 * the work days of the template while that is above 1, rounded up to whole days a stage.
 */
export interface CrewLearning {
  /** Tanks that it has begun before those of this plan. */
  readonly tanksBuilt: number;
  readonly practisedAfterTanks: number;
  /** Time for a tank over the time for the one at half its number: 0.8 on an 80 % curve. */
  readonly ratio: number;
}

export interface SeasonEquipment {
  readonly id: string;
  readonly units: number;
}

export interface SeasonTemplate {
  readonly id: string;
  readonly stages: readonly SeasonStage[];
}

export interface SeasonStage {
  readonly code: string;
  /** Whole working days of a practised crew. */
  readonly workDays: number;
  readonly people: number;
  /** Null: any crew. One crew does all stages of a build that name the same trade. */
  readonly trade: string | null;
  readonly equipment: readonly { readonly equipmentId: string; readonly units: number }[];
  readonly isBlockedByRain: boolean;
  readonly after: readonly SeasonFollow[];
}

/** Calendar days from the finish of the earlier stage to the start of this one. */
export interface SeasonFollow {
  readonly stageCode: string;
  readonly minimumWaitDays: number;
  readonly maximumWaitDays: number | null;
}

export interface SeasonBuild {
  readonly id: string;
  readonly villageId: string;
  readonly templateId: string;
  /** First day on which it may start: site agreed, design approved, materials there. */
  readonly releaseDay: number;
  /** First days of single stages: materials that come later. None when left out. */
  readonly stageReleases?: readonly { readonly stageCode: string; readonly day: number }[];
  /** Day by which its last stage is to be finished. */
  readonly dueDay: number | null;
  /** Stages that are done or begun; all others are to be planned. */
  readonly facts: readonly StageFactOfPlan[];
  readonly pins: readonly SeasonPin[];
  /** What the published plan says of it; fewer changes from it are better. */
  readonly earlier: readonly EarlierStage[];
}

export type StageFactOfPlan =
  | {
      readonly stageCode: string;
      readonly kind: 'done';
      /** May lie before day 0. */
      readonly finishDay: number;
      readonly crewId: string | null;
      /** What follows may not start before: a release that is still waited for. Null: its waits only. */
      readonly followedFromDay: number | null;
    }
  | {
      readonly stageCode: string;
      readonly kind: 'begun';
      /** Whole working days left, at least 1, from day 0 on. */
      readonly remainingDays: number;
      readonly crewId: string | null;
    };

/** A wish of a person. Without a stage the crew is held for every stage that it can do. */
export interface SeasonPin {
  readonly id: string;
  readonly stageCode: string | null;
  readonly crewId: string | null;
  readonly startDay: number | null;
}

export interface EarlierStage {
  readonly stageCode: string;
  readonly crewId: string | null;
  readonly startDay: number;
}
