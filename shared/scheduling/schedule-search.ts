import { EngineError, requireWithin } from '../errors.ts';
import { putOff } from './greatest-waits.ts';
import { justify, type ListedSchedule } from './justification.ts';
import { listOrder } from './list-order.ts';
import { crossTwoPoints, exchangeNeighbours } from './list-variation.ts';
import { meanDayOfWork } from './mean-day-of-work.ts';
import type { ProjectNetwork } from './project-network.ts';
import { type ScheduleBounds, scheduleBounds } from './schedule-bounds.ts';
import { type ScheduleDays, scheduleDays, scheduleGenerator } from './schedule-generator.ts';
import { type ScheduleScore, scheduleScore, scoreValue } from './schedule-score.ts';
import { seededRandom } from './seeded-random.ts';
import { startLists } from './start-lists.ts';
import { anyWindow, crossInWindow, denseWindows } from './window-crossover.ts';

export interface SearchEffort {
  /** Passes of serial generation at most, backward ones counted too; at least 1. */
  readonly schedules: number;
  readonly seed: number;
  /** Asked after every pass: true ends the search with the best plan so far. */
  readonly isOver?: (() => boolean) | undefined;
  /** Start days of an earlier plan by activity number: its order is tried first. */
  readonly earlierStartDay?: Int32Array | undefined;
}

export interface FoundSchedule extends ScheduleDays, ScheduleScore {
  /** optimal: no feasible plan is shorter; infeasible: none was found that keeps every wait. */
  readonly status: 'optimal' | 'feasible' | 'infeasible';
  readonly bounds: ScheduleBounds;
  readonly schedulesGenerated: number;
}

/** Settings of the search. Ours, from trials on random projects of 30, 60 and 120 activities. */
const POPULATION = { least: 6, most: 600, perRootOfSchedules: 2.1, perActivity: 6 } as const;
/** Children in turn, by members of the population, without a sooner finish before a fresh start. */
const STALLED_ROUNDS = 10;
const TWO_POINT_CHANCE = 0.1;
const DENSE_WINDOW_CHANCE = 0.6;
const EXCHANGE_RATIO = 0.02;
/** Weight of the mean day of work against the last day: early work leaves room at the end. */
const MEAN_DAY_WEIGHT = 0.2;
/** Days by which the right-justified half of a child may be longer than its mother. */
const LONGER_DAYS = 3;
/** Rounds in which starts are put off to keep greatest waits. */
const REPAIR_ROUNDS = 12;

interface Candidate extends ListedSchedule {
  score: number;
  /** The score, and among equals how late the work lies. */
  value: number;
}

/** Ends the search from within, wherever it stands. */
class SearchOver extends Error {}

/**
 * Searches for a plan that breaks no wait, then is least late, then is finished soonest.
 *
 * A population of lists starts from regret-biased samples by latest finish, an earlier plan among
 * them, each justified twice. Children take the order of one parent inside a window, often one where
 * it uses the resources densely, of the other outside, or between two places of the list. They are
 * built backward, then forward, so that each is a right- and then a left-justified schedule of its
 * list. A child takes the place of the worst when it is no worse and none has its value; a finish on
 * the same day counts as better the earlier the work lies. A population that finds nothing sooner
 * for long gives way to a fresh one. The search ends at the lower bound, after the passes allowed, or
 * when `isOver` says so; the first pass, by latest finish, is always run.
 *
 * @throws {EngineError} `out-of-range` naming schedules or seed
 * @source double-justification
 * @source peak-crossover
 * @source hartmann-1998 two-point crossover
 * @source regret-sampling
 */
