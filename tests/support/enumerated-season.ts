import type {
  BuildSeason,
  SeasonBuild,
  SeasonCrew,
  SeasonStage,
} from '../../shared/scheduling/build-season.ts';

interface Open {
  readonly build: SeasonBuild;
  readonly stage: SeasonStage;
  readonly fact: SeasonBuild['facts'][number] | undefined;
}

interface Placed extends Open {
  readonly crew: SeasonCrew | null;
  readonly start: number;
  readonly finish: number;
  readonly days: readonly number[];
}

export interface EnumeratedStage {
  readonly buildId: string;
  readonly stageCode: string;
  readonly crewId: string | null;
  readonly startDay: number;
  readonly finishDay: number;
  readonly workedDays: readonly number[];
}

/** A season too large to try all its plans. */
export class TooManyPlans extends Error {}

/**
 * Whether a small season has a plan that is finished by a day: every crew and start of every stage
 * tried, without learning. Written apart from the engine: lists of days, nothing else.
 *
 * @returns the stages that are not done, or null
 * @throws {TooManyPlans} after `most` placements
 */
export function enumeratedPlan(
  season: BuildSeason,
  lastDay: number,
  most = 50_000,
): EnumeratedStage[] | null {
  const open: Open[] = season.builds.flatMap((build) => {
    const stages = season.templates.find(({ id }) => id === build.templateId)?.stages ?? [];
    return stages.map((stage) => ({
      build,
      stage,
      fact: build.facts.find(({ stageCode }) => stageCode === stage.code),
    }));
  });
  const todo = open.filter(({ fact }) => fact?.kind !== 'done');
  const placed: Placed[] = [];
  let tried = 0;

  const isWorked = ({ build, stage }: Open, crew: SeasonCrew | null, day: number): boolean => {
    const days = season.villages.find(({ id }) => id === build.villageId)?.isWorkingDay ?? [];
    const works = day < days.length ? days[day] : days.slice(-7)[(day - days.length) % 7];
    if (works !== true) return false;
    if (stage.isBlockedByRain && season.rains.some((r) => r.fromDay <= day && day < r.untilDay)) {
      return false;
    }
    if (crew === null) return true;
    if (day < crew.fromDay || (crew.untilDay !== null && day >= crew.untilDay)) return false;
    return !crew.absences.some((r) => r.fromDay <= day && day < r.untilDay);
  };
  const canTake = ({ build, stage, fact }: Open, crew: SeasonCrew): boolean => {
    const isSkilled = (one: SeasonCrew) =>
      stage.trade === null || one.trades.length === 0 || one.trades.includes(stage.trade);
    if (fact !== undefined) return fact.crewId === null || fact.crewId === crew.id;
    if (!isSkilled(crew)) return false;
    const isAlone = (one: Open) =>
      one.stage.trade === null &&
      one.build.pins.some((pin) => pin.crewId !== null && pin.stageCode === one.stage.code);
    const isSelfAlone = build.pins.some(
      (pin) => stage.trade === null && pin.crewId !== null && pin.stageCode === stage.code,
    );
    const same = todo.filter(
      (one) =>
        one.build === build &&
        (isSelfAlone ? one.stage === stage : one.stage.trade === stage.trade && !isAlone(one)),
    );
    const ofStages = build.pins.filter(
      (pin) => pin.crewId !== null && same.some((one) => one.stage.code === pin.stageCode),
    );
    for (const pin of build.pins) {
      if (pin.crewId === null || pin.crewId === crew.id) continue;
      if (pin.stageCode === stage.code) return false;
      const pinned = season.crews.find(({ id }) => id === pin.crewId);
      if (pin.stageCode !== null || pinned === undefined || ofStages.length > 0) continue;
      const most = Math.max(...same.map((one) => one.stage.people));
      if (isSkilled(pinned) && pinned.people >= most) return false;
    }
    return placed.every(
      (one) =>
        one.build !== build ||
        one.fact !== undefined ||
        isSelfAlone ||
        isAlone(one) ||
        one.stage.trade !== stage.trade ||
        one.crew === crew,
    );
  };
  const road = (from: string, to: string): number => {
    const at = (id: string) => season.villages.findIndex((village) => village.id === id);
    return season.moveDays[at(from)]?.[at(to)] ?? 0;
  };
  const suits = (next: Placed): boolean => {
    const { crew, build } = next;
    const isAway = todo.some(
      ({ fact }) => fact !== undefined && (fact.crewId ?? crew?.id) === crew?.id,
    );
    const home = isAway ? null : (crew?.homeVillageId ?? null);
    if (home !== null && next.start < road(home, build.villageId)) return false;
    for (const one of placed) {
      if (crew === null || one.crew !== crew || one.build.villageId === build.villageId) continue;
      const way = road(one.build.villageId, build.villageId);
      for (const a of one.days)
        for (const b of next.days) if (Math.abs(a - b) - 1 < way) return false;
    }
    for (const day of next.days) {
      const there = [...placed, next].filter((one) => one.crew === crew && one.days.includes(day));
      const people = there.reduce((sum, one) => sum + one.stage.people, 0);
      const isPlanned = there.some((one) => one.fact === undefined);
      if (crew !== null && people > crew.people && isPlanned) {
        return false;
      }
    }
    for (const { equipmentId, units } of next.stage.equipment) {
      const all = season.equipment.find(({ id }) => id === equipmentId)?.units ?? 0;
      for (let day = next.start; day < next.finish; day += 1) {
        const there = placed.filter((one) => one.start <= day && day < one.finish);
        const used = there.reduce(
          (sum, one) =>
            sum +
            one.stage.equipment.reduce(
              (n, row) => n + (row.equipmentId === equipmentId ? row.units : 0),
              0,
            ),
          units,
        );
        const isPlanned = [...there, next].some((one) => one.fact === undefined);
        if (used > all && isPlanned) return false;
      }
    }
    return true;
  };
  const startsOf = (one: Open): [number, number] => {
    const { build, stage } = one;
    if (one.fact !== undefined) return [0, lastDay];
    let [from, until] = [Math.max(0, build.releaseDay), lastDay];
    for (const { stageCode, day } of build.stageReleases ?? []) {
      if (stageCode === stage.code) from = Math.max(from, day);
    }
    for (const { stageCode, minimumWaitDays, maximumWaitDays } of stage.after) {
      const fact = build.facts.find((each) => each.stageCode === stageCode);
      const before = placed.find((each) => each.build === build && each.stage.code === stageCode);
      const finish = fact?.kind === 'done' ? fact.finishDay : (before?.finish ?? 0);
      from = Math.max(from, finish + minimumWaitDays);
      if (fact?.kind === 'done') from = Math.max(from, fact.followedFromDay ?? from);
      until = Math.min(until, finish + (maximumWaitDays ?? Number.POSITIVE_INFINITY));
    }
    for (const pin of build.pins) {
      if (pin.startDay === null) continue;
      if (pin.stageCode === stage.code) {
        from = Math.max(from, pin.startDay);
        until = Math.min(until, pin.startDay);
      } else if (pin.stageCode === null && build.facts.length === 0) {
        from = Math.max(from, pin.startDay);
      }
    }
    return [from, until];
  };
  const keepsBuildPins = (): boolean =>
    season.builds.every((build) =>
      build.pins.every(({ stageCode, startDay }) => {
        if (stageCode !== null || startDay === null || build.facts.length > 0) return true;
        const starts = placed.filter((one) => one.build === build).map(({ start }) => start);
        return starts.length === 0 || Math.min(...starts) === startDay;
      }),
    );
  const place = (at: number): boolean => {
    const one = todo[at];
    if (one === undefined) return keepsBuildPins();
    const [from, until] = startsOf(one);
    const days = one.fact?.kind === 'begun' ? one.fact.remainingDays : one.stage.workDays;
    const isFree = one.fact !== undefined && one.fact.crewId === null;
    const crews = [...season.crews.filter((crew) => canTake(one, crew)), ...(isFree ? [null] : [])];
    for (const crew of crews) {
      for (let start = from; start <= until; start += 1) {
        if (!isWorked(one, crew, start)) continue;
        const worked: number[] = [];
        let finish = start;
        for (; worked.length < days && finish < lastDay; finish += 1) {
          if (isWorked(one, crew, finish)) worked.push(finish);
        }
        if (worked.length < days) break;
        tried += 1;
        if (tried > most) throw new TooManyPlans(`more than ${most} placements`);
        const next: Placed = { ...one, crew, start, finish, days: worked };
        if (!suits(next)) continue;
        placed.push(next);
        if (place(at + 1)) return true;
        placed.pop();
      }
    }
    return false;
  };
  if (!place(0)) return null;
  return placed.map(({ build, stage, crew, start, finish, days }) => ({
    buildId: build.id,
    stageCode: stage.code,
    crewId: crew?.id ?? null,
    startDay: start,
    finishDay: finish,
    workedDays: days,
  }));
}

/** First day by which a season has a plan; null when it has none by `most`. */
export function enumeratedSeasonFinish(season: BuildSeason, most: number): number | null {
  const done = season.builds.flatMap(({ facts }) =>
    facts.map((fact) => (fact.kind === 'done' ? fact.finishDay : 0)),
  );
  for (let day = Math.max(0, ...done); day <= most; day += 1) {
    if (enumeratedPlan(season, day) !== null) return day;
  }
  return null;
}
