/** What a project is given as: the same words as in the records, days as whole numbers from day 0. */
export interface ProjectInput {
  readonly resources: readonly ProjectResource[];
  readonly activities: readonly ProjectActivity[];
  readonly calendars?: readonly ProjectCalendar[] | undefined;
  /** Capacity that is taken already: work outside this project, absences. */
  readonly bookings?: readonly ResourceBooking[] | undefined;
}

export interface ProjectResource {
  readonly id: string;
  /** Units that can work at the same time: crews, mixers, moulds. */
  readonly capacity: number;
}

export interface ProjectActivity {
  readonly id: string;
  /** Working days; 0 for a milestone, which takes no resource and needs no working day. */
  readonly durationDays: number;
  readonly requires: readonly { readonly resourceId: string; readonly count: number }[];
  readonly after: readonly ProjectRelation[];
  /** First day on which it may start; 0 unless given. */
  readonly releaseDay?: number | undefined;
  /** Day by which it should be finished: the first day no longer worked on. */
  readonly dueDay?: number | undefined;
  /** Starts on this day whatever else holds: begun already, or pinned by the planner. */
  readonly fixedStartDay?: number | undefined;
  /** Every day works unless given. */
  readonly calendarId?: string | undefined;
}

/** Finish-to-start: waits run on calendar days from the finish of the earlier activity. */
export interface ProjectRelation {
  readonly activityId: string;
  readonly minimumLagDays?: number | undefined;
  readonly maximumLagDays?: number | undefined;
}

/** Working days from day 0 on; after the last one given, the last seven repeat. */
export interface ProjectCalendar {
  readonly id: string;
  readonly isWorkingDay: readonly boolean[];
}

/** Units of a resource taken from `fromDay` until the day before `untilDay`. */
export interface ResourceBooking {
  readonly resourceId: string;
  readonly count: number;
  readonly fromDay: number;
  readonly untilDay: number;
}
