import type { ProjectActivity, ProjectInput } from '../../shared/scheduling/project-types.ts';

/**
 * The earliest finish of a small project, by placing its activities in every order that keeps
 * precedence, each on the first day that suits. For minimum waits and calendars some order gives the
 * best plan, so that this is the optimum. Written apart from the engine: maps of days, no arrays.
 */
export function enumeratedFinish(input: ProjectInput): number {
  const capacityById = new Map(input.resources.map(({ id, capacity }) => [id, capacity]));
  const used = new Map<string, number>();
  const finishById = new Map<string, number>();
  const calendarById = new Map((input.calendars ?? []).map((one) => [one.id, one.isWorkingDay]));
  let best = Number.POSITIVE_INFINITY;

  const works = ({ calendarId }: ProjectActivity, day: number): boolean => {
    const days = calendarId === undefined ? undefined : calendarById.get(calendarId);
    if (days === undefined) return true;
    return day < days.length
      ? days[day] === true
      : days.slice(-7)[(day - days.length) % 7] === true;
  };
  const finishFrom = (activity: ProjectActivity, start: number): number | null => {
    if (activity.durationDays === 0) return start;
    if (!works(activity, start)) return null;
    let day = start;
    for (let left = activity.durationDays; left > 0; day += 1) if (works(activity, day)) left -= 1;
    return day;
  };
  const key = (resourceId: string, day: number) => `${resourceId} ${day}`;
  const hasRoom = (activity: ProjectActivity, start: number, finish: number): boolean =>
    activity.requires.every(({ resourceId, count }) => {
      for (let day = start; day < finish; day += 1) {
        const all = (used.get(key(resourceId, day)) ?? 0) + count;
        if (all > (capacityById.get(resourceId) ?? 0)) return false;
      }
      return true;
    });
  const book = (activity: ProjectActivity, start: number, finish: number, sign: 1 | -1): void => {
    for (const { resourceId, count } of activity.requires) {
      for (let day = start; day < finish; day += 1) {
        const at = key(resourceId, day);
        used.set(at, (used.get(at) ?? 0) + sign * count);
      }
    }
  };
  const place = (left: readonly ProjectActivity[], lastDay: number): void => {
    if (lastDay >= best) return;
    if (left.length === 0) best = lastDay;
    for (const activity of left) {
      if (!activity.after.every(({ activityId }) => finishById.has(activityId))) continue;
      let start = activity.releaseDay ?? 0;
      for (const { activityId, minimumLagDays = 0 } of activity.after) {
        start = Math.max(start, (finishById.get(activityId) ?? 0) + minimumLagDays);
      }
      let finish = finishFrom(activity, start);
      while (finish === null || !hasRoom(activity, start, finish)) {
        start += 1;
        finish = finishFrom(activity, start);
      }
      book(activity, start, finish, 1);
      finishById.set(activity.id, finish);
      place(
        left.filter((one) => one !== activity),
        Math.max(lastDay, finish),
      );
      finishById.delete(activity.id);
      book(activity, start, finish, -1);
    }
  };
  place(input.activities, 0);
  return best;
}
