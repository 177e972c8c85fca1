import { EngineError } from '../errors.ts';
import { type CompiledSeason, NO_DAY, STANDING } from './compiled-season.ts';
import { MAX_SEASON_DAYS } from './season-checks.ts';
import { countedDays, type VillageDays, villageDays } from './village-days.ts';

/**
 * Where every crew is, how many of its people are free and which equipment is lent, day by day.
 * Stages are fitted in, taken and given back. The days grow as they are needed.
 */
export interface CrewDays {
  /** All free again for the crews and the equipment named. */
  reset(crews: readonly number[], equipment: boolean): void;
  /**
   * First day not before `fromDay` on which the crew can start the activity and go on with it to its
   * end, or −1: gone before. A crew kept past its end counts as if it stayed.
   */
  firstFit(activity: number, crew: number, fromDay: number, days: number, isKept: boolean): number;
  /** Whether the crew can start the activity on that day; false on a day without its work. */
  canStart(activity: number, crew: number, day: number, days: number): boolean;
  /** Last start, with the finish not after `untilDay`, or −1. */
  lastFit(activity: number, crew: number, untilDay: number, days: number, floor: number): number;
  /** Day after the last work day of a stage that starts on the working day `startDay`. */
  finishOf(activity: number, crew: number, startDay: number, days: number): number;
  take(activity: number, crew: number, startDay: number, days: number): void;
  giveBack(activity: number, crew: number, startDay: number, days: number): void;
  /** The crew stands in no village before its first work: something it has begun says where it is. */
  leaveHome(crew: number): void;
  /** Village in which the crew stands before its first work, or −1. */
  homeOf(crew: number): number;
  /** Days with work of the crew are before this one. */
  usedUntil(crew: number): number;
  /** Village of the crew by day, −1 on days without work. */
  villageByDay(crew: number): Int16Array;
  freeByDay(crew: number): Int16Array;
  lentByDay(equipment: number): Int32Array;
  daysOf(activity: number, crew: number): VillageDays;
  /** Working days of a village, rain apart. */
  daysIn(village: number): VillageDays;
  isRain(day: number): boolean;
  readonly horizonDays: number;
}

const AWAY = -1;
/** Days added to the days of the season at the start. Ours. */
const SPARE_DAYS = 200;

/**
 * Days of the crews, all free.
 *
 * A crew is in one village on any one day, and between work days in two villages lie at least the
 * days of the move. People are held on working days only, equipment from the first to the last day.
 *
 * @param wetDays by village: days on which stages that rain blocks stand still
 * @throws {EngineError} `out-of-range` when a stage finds no day within reach
 * @source serial-generation
 */
