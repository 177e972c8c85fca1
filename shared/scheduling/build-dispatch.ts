import type { BuildDraft, CrewCluster } from './build-generator.ts';
import { type CompiledSeason, NO_DAY, STANDING } from './compiled-season.ts';
import type { CrewDays } from './crew-days.ts';
import { bestFilling } from './day-filling.ts';

/** How a day's work is chosen and when a crew leaves a village. */
export interface DispatchRule {
  /** Weights of what remains after a stage, of the order of the builds, and of chance. */
  readonly tailWeight: number;
  readonly orderWeight: number;
  readonly chanceWeight: number;
  /** By people at a stage, modulo their number: how much more each of them counts. */
  readonly sizeWeights: readonly number[];
  /** Share of its people at work below which a crew looks for work elsewhere. */
  readonly fullRatio: number;
  /** Days of work that must wait elsewhere before it goes there. */
  readonly leaveForDays: number;
  /** Days without work for which it waits where it is. */
  readonly patienceDays: number;
}

export interface BuildDispatch {
  /** Writes keys of the builds of a cluster: the days on which the rule starts their stages. */
  order(cluster: CrewCluster, draft: BuildDraft, rule: DispatchRule, random: () => number): void;
}

/** Days after the end of all work at which a dispatch that finds no end is given up. Ours. */
const MOST_DAYS = 5_000;
const NONE: readonly number[] = [];
/** Days ahead in which work here still counts against leaving. Ours. */
const SOON_DAYS = 4;

/**
 * Orders stages by living through the season day by day: every crew fills its day in its village with
 * the ready stages that use its people best, and moves when too few are busy and more waits elsewhere.
 *
 * @param days working memory; left used
 * @source parallel-generation
 */
