import type { BuildSeason } from './build-season.ts';
import { shortestWays } from './crew-calendars.ts';
import { isAtHand, mostWorkDays } from './most-work-days.ts';

/** Most work days by first and last day. */
export interface CrewWorkDays {
  of(crew: number, fromDay: number, untilDay: number): number;
  /** Days on which work goes on in any village. */
  anywhere(fromDay: number, untilDay: number): number;
}

/**
 * Most days that each crew of a season can work between any two days, wherever it is.
 *
 * @source resource-bounds
 */
export function crewWorkDays(season: BuildSeason): CrewWorkDays {
  const ways = shortestWays(season.moveDays);
  const kept = new Map<string, Int32Array>();
  const isOpen = season.villages.map(({ isWorkingDay }) => {
    const week = isWorkingDay.slice(-7);
    return (day: number) =>
      (day < isWorkingDay.length
        ? isWorkingDay[day]
        : week[(day - isWorkingDay.length) % week.length]) === true;
  });
  const openBefore = [0];
  const opened = (until: number): number => {
    for (let day = openBefore.length - 1; day < until; day += 1) {
      const isAny = isOpen.some((works) => works(day));
      openBefore.push((openBefore[day] as number) + Number(isAny));
    }
    return openBefore[Math.max(0, until)] as number;
  };
  const of = (at: number, fromDay: number, untilDay: number): number => {
    const crew = season.crews[at];
    if (crew === undefined || untilDay <= fromDay) return 0;
    const absences = crew.absences.map((away) => `${away.fromDay}-${away.untilDay}`);
    const key = [fromDay, crew.fromDay, crew.untilDay, ...absences].join(' ');
    let most = kept.get(key);
    if (most === undefined || most.length <= untilDay - fromDay) {
      const worked = isOpen.map((works) => (day: number) => works(day) && isAtHand(crew, day));
      const length = Math.ceil((untilDay - fromDay + 1) * 1.5);
      most = mostWorkDays(worked, ways, fromDay, fromDay + length);
      kept.set(key, most);
    }
    return most[untilDay - fromDay] as number;
  };
  return { of, anywhere: (from, until) => Math.max(0, opened(until) - opened(from)) };
}
