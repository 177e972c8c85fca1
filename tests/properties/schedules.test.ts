import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  checkSchedule,
  justify,
  listOrder,
  type ProjectInput,
  projectNetwork,
  scheduleBounds,
  scheduleDays,
  scheduleGenerator,
  searchSchedule,
} from '../../shared/index.ts';
import { seededRandom } from '../../shared/scheduling/seeded-random.ts';
import { startLists } from '../../shared/scheduling/start-lists.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';
import { enumeratedFinish } from '../support/enumerated-plan.ts';
import { smallProjects } from '../support/small-projects.ts';

const timeout = 1_200_000;
const startsOf = (input: ProjectInput, startDay: Int32Array) =>
  input.activities.map(({ id }, at) => ({ activityId: id, startDay: startDay[at] ?? -1 }));

/** Everything at once, feasible or not. */
const anyProjects = smallProjects({
  most: 14,
  hasCalendars: true,
  hasReleases: true,
  hasMaximumLags: true,
  hasDueDays: true,
  hasFixedStarts: true,
});
const seeds = fc.integer();

describe('a schedule', { timeout }, () => {
  it('as found breaks exactly what the checker apart from the engine counts', () => {
    fc.assert(
      fc.property(anyProjects, seeds, (input, seed) => {
        const found = searchSchedule(projectNetwork(input), { schedules: 60, seed });
        const check = checkSchedule(input, startsOf(input, found.startDay));
        const isLag = (rule: string) => rule === 'minimum-lag' || rule === 'maximum-lag';
        expect(check.faults.filter(({ rule }) => !isLag(rule))).toEqual([]);
        const broken = check.faults.reduce((sum, { excess }) => sum + excess, 0);
        expect(broken).toBe(found.brokenDays);
        expect(found.status === 'infeasible').toBe(broken > 0);
        expect(check.finishedDay).toBe(found.finishedDay);
        expect(check.tardinessDays).toBe(found.tardinessDays);
        expect(found.schedulesGenerated).toBeLessThanOrEqual(60);
        if (broken === 0) {
          expect(found.finishedDay).toBeGreaterThanOrEqual(found.bounds.lowerBoundDays);
        }
      }),
      { numRuns: PROPERTY_RUNS },
    );
  });

  it('is never finished before the enumerated optimum, and reaches it on small projects', () => {
    let reached = 0;
    let all = 0;
    const small = smallProjects({ most: 6, hasCalendars: true, hasReleases: true });
    fc.assert(
      fc.property(small, seeds, (input, seed) => {
        const network = projectNetwork(input);
        const optimum = enumeratedFinish(input);
        const found = searchSchedule(network, { schedules: 400, seed });
        expect(found.finishedDay).toBeGreaterThanOrEqual(optimum);
        expect(found.bounds.lowerBoundDays).toBeLessThanOrEqual(optimum);
        if (found.status === 'optimal') expect(found.finishedDay).toBe(optimum);
        all += 1;
        if (found.finishedDay === optimum) reached += 1;
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 4) },
    );
    // The first draws are tiny; a search that loses its way would miss far more.
    expect(reached / all).toBeGreaterThan(0.995);
  });

  it('with greatest waits is found wherever starts tried one by one have one', () => {
    let feasible = 0;
    let found = 0;
    fc.assert(
      fc.property(smallProjects({ most: 4, hasMaximumLags: true }), seeds, (input, seed) => {
        const best = bestOfAllStarts(input, 12);
        const plan = searchSchedule(projectNetwork(input), { schedules: 400, seed });
        if (best === null) return;
        feasible += 1;
        if (plan.brokenDays > 0) return;
        found += 1;
        expect(plan.finishedDay).toBeGreaterThanOrEqual(best);
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 20) },
    );
    expect(feasible).toBeGreaterThan(0);
    expect(found / feasible).toBeGreaterThan(0.95);
  });

  it('is the same for the same seed', () => {
    fc.assert(
      fc.property(anyProjects, seeds, (input, seed) => {
        const plan = () => searchSchedule(projectNetwork(input), { schedules: 40, seed });
        expect(plan()).toEqual(plan());
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 10) },
    );
  });

  it('keeps the starts of an earlier plan where these are as good as any', () => {
    fc.assert(
      fc.property(smallProjects({ most: 12, hasReleases: true }), seeds, (input, seed) => {
        const network = projectNetwork(input);
        const earlier = searchSchedule(network, { schedules: 100, seed });
        const again = searchSchedule(network, {
          schedules: 7,
          seed: seed + 1,
          earlierStartDay: earlier.startDay,
        });
        expect(again.finishedDay).toBeLessThanOrEqual(earlier.finishedDay);
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 4) },
    );
  });
});

