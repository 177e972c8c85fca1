import { capacityProfile, finishDayOf } from './capacity-profile.ts';
import type { ProjectNetwork, RelationRows } from './project-network.ts';

/** Days by activity number: the first day of work, and the day after the last. */
export interface ScheduleDays {
  readonly startDay: Int32Array;
  readonly finishDay: Int32Array;
}

/** Serial generation of schedules, with its working memory; every pass counts as one schedule. */
export interface ScheduleGenerator {
  readonly network: ProjectNetwork;
  /** Passes run so far. */
  readonly passes: number;
  /**
   * Places the activities of a list one by one at their earliest feasible day.
   *
   * @param list activities without a fixed start, each after its predecessors
   * @param floorDay by activity: earliest start, where later than its release
   * @returns day on which the last activity is finished
   */
  forward(list: Int32Array, days: ScheduleDays, floorDay?: Int32Array): number;
  /**
   * Places the activities of the list from its end at their latest feasible day.
   *
   * @param ceilingDay by activity: latest finish, where earlier than the deadline
   * @returns first day of work; below 0 when the deadline is too early
   */
  backward(list: Int32Array, deadline: number, days: ScheduleDays, ceilingDay?: Int32Array): number;
}

/**
 * Memory for the days of a project, fixed starts filled in.
 *
 * @source serial-generation
 */
export function scheduleDays(network: ProjectNetwork): ScheduleDays {
  const startDay = new Int32Array(network.activityIds.length);
  const finishDay = new Int32Array(network.activityIds.length);
  for (let activity = 0; activity < startDay.length; activity += 1) {
    const fixed = network.fixedStartDay[activity] as number;
    if (fixed < 0) continue;
    startDay[activity] = fixed;
    finishDay[activity] = finishDayOf(network, activity, fixed);
  }
  return { startDay, finishDay };
}

/**
 * The serial scheme of generation: an activity starts on the first day not before its release on
 * which all its predecessors are finished and their waits over, and from which on its resources are
 * free until its finish. Resources are held from the first to the last day of work, the days
 * without work between them included; waits hold none.
 *
 *     start = first fit ≥ max(release, finish_i + minimum wait_i over predecessors i)
 *
 * Backward generation is the same on the mirrored axis. Greatest waits are not looked at here.
 *
 * @source serial-generation
 * @source guarded-fields
 */
export function scheduleGenerator(network: ProjectNetwork): ScheduleGenerator {
  const { durationDays, releaseDay, calendarOf, predecessors, successors } = network;
  const profile = capacityProfile(network);
  const fixed = scheduleDays(network);
  const fixedFinish = fixed.finishDay.reduce((last, finish) => Math.max(last, finish), 0);
  const hasCalendar = calendarOf.some((calendar) => calendar !== null);
  let passes = 0;

  const prepare = ({ startDay, finishDay }: ScheduleDays): void => {
    if (!network.hasFixedStarts) return;
    startDay.set(fixed.startDay);
    finishDay.set(fixed.finishDay);
  };

  return {
    network,
    get passes() {
      return passes;
    },
    forward(list, days, floorDay = releaseDay) {
      passes += 1;
      prepare(days);
      profile.reset();
      const { startDay, finishDay } = days;
      let last = fixedFinish;
      for (let place = 0; place < list.length; place += 1) {
        const activity = list[place] as number;
        const earliest = after(predecessors, activity, finishDay, floorDay[activity] as number);
        const length = durationDays[activity] as number;
        const calendar = hasCalendar ? (calendarOf[activity] ?? null) : null;
        let start = earliest;
        let finish = earliest;
        if (length > 0) {
          if (calendar === null) {
            start = profile.firstFit(activity, earliest, length);
            finish = start + length;
          } else {
            start = calendar.firstFrom(earliest);
            finish = calendar.finishOf(start, length);
            for (;;) {
              const busy = profile.lastConflict(activity, start, finish);
              if (busy < 0) break;
              start = calendar.firstFrom(busy + 1);
              finish = calendar.finishOf(start, length);
            }
          }
          profile.take(activity, start, finish);
        }
        startDay[activity] = start;
        finishDay[activity] = finish;
        if (finish > last) last = finish;
      }
      return last;
    },
    backward(list, deadline, days, ceilingDay) {
      passes += 1;
      prepare(days);
      profile.reset(deadline);
      const { startDay, finishDay } = days;
      let first = deadline;
      for (let place = list.length - 1; place >= 0; place -= 1) {
        const activity = list[place] as number;
        const cap = ceilingDay === undefined ? deadline : (ceilingDay[activity] as number);
        const latest = before(successors, activity, startDay, Math.min(cap, deadline));
        const length = durationDays[activity] as number;
        const calendar = hasCalendar ? (calendarOf[activity] ?? null) : null;
        let start = latest;
        let finish = latest;
        if (length > 0) {
          if (calendar === null) {
            const mirrored = profile.firstFit(activity, deadline - latest, length);
            finish = deadline - mirrored;
            start = finish - length;
          } else {
            for (let end = latest; ; ) {
              start = calendar.latestStart(end, length);
              finish = start < 0 ? end : calendar.finishOf(start, length);
              const busy = profile.lastConflict(activity, deadline - finish, deadline - start);
              if (busy < 0) break;
              end = deadline - 1 - busy;
            }
          }
          profile.take(activity, deadline - finish, deadline - start);
        }
        startDay[activity] = start;
        finishDay[activity] = finish;
        if (start < first) first = start;
      }
      return first;
    },
  };
}

function after(rows: RelationRows, activity: number, finishDay: Int32Array, floor: number): number {
  let earliest = floor;
  const end = rows.from[activity + 1] as number;
  for (let row = rows.from[activity] as number; row < end; row += 1) {
    const free =
      (finishDay[rows.other[row] as number] as number) + (rows.minimumLagDays[row] as number);
    if (free > earliest) earliest = free;
  }
  return earliest;
}

function before(rows: RelationRows, activity: number, startDay: Int32Array, cap: number): number {
  let latest = cap;
  const end = rows.from[activity + 1] as number;
  for (let row = rows.from[activity] as number; row < end; row += 1) {
    const bound =
      (startDay[rows.other[row] as number] as number) - (rows.minimumLagDays[row] as number);
    if (bound < latest) latest = bound;
  }
  return latest;
}
