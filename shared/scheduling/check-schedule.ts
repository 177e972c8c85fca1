import type { ProjectInput } from './project-types.ts';

export interface PlannedStart {
  readonly activityId: string;
  readonly startDay: number;
}

/** A rule that a schedule breaks, by how many days or units. */
export interface ScheduleFault {
  readonly rule:
    | 'planned-once'
    | 'whole-day'
    | 'release'
    | 'fixed-start'
    | 'working-day'
    | 'minimum-lag'
    | 'maximum-lag'
    | 'capacity';
  readonly activityId: string | null;
  readonly resourceId: string | null;
  readonly day: number | null;
  readonly excess: number;
}

export interface ScheduleCheck {
  readonly faults: readonly ScheduleFault[];
  /** Day on which the last activity is finished. */
  readonly finishedDay: number;
  /** Days late against due days, all activities together. */
  readonly tardinessDays: number;
}

/** Whether work goes on: as the calendar says, its last seven days repeating after its end. */
function isWorked(isWorkingDay: readonly boolean[] | undefined, day: number): boolean {
  if (isWorkingDay === undefined) return true;
  if (day < isWorkingDay.length) return isWorkingDay[day] === true;
  const week = isWorkingDay.slice(-7);
  return week[(day - isWorkingDay.length) % week.length] === true;
}

/**
 * Holds a schedule against every rule of its project, day by day and in plain words, apart from the
 * way it was generated: starts, calendars, waits, and what each resource gives each day. What fixed
 * starts and bookings take together above a capacity is a fact and no fault.
 *
 * @returns all faults; none when the schedule is feasible
 * @source serial-generation the rules, not the method
 */
export function checkSchedule(input: ProjectInput, starts: readonly PlannedStart[]): ScheduleCheck {
  const faults: ScheduleFault[] = [];
  const fault = (rule: ScheduleFault['rule'], of: Partial<ScheduleFault>) =>
    faults.push({ rule, activityId: null, resourceId: null, day: null, excess: 1, ...of });
  const startById = new Map<string, number>();
  for (const { activityId, startDay } of starts) {
    if (startById.has(activityId)) fault('planned-once', { activityId });
    startById.set(activityId, startDay);
  }
  const calendarById = new Map((input.calendars ?? []).map((one) => [one.id, one.isWorkingDay]));
  const finishById = new Map<string, number>();
  let tardinessDays = 0;
  for (const activity of input.activities) {
    const { id: activityId, releaseDay = 0, fixedStartDay, dueDay } = activity;
    const start = startById.get(activityId);
    if (start === undefined) {
      fault('planned-once', { activityId });
      continue;
    }
    if (!Number.isInteger(start) || start < 0) fault('whole-day', { activityId, excess: -start });
    if (fixedStartDay === undefined && start < releaseDay) {
      fault('release', { activityId, day: start, excess: releaseDay - start });
    }
    if (fixedStartDay !== undefined && start !== fixedStartDay) {
      fault('fixed-start', { activityId, day: start, excess: Math.abs(start - fixedStartDay) });
    }
    const calendar =
      activity.calendarId === undefined ? undefined : calendarById.get(activity.calendarId);
    const isMilestone = activity.durationDays === 0;
    if (fixedStartDay === undefined && !isMilestone && !isWorked(calendar, start)) {
      fault('working-day', { activityId, day: start });
    }
    let finish = start;
    for (let worked = 0; worked < activity.durationDays; finish += 1) {
      if (isWorked(calendar, finish)) worked += 1;
    }
    finishById.set(activityId, finish);
    if (dueDay !== undefined) tardinessDays += Math.max(0, finish - dueDay);
  }
  const fixedIds = new Set(
    input.activities.filter((one) => one.fixedStartDay !== undefined).map(({ id }) => id),
  );
  for (const { id: activityId, after } of input.activities) {
    const start = startById.get(activityId);
    if (start === undefined) continue;
    for (const { activityId: before, minimumLagDays = 0, maximumLagDays } of after) {
      const finish = finishById.get(before);
      if (finish === undefined || (fixedIds.has(activityId) && fixedIds.has(before))) continue;
      const early = finish + minimumLagDays - start;
      if (early > 0) fault('minimum-lag', { activityId, day: start, excess: early });
      const late = start - finish - (maximumLagDays ?? Number.POSITIVE_INFINITY);
      if (late > 0) fault('maximum-lag', { activityId, day: start, excess: late });
    }
  }
  const factsById = new Map(input.resources.map(({ id }) => [id, new Map<number, number>()]));
  const usedById = new Map(input.resources.map(({ id }) => [id, new Map<number, number>()]));
  const add = (to: Map<number, number> | undefined, from: number, until: number, count: number) => {
    for (let day = from; day < until; day += 1) to?.set(day, (to.get(day) ?? 0) + count);
  };
  for (const { resourceId, fromDay, untilDay, count } of input.bookings ?? []) {
    add(factsById.get(resourceId), fromDay, untilDay, count);
  }
  for (const { id, requires } of input.activities) {
    const start = startById.get(id);
    const finish = finishById.get(id);
    if (start === undefined || finish === undefined) continue;
    for (const { resourceId, count } of requires) {
      add((fixedIds.has(id) ? factsById : usedById).get(resourceId), start, finish, count);
    }
  }
  for (const { id: resourceId, capacity } of input.resources) {
    for (const [day, count] of usedById.get(resourceId) ?? []) {
      const left = Math.max(0, capacity - (factsById.get(resourceId)?.get(day) ?? 0));
      if (count > left) fault('capacity', { resourceId, day, excess: count - left });
    }
  }
  const finishedDay = [...finishById.values()].reduce((last, finish) => Math.max(last, finish), 0);
  return { faults, finishedDay, tardinessDays };
}