describe('double justification', { timeout }, () => {
  const projects = smallProjects({
    most: 14,
    hasCalendars: true,
    hasReleases: true,
    hasDueDays: true,
  });

  it('never lengthens a schedule, nor makes it later, and keeps it feasible', () => {
    fc.assert(
      fc.property(projects, seeds, (input, seed) => {
        const network = projectNetwork(input);
        const order = listOrder(network);
        const generator = scheduleGenerator(network);
        const schedule = { ...scheduleDays(network), list: order.base.slice() };
        startLists(network, order, seededRandom(seed)).draw(schedule.list);
        const before = generator.forward(schedule.list, schedule);
        const check = checkSchedule(input, startsOf(input, schedule.startDay));
        expect(check).toMatchObject({ faults: [], finishedDay: before });
        const after = justify(generator, order, schedule, before);
        expect(after).toBeLessThanOrEqual(before);
        expect(generator.passes).toBe(3);
        const again = checkSchedule(input, startsOf(input, schedule.startDay));
        expect(again).toMatchObject({ faults: [], finishedDay: after });
        expect(again.tardinessDays).toBeLessThanOrEqual(check.tardinessDays);
      }),
      { numRuns: PROPERTY_RUNS },
    );
  });

  it('to the right leaves no start earlier than it was', () => {
    fc.assert(
      fc.property(projects, (input) => {
        const network = projectNetwork(input);
        const order = listOrder(network);
        const generator = scheduleGenerator(network);
        const left = { ...scheduleDays(network), list: order.base.slice() };
        const finished = generator.forward(left.list, left);
        order.byDay(left.list, left.finishDay);
        const right = { ...scheduleDays(network), list: left.list };
        generator.backward(left.list, finished, right);
        for (const [activity, start] of left.startDay.entries()) {
          expect(right.startDay[activity]).toBeGreaterThanOrEqual(start);
        }
        const check = checkSchedule(input, startsOf(input, right.startDay));
        expect(check).toMatchObject({ faults: [], finishedDay: finished });
      }),
      { numRuns: PROPERTY_RUNS },
    );
  });
});

describe('lower bounds', { timeout }, () => {
  it('grow or stay when a wait, a day of work or a request is added', () => {
    fc.assert(
      fc.property(smallProjects({ most: 10, hasReleases: true }), fc.nat(), (input, pick) => {
        const before = scheduleBounds(projectNetwork(input)).lowerBoundDays;
        const at = pick % input.activities.length;
        const activities = input.activities.map((one, place) =>
          place === at ? { ...one, durationDays: one.durationDays + 1 } : one,
        );
        const after = scheduleBounds(projectNetwork({ ...input, activities })).lowerBoundDays;
        expect(after).toBeGreaterThanOrEqual(before);
      }),
      { numRuns: PROPERTY_RUNS },
    );
  });
});

/** The soonest finish among all starts up to a day, each held against the rules; null for none. */
function bestOfAllStarts(input: ProjectInput, lastStartDay: number): number | null {
  let best: number | null = null;
  const startDay = new Int32Array(input.activities.length);
  const place = (at: number): void => {
    if (at === startDay.length) {
      const { faults, finishedDay } = checkSchedule(input, startsOf(input, startDay));
      if (faults.length === 0 && (best === null || finishedDay < best)) best = finishedDay;
      return;
    }
    for (let day = 0; day <= lastStartDay; day += 1) {
      startDay[at] = day;
      const part = { ...input, activities: input.activities.slice(0, at + 1) };
      if (checkSchedule(part, startsOf(part, startDay)).faults.length === 0) place(at + 1);
    }
  };
  place(0);
  return best;
}