export function searchSchedule(network: ProjectNetwork, effort: SearchEffort): FoundSchedule {
  requireWithin('schedules', effort.schedules, 1, 1e9);
  if (!Number.isInteger(effort.seed)) {
    throw new EngineError('out-of-range', 'seed', effort.seed, 'must be a whole number');
  }
  const random = seededRandom(effort.seed);
  const generator = scheduleGenerator(network);
  const order = listOrder(network);
  const bounds = scheduleBounds(network);
  const meanDay = meanDayOfWork(network);
  const best = scheduleDays(network);
  let bestScore: ScheduleScore | null = null;
  const candidate = (): Candidate => ({
    ...scheduleDays(network),
    list: order.base.slice(),
    score: Number.POSITIVE_INFINITY,
    value: Number.POSITIVE_INFINITY,
  });

  const checkEnd = (): void => {
    if (generator.passes >= effort.schedules || effort.isOver?.()) throw new SearchOver();
  };
  const judge = (one: Candidate): void => {
    const score = scheduleScore(network, one);
    one.score = scoreValue(score);
    one.value = one.score + MEAN_DAY_WEIGHT * meanDay(one);
    if (bestScore === null || one.score < scoreValue(bestScore)) {
      bestScore = score;
      best.startDay.set(one.startDay);
      best.finishDay.set(one.finishDay);
      const isDone = score.brokenDays === 0 && score.tardinessDays === 0;
      if (isDone && score.finishedDay <= bounds.lowerBoundDays) throw new SearchOver();
    }
  };
  const build = (one: Candidate): void => {
    generator.forward(one.list, one);
    judge(one);
    checkEnd();
    if (network.hasMaximumLags) keepGreatestWaits(one);
  };
  const keepGreatestWaits = (one: Candidate): void => {
    const floorDay = network.releaseDay.slice();
    for (let round = 0; round < REPAIR_ROUNDS; round += 1) {
      if (!putOff(network, one, floorDay)) return;
      generator.forward(one.list, one, floorDay);
      judge(one);
      checkEnd();
    }
  };
  const lastDay = ({ finishDay }: ScheduleDays): number =>
    finishDay.reduce((last, finish) => Math.max(last, finish), 0);
  const justified = (one: Candidate): void => {
    // Both passes or none: a schedule pushed to the right alone is no better.
    if (generator.passes + 2 > effort.schedules) throw new SearchOver();
    justify(generator, order, one, lastDay(one));
    judge(one);
    checkEnd();
    if (network.hasMaximumLags) keepGreatestWaits(one);
  };

  const lists = startLists(network, order, random);
  const denseWindow = denseWindows(network);
  const count = Math.max(
    POPULATION.least,
    Math.min(
      POPULATION.most,
      POPULATION.perActivity * order.count,
      Math.round(POPULATION.perRootOfSchedules * Math.sqrt(effort.schedules)),
    ),
  );

  const added = (population: Candidate[], writeList: (list: Int32Array) => void): void => {
    const one = candidate();
    writeList(one.list);
    build(one);
    justified(one);
    population.push(one);
  };
  const evolve = (population: Candidate[]): void => {
    while (population.length < count) added(population, lists.draw);
    for (const one of population) order.byDay(one.list, one.finishDay);
    const better = (): number => {
      const one = Math.floor(random() * count);
      const other = Math.floor(random() * count);
      return (population[one] as Candidate).value <= (population[other] as Candidate).value
        ? one
        : other;
    };
    let child = candidate();
    let least = Number.POSITIVE_INFINITY;
    for (let stalled = 0; stalled < STALLED_ROUNDS * count; stalled += 1) {
      const at = better();
      const mother = population[at] as Candidate;
      let of = better();
      if (of === at) of = (of + 1) % count;
      const father = population[of] as Candidate;
      const last = lastDay(mother);
      if (random() < TWO_POINT_CHANCE) crossTwoPoints(mother, father, child.list, random);
      else {
        const fatherLast = lastDay(father);
        const window =
          random() < DENSE_WINDOW_CHANCE
            ? denseWindow(father, fatherLast, random)
            : anyWindow(fatherLast, random);
        crossInWindow(mother, father, window, child.list);
      }
      exchangeNeighbours(network, child.list, EXCHANGE_RATIO, random);
      const firstDay = generator.backward(child.list, last, child);
      checkEnd();
      if (firstDay < -LONGER_DAYS) continue;
      order.byDay(child.list, child.startDay);
      build(child);
      if (child.score < least) {
        least = child.score;
        stalled = 0;
      }
      let worstAt = 0;
      let isTwin = false;
      for (const [place, one] of population.entries()) {
        if (one.value > (population[worstAt] as Candidate).value) worstAt = place;
        if (one.value === child.value) isTwin = true;
      }
      const worst = population[worstAt] as Candidate;
      if (isTwin || child.value > worst.value) continue;
      order.byDay(child.list, child.finishDay);
      population[worstAt] = child;
      child = worst;
    }
  };
  const run = (): void => {
    const population: Candidate[] = [];
    added(population, lists.byLatestFinish);
    const { earlierStartDay } = effort;
    if (earlierStartDay !== undefined) {
      added(population, (list) => order.byKey(earlierStartDay.slice(), list));
    }
    evolve(population);
    for (;;) evolve([]);
  };
  try {
    run();
  } catch (error) {
    if (!(error instanceof SearchOver)) throw error;
  }
  const score = bestScore ?? { brokenDays: 0, tardinessDays: 0, finishedDay: 0 };
  const isShortest = score.finishedDay <= bounds.lowerBoundDays && score.tardinessDays === 0;
  return {
    ...best,
    ...score,
    status: score.brokenDays > 0 ? 'infeasible' : isShortest ? 'optimal' : 'feasible',
    bounds,
    schedulesGenerated: generator.passes,
  };
}