export function crewDays(
  compiled: CompiledSeason,
  wetDays?: readonly (Uint8Array | null)[],
): CrewDays {
  const { season, people, villageOf, isBlockedByRain, untilDay } = compiled;
  const { equipmentFrom, equipmentAt, equipmentUnits } = compiled;
  const { crews, moveDays, equipment, rains } = season;
  const home = compiled.homeVillage.slice();
  const isHomeless = new Uint8Array(crews.length);
  const moves = moveDays.map((row) => Int32Array.from(row));
  const farthest = Int32Array.from(moves, (row) => row.reduce((a, b) => Math.max(a, b), 0));
  let horizon =
    SPARE_DAYS + (wetDays?.reduce((most, wet) => Math.max(most, wet?.length ?? 0), 0) ?? 0);
  for (const { releaseDay } of season.builds) horizon = Math.max(horizon, releaseDay + SPARE_DAYS);
  horizon = Math.min(horizon, MAX_SEASON_DAYS);
  const isInterrupted = compiled.standing.map((standing, activity) =>
    standing === STANDING.begun || (compiled.pinnedDay[activity] as number) >= 0 ? 1 : 0,
  );
  const interrupted = new Map<number, VillageDays>();
  let dry: VillageDays[] = [];
  let wet: VillageDays[] = [];
  let rain = new Uint8Array(0);
  const whole: Int16Array[] = [];
  const free: Int16Array[] = [];
  const where: Int16Array[] = [];
  const lent: Int32Array[] = equipment.map(() => new Int32Array(0));
  const used = new Int32Array(crews.length);
  let lentUntil = 0;

  const reach = (days: number): void => {
    if (days > MAX_SEASON_DAYS) {
      const limit = `must leave room for every stage within ${MAX_SEASON_DAYS} days`;
      throw new EngineError('out-of-range', 'season', days, limit);
    }
    const was = free[0]?.length ?? 0;
    horizon = days;
    dry = villageDays(season, horizon);
    wet = wetDays === undefined ? dry : villageDays(season, horizon, wetDays);
    interrupted.clear();
    rain = new Uint8Array(horizon);
    for (const { fromDay, untilDay: end } of rains)
      rain.fill(1, Math.max(0, fromDay), Math.max(0, end));
    for (const [crew, { people: all, fromDay, absences }] of crews.entries()) {
      const own = new Int16Array(horizon).fill(all);
      own.fill(AWAY, 0, Math.max(0, fromDay));
      for (const { fromDay: from, untilDay: end } of absences) {
        own.fill(AWAY, Math.max(0, from), Math.max(0, end));
      }
      whole[crew] = own;
      const left = own.slice();
      const places = new Int16Array(horizon).fill(-1);
      if (was > 0) {
        left.set(free[crew] as Int16Array);
        places.set(where[crew] as Int16Array);
      }
      free[crew] = left;
      where[crew] = places;
    }
    for (const [at, row] of lent.entries()) {
      const longer = new Int32Array(horizon);
      longer.set(row);
      lent[at] = longer;
    }
  };
  reach(horizon);

  const calendar = (activity: number, crew: number): VillageDays =>
    isInterrupted[activity] === 1
      ? withBreaks(activity, crew)
      : ((isBlockedByRain[activity] === 1 ? wet : dry)[
          villageOf[activity] as number
        ] as VillageDays);

  /** What is begun or pinned stands still while its crew is away or rain blocks it. */
  const withBreaks = (activity: number, crew: number): VillageDays => {
    const at = activity * crews.length + crew;
    const known = interrupted.get(at);
    if (known !== undefined) return known;
    const village = villageOf[activity] as number;
    const off = new Uint8Array(horizon);
    for (let day = 0; day < horizon; day += 1) {
      const isBlocked = isBlockedByRain[activity] === 1;
      const isWet = isBlocked && (rain[day] === 1 || wetDays?.[village]?.[day] === 1);
      if (isWet || ((whole[crew] as Int16Array)[day] as number) < 0) off[day] = 1;
    }
    const made = countedDays(season.villages[village]?.isWorkingDay ?? [], horizon, off);
    interrupted.set(at, made);
    return made;
  };

  /** Last day of equipment in [from, until) without enough, or −1. */
  const lastLent = (activity: number, from: number, until: number): number => {
    let last = -1;
    for (
      let row = equipmentFrom[activity] as number;
      row < (equipmentFrom[activity + 1] as number);
      row += 1
    ) {
      const at = equipmentAt[row] as number;
      const days = lent[at] as Int32Array;
      const most = (equipment[at]?.units ?? 0) - (equipmentUnits[row] as number);
      for (let day = until - 1; day >= from && day > last; day -= 1) {
        if ((days[day] as number) > most) last = day;
      }
    }
    return last;
  };

  const book = (
    activity: number,
    crew: number,
    start: number,
    days: number,
    sign: 1 | -1,
  ): void => {
    const { workDay, workedBefore } = calendar(activity, crew);
    const left = free[crew] as Int16Array;
    const places = where[crew] as Int16Array;
    const full = whole[crew] as Int16Array;
    const count = people[activity] as number;
    const first = workedBefore[start] as number;
    for (let nth = first; nth < first + days; nth += 1) {
      const day = workDay[nth] as number;
      const rest = (left[day] as number) - sign * count;
      left[day] = rest;
      places[day] = rest === full[day] ? -1 : (villageOf[activity] as number);
    }
    const finish = (workDay[first + days - 1] as number) + 1;
    if (finish > (used[crew] as number)) used[crew] = finish;
    for (
      let row = equipmentFrom[activity] as number;
      row < (equipmentFrom[activity + 1] as number);
      row += 1
    ) {
      const byDay = lent[equipmentAt[row] as number] as Int32Array;
      const units = sign * (equipmentUnits[row] as number);
      for (let day = start; day < finish; day += 1) byDay[day] = (byDay[day] as number) + units;
      if (finish > lentUntil) lentUntil = finish;
    }
  };

  /** Rank of the next start to try after a clash of the stage that starts at rank `first`, or −1. */
  const clashAfter = (
    { workDay, workedBefore }: VillageDays,
    first: number,
    days: number,
    places: Int16Array,
    village: number,
    homeVillage: number,
  ): number => {
    const row = moves[village] as Int32Array;
    const far = farthest[village] as number;
    for (let nth = first; nth < first + days; nth += 1) {
      const day = workDay[nth] as number;
      if (places[day] === village) continue;
      const low = nth === first ? day - far : Math.max(day - far, (workDay[nth - 1] as number) + 1);
      let at = day - 1;
      while (at >= low && at >= 0 && (places[at] as number) < 0) at -= 1;
      if (at >= low) {
        const from = at < 0 ? homeVillage : (places[at] as number);
        const away = from < 0 ? 0 : (row[from] as number);
        if (from !== village && away > day - Math.max(at, -1) - 1) {
          return nth === first
            ? Math.max(
                first + 1,
                workedBefore[Math.min(Math.max(at, -1) + away + 1, horizon)] as number,
              )
            : nth;
        }
      }
      const next = nth + 1 < first + days ? (workDay[nth + 1] as number) - 1 : horizon - 1;
      const high = Math.min(day + far, next);
      at = day + 1;
      while (at <= high && (places[at] as number) < 0) at += 1;
      if (at <= high) {
        const to = places[at] as number;
        if (to !== village && (row[to] as number) > at - day - 1) {
          return workedBefore[at + 1] as number;
        }
      }
    }
    return -1;
  };

  /** As `clashAfter`, for a search back in time: only whether there is a clash. */
  const fits = (activity: number, crew: number, first: number, days: number): boolean => {
    const own = calendar(activity, crew);
    const left = free[crew] as Int16Array;
    const places = where[crew] as Int16Array;
    const village = villageOf[activity] as number;
    const count = people[activity] as number;
    const isBlocked = isBlockedByRain[activity] === 1;
    for (let nth = first; nth < first + days; nth += 1) {
      const day = own.workDay[nth] as number;
      const place = places[day] as number;
      if ((left[day] as number) < count || (place >= 0 && place !== village)) return false;
      if (isBlocked && rain[day] === 1) return false;
    }
    const start = own.workDay[first] as number;
    const finish = (own.workDay[first + days - 1] as number) + 1;
    if (
      equipmentFrom[activity] !== equipmentFrom[activity + 1] &&
      lastLent(activity, start, finish) >= 0
    ) {
      return false;
    }
    const homeVillage = isHomeless[crew] === 1 ? -1 : (home[crew] as number);
    return clashAfter(own, first, days, places, village, homeVillage) < 0;
  };

  return {
    get horizonDays() {
      return horizon;
    },
    reset(named, withEquipment) {
      for (const crew of named) {
        const until = used[crew] as number;
        (free[crew] as Int16Array).set((whole[crew] as Int16Array).subarray(0, until));
        (where[crew] as Int16Array).fill(-1, 0, until);
        used[crew] = 0;
        isHomeless[crew] = 0;
      }
      if (!withEquipment) return;
      for (const row of lent) row.fill(0, 0, lentUntil);
      lentUntil = 0;
    },
    firstFit(activity, crew, fromDay, days, isKept) {
      const count = people[activity] as number;
      const village = villageOf[activity] as number;
      const isBlocked = isBlockedByRain[activity] === 1;
      const isLending = equipmentFrom[activity] !== equipmentFrom[activity + 1];
      const end = isKept ? NO_DAY : (untilDay[crew] as number);
      const homeVillage = isHomeless[crew] === 1 ? -1 : (home[crew] as number);
      let own = calendar(activity, crew);
      let left = free[crew] as Int16Array;
      let places = where[crew] as Int16Array;
      if (fromDay + 1 >= horizon) {
        reach(Math.max(2 * horizon, fromDay + 2));
        return this.firstFit(activity, crew, fromDay, days, isKept);
      }
      let first = own.workedBefore[fromDay] as number;
      search: for (;;) {
        if (first + days >= own.workDay.length) {
          if ((own.workDay[own.workDay.length - 1] as number) > end) return -1;
          reach(2 * horizon);
          own = calendar(activity, crew);
          left = free[crew] as Int16Array;
          places = where[crew] as Int16Array;
        }
        const last = own.workDay[first + days - 1] as number;
        if (last >= end) return -1;
        for (let nth = first + days - 1; nth >= first; nth -= 1) {
          const day = own.workDay[nth] as number;
          const place = places[day] as number;
          if (
            (left[day] as number) < count ||
            (place >= 0 && place !== village) ||
            (isBlocked && rain[day] === 1)
          ) {
            first = nth + 1;
            continue search;
          }
        }
        const start = own.workDay[first] as number;
        const next = clashAfter(own, first, days, places, village, homeVillage);
        if (next >= 0) {
          first = next;
          continue;
        }
        if (!isLending) return start;
        const held = lastLent(activity, start, last + 1);
        if (held < 0) return start;
        first = own.workedBefore[held + 1] as number;
      }
    },
    canStart(activity, crew, day, days) {
      if (day + 1 >= horizon) reach(2 * (day + 1));
      const own = calendar(activity, crew);
      const first = own.workedBefore[day] as number;
      if (first + days >= own.workDay.length) {
        reach(2 * horizon);
        return this.canStart(activity, crew, day, days);
      }
      return own.workDay[first] === day && fits(activity, crew, first, days);
    },
    lastFit(activity, crew, until, days, floor) {
      const own = calendar(activity, crew);
      const end = Math.min(until, untilDay[crew] as number, horizon);
      for (
        let first = (own.workedBefore[Math.max(0, end)] as number) - days;
        first >= 0;
        first -= 1
      ) {
        const start = own.workDay[first] as number;
        if (start < floor) return -1;
        if (fits(activity, crew, first, days)) return start;
      }
      return -1;
    },
    finishOf(activity, crew, startDay, days) {
      const own = calendar(activity, crew);
      return (own.workDay[(own.workedBefore[startDay] as number) + days - 1] as number) + 1;
    },
    take: (activity, crew, startDay, days) => book(activity, crew, startDay, days, 1),
    giveBack: (activity, crew, startDay, days) => book(activity, crew, startDay, days, -1),
    leaveHome(crew) {
      isHomeless[crew] = 1;
    },
    homeOf: (crew) => (isHomeless[crew] === 1 ? -1 : (home[crew] as number)),
    usedUntil: (crew) => used[crew] as number,
    villageByDay: (crew) => where[crew] as Int16Array,
    freeByDay: (crew) => free[crew] as Int16Array,
    lentByDay: (at) => lent[at] as Int32Array,
    daysOf: calendar,
    daysIn: (village) => dry[village] as VillageDays,
    isRain: (day) => rain[day] === 1,
  };
}