export function buildDispatch(compiled: CompiledSeason, days: CrewDays): BuildDispatch {
  const { season, predecessors, successors, standing, people, villageOf, groupOf } = compiled;
  const { buildFirst, workDays, floorDay, pinnedDay, begunBy, unitOf, unitFrom, unitActivity } =
    compiled;
  const tail = tailDays(compiled);
  const longest = tail.reduce((most, one) => Math.max(most, one), 1);
  const readyDay = new Int32Array(compiled.activityCount);
  const waitsFor = new Int32Array(compiled.activityCount);
  const worth = new Float64Array(compiled.activityCount);
  const finish = new Int32Array(compiled.activityCount);
  const pending: number[][] = season.crews.map(() => []);
  const village = new Int32Array(season.crews.length);
  const arrives = new Int32Array(season.crews.length);
  const goingTo = new Int32Array(season.crews.length);
  const able: number[] = [];
  const hasDue = compiled.dueDay.some((day) => day !== NO_DAY);

  const order: BuildDispatch['order'] = (cluster, draft, rule, random) => {
    days.reset(cluster.crews, true);
    const crewAt = (activity: number): number =>
      (begunBy[activity] as number) >= 0
        ? (begunBy[activity] as number)
        : (draft.crewOf[groupOf[activity] as number] as number);
    for (const crew of cluster.crews) pending[crew] = [];
    let left = 0;
    const started = (activity: number, start: number): void => {
      finish[activity] = days.finishOf(
        activity,
        crewAt(activity),
        start,
        workDays[activity] as number,
      );
      for (
        let row = successors.from[activity] as number;
        row < (successors.from[activity + 1] as number);
        row += 1
      ) {
        const next = successors.other[row] as number;
        const from = (finish[activity] as number) + (successors.minimumWaitDays[row] as number);
        readyDay[next] = Math.max(readyDay[next] as number, from);
        waitsFor[next] = (waitsFor[next] as number) - 1;
        if (waitsFor[next] === 0) pending[crewAt(next)]?.push(next);
      }
    };
    const place = new Map(cluster.builds.map((build, at) => [build, at]));
    village.set(compiled.homeVillage);
    for (const build of cluster.builds) {
      const due = compiled.dueDay[build] as number;
      for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
        if (standing[at] === STANDING.done) continue;
        readyDay[at] = Math.max(floorDay[at] as number, pinnedDay[at] as number, 0);
        waitsFor[at] = (predecessors.from[at + 1] as number) - (predecessors.from[at] as number);
        const isUrgent = hasDue && due !== NO_DAY;
        const rest = isUrgent
          ? 1 - (due - (tail[at] as number)) / 365
          : (tail[at] as number) / longest;
        const size = people[at] as number;
        const own =
          rule.tailWeight * rest +
          rule.orderWeight * (1 - (place.get(build) ?? 0) / cluster.builds.length) +
          rule.chanceWeight * random();
        worth[at] = size * (1 + (rule.sizeWeights[size % rule.sizeWeights.length] ?? 0) + own);
        if (standing[at] === STANDING.planned) left += 1;
      }
    }
    for (const build of cluster.builds) {
      for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
        if (standing[at] === STANDING.begun) {
          const crew = crewAt(at);
          days.leaveHome(crew);
          village[crew] = villageOf[at] as number;
          days.firstFit(at, crew, 0, workDays[at] as number, true);
          days.take(at, crew, 0, workDays[at] as number);
          started(at, 0);
        } else if (standing[at] === STANDING.planned && waitsFor[at] === 0) {
          const own = pending[crewAt(at)];
          if (own !== undefined && !own.includes(at)) own.push(at);
        }
      }
    }
    arrives.fill(0);
    goingTo.fill(-1);
    for (let day = 0; left > 0 && day < MOST_DAYS; day += 1) {
      for (const crew of cluster.crews) {
        const own = pending[crew] as number[];
        if (own.length === 0 || (arrives[crew] as number) > day) continue;
        const all = season.crews[crew]?.people ?? 1;
        let here = village[crew] as number;
        if (here < 0) {
          const first = own.find((one) => (readyDay[one] as number) <= day) ?? (own[0] as number);
          here = villageOf[first] as number;
          village[crew] = here;
        }
        let target = goingTo[crew] as number;
        const isWorked = worksIn(here, crew, day);
        if (!isWorked && target < 0) continue;
        const free = Math.max(0, days.freeByDay(crew)[day] as number);
        if (free === 0 && target < 0) continue;
        let count = 0;
        let soon = 0;
        for (const one of own) {
          if (villageOf[one] !== here) continue;
          const ready = readyDay[one] as number;
          if (ready <= day + SOON_DAYS) soon += (people[one] as number) * (workDays[one] as number);
          if (ready > day || (people[one] as number) > free) continue;
          if (days.canStart(one, crew, day, workDays[one] as number)) able[count++] = one;
        }
        let chosen = count === 0 ? NONE : bestFilling(able.slice(0, count), free, people, worth);
        let used = all - free;
        for (const one of chosen) used += people[one] as number;
        if (target < 0 && used / all < rule.fullRatio) {
          target = bestElsewhere(own, day, here, soon / all, all, rule);
        }
        if (target < 0 && chosen.length === 0 && used === 0)
          target = patience(own, day, here, rule);
        if (target >= 0) {
          const end = lastWork(days, crew, day, here);
          if (end < day) {
            village[crew] = target;
            goingTo[crew] = -1;
            arrives[crew] = day + (season.moveDays[here]?.[target] ?? 0);
            continue;
          }
          goingTo[crew] = target;
          chosen = chosen.filter(
            (one) => days.finishOf(one, crew, day, workDays[one] as number) <= end + 1,
          );
        }
        for (const one of chosen) {
          if (!days.canStart(one, crew, day, workDays[one] as number)) continue;
          days.take(one, crew, day, workDays[one] as number);
          const unit = unitOf[one] as number;
          if (unit >= 0 && unitActivity[unitFrom[unit] as number] === one) draft.key[unit] = day;
          own.splice(own.indexOf(one), 1);
          left -= 1;
          started(one, day);
        }
      }
    }
  };

  const worksIn = (village: number, crew: number, day: number): boolean => {
    const { workedBefore } = days.daysIn(village);
    return (
      workedBefore[day + 1] !== workedBefore[day] && (days.freeByDay(crew)[day] as number) >= 0
    );
  };

  /** Village with the most work waiting, when that is enough to go there for. */
  const bestElsewhere = (
    own: readonly number[],
    day: number,
    here: number,
    soon: number,
    all: number,
    rule: DispatchRule,
  ): number => {
    const waiting = new Map<number, number>();
    for (const one of own) {
      const there = villageOf[one] as number;
      const way = season.moveDays[here]?.[there] ?? 0;
      if (there === here || (readyDay[one] as number) > day + way) continue;
      const work = ((people[one] as number) * (workDays[one] as number)) / all;
      waiting.set(there, (waiting.get(there) ?? 0) + work);
    }
    let [best, most] = [-1, Math.max(rule.leaveForDays, soon)];
    for (const [there, work] of waiting) {
      if (work > most) [best, most] = [there, work];
    }
    return best;
  };

  /** Where work can go on soonest, when here nothing can for long. */
  const patience = (
    own: readonly number[],
    day: number,
    here: number,
    rule: DispatchRule,
  ): number => {
    let [next, there, soonest] = [NO_DAY, -1, NO_DAY];
    for (const one of own) {
      const ready = Math.max(day, readyDay[one] as number);
      const at = villageOf[one] as number;
      if (at === here) next = Math.min(next, ready);
      else {
        const reached = Math.max(ready, day + (season.moveDays[here]?.[at] ?? 0));
        if (reached < soonest) [soonest, there] = [reached, at];
      }
    }
    return next > Math.max(soonest, day + rule.patienceDays) ? there : -1;
  };
  return { order };
}

/** Last day from `day` on with work in the village, or −1. */
function lastWork(days: CrewDays, crew: number, day: number, village: number): number {
  const places = days.villageByDay(crew);
  let last = -1;
  for (let at = day; at < days.usedUntil(crew); at += 1) if (places[at] === village) last = at;
  return last;
}

/** Least days from the start of an activity to the end of its build. */
function tailDays({
  activityCount,
  successors,
  workDays,
  buildFirst,
}: CompiledSeason): Float64Array {
  const tail = new Float64Array(activityCount);
  const isKnown = new Uint8Array(activityCount);
  const { from, other, minimumWaitDays } = successors;
  const read = (activity: number): number => {
    if (isKnown[activity] === 1) return tail[activity] as number;
    let after = 0;
    for (let row = from[activity] as number; row < (from[activity + 1] as number); row += 1) {
      after = Math.max(after, (minimumWaitDays[row] as number) + read(other[row] as number));
    }
    isKnown[activity] = 1;
    tail[activity] = after + (workDays[activity] as number);
    return tail[activity] as number;
  };
  for (let activity = 0; activity < (buildFirst.at(-1) ?? 0); activity += 1) read(activity);
  return tail;
}
