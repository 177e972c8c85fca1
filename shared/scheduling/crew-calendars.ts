import type { BuildSeason, SeasonCrew } from './build-season.ts';
import { NEVER, type WorkDays, workDaysWhere } from './work-days.ts';

/** Whoever has begun a stage, when nobody says who; always at hand. */
export const SOMEONE = -1;

/**
 * Days that a crew can work on a stage: those of the village, none in the rains for stages that rain
 * blocks, none before the crew has come from home or while it is away or gone.
 *
 * @param crew its place in the season, or `SOMEONE`
 * @source critical-path
 */
export function crewCalendars(
  season: BuildSeason,
): (village: number, isBlockedByRain: boolean, crew: number) => WorkDays {
  const ways = shortestWays(season.moveDays);
  const villageAt = new Map(season.villages.map(({ id }, at) => [id, at]));
  const kept = new Map<string, WorkDays>();
  const isIn = (day: number) => (one: { fromDay: number; untilDay: number }) =>
    one.fromDay <= day && day < one.untilDay;
  // What a crew has begun says where it is; home does not.
  const begunBy = season.builds.flatMap(({ facts }) =>
    facts.flatMap((fact) => (fact.kind === 'begun' ? [fact.crewId] : [])),
  );
  const anyone: SeasonCrew = {
    id: '',
    people: NEVER,
    trades: [],
    homeVillageId: null,
    fromDay: 0,
    untilDay: null,
    absences: [],
    learning: null,
  };
  const workDaysOf = (village: number, isBlocked: boolean, at: number): WorkDays => {
    const crew = at === SOMEONE ? anyone : (season.crews[at] as SeasonCrew);
    const isHome = !begunBy.includes(crew.id) && !begunBy.includes(null);
    const home = isHome ? villageAt.get(crew.homeVillageId ?? '') : undefined;
    const wayDays = home === undefined ? 0 : (ways[home]?.[village] ?? 0);
    const from = Math.max(crew.fromDay, wayDays, 0);
    const absences = crew.absences.map(({ fromDay, untilDay }) => `${fromDay}-${untilDay}`);
    const key = [village, isBlocked, from, crew.untilDay, ...absences].join(' ');
    const had = kept.get(key);
    if (had !== undefined) return had;
    const calendar = season.villages[village]?.isWorkingDay ?? [];
    const week = calendar.slice(-7);
    const made = workDaysWhere((day) => {
      if (day < from) return false;
      const past = day - calendar.length;
      if ((past < 0 ? calendar[day] : week[past % week.length]) !== true) return false;
      if (isBlocked && season.rains.some(isIn(day))) return false;
      return !crew.absences.some(isIn(day));
    }, crew.untilDay ?? NEVER);
    kept.set(key, made);
    return made;
  };
  const byNode = new Map<number, WorkDays>();
  return (village, isBlocked, at) => {
    const key = ((at + 1) * season.villages.length + village) * 2 + Number(isBlocked);
    const had = byNode.get(key);
    if (had !== undefined) return had;
    const made = workDaysOf(village, isBlocked, at);
    byNode.set(key, made);
    return made;
  };
}

/** Fewest days on the road between villages, through others where that is less. */
export function shortestWays(moveDays: readonly (readonly number[])[]): number[][] {
  const ways = moveDays.map((row) => row.slice());
  for (const via of ways.keys()) {
    for (const row of ways) {
      for (const [to, days] of (ways[via] as number[]).entries()) {
        row[to] = Math.min(row[to] as number, (row[via] as number) + days);
      }
    }
  }
  return ways;
}
