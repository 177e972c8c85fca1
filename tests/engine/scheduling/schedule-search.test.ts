import { describe, expect, it } from 'vitest';
import {
  checkSchedule,
  type FoundSchedule,
  type ProjectInput,
  projectNetwork,
  scheduleBounds,
  searchSchedule,
} from '../../../shared/index.ts';
import { enumeratedFinish } from '../../support/enumerated-plan.ts';
import { tankSeason } from '../../support/tank-season.ts';

const search = (input: ProjectInput, schedules = 500, seed = 1): FoundSchedule =>
  searchSchedule(projectNetwork(input), { schedules, seed });
const startsOf = (input: ProjectInput, { startDay }: FoundSchedule) =>
  input.activities.map(({ id }, at) => ({ activityId: id, startDay: startDay[at] ?? -1 }));

/** The worked case of tank crews: enumerated by another program, and again here. */
describe('a season of illustrative tanks', () => {
  it.each([
    [1, 1, 17],
    [2, 1, 19],
    [3, 1, 21],
    [3, 2, 21],
  ])('of %i with %i mason crews takes the enumerated days', (tanks, masons, days) => {
    const input = tankSeason(tanks, masons);
    if (tanks < 3) expect(enumeratedFinish(input)).toBe(days);
    const found = search(input);
    expect(found).toMatchObject({ finishedDay: days, status: 'optimal', brokenDays: 0 });
    expect(checkSchedule(input, startsOf(input, found))).toEqual({
      faults: [],
      finishedDay: days,
      tardinessDays: 0,
    });
  });

  // by hand: chain 17; masons 12 days; bamboo 4 days before, 6 of work, 11 after
  it('is bounded as worked by hand', () => {
    expect(scheduleBounds(projectNetwork(tankSeason(3)))).toEqual({
      criticalPathDays: 17,
      energyDays: 12,
      headWorkTailDays: 21,
      lowerBoundDays: 21,
    });
    expect(scheduleBounds(projectNetwork(tankSeason(20))).lowerBoundDays).toBe(80);
    expect(scheduleBounds(projectNetwork(tankSeason(20, 2))).lowerBoundDays).toBe(55);
  });

  it('of twenty stays at its bound or says what it may be above', () => {
    for (const [masons, bound] of [
      [1, 80],
      [2, 55],
    ] as const) {
      const input = tankSeason(20, masons);
      const found = search(input, 3_000);
      expect(found.finishedDay).toBeGreaterThanOrEqual(bound);
      expect(found.finishedDay).toBeLessThanOrEqual(bound + 3);
      expect(checkSchedule(input, startsOf(input, found)).faults).toEqual([]);
    }
  });

  // by hand: masons' 12 days of work and the bamboo crews' 6 after 4 days, Sundays off, days 6 and 13:
  // bamboo works days 4, 5, 7, 8, 9, 10, and 11 days follow
  it('is bounded on the calendar that all work of a resource keeps', () => {
    const { resources, activities } = tankSeason(3);
    const week = [true, true, true, true, true, true, false];
    const input: ProjectInput = {
      resources,
      calendars: [{ id: 'six-days', isWorkingDay: week }],
      activities: activities.map((one) => ({ ...one, calendarId: 'six-days' })),
    };
    expect(scheduleBounds(projectNetwork(input))).toMatchObject({
      energyDays: 13,
      headWorkTailDays: 22,
    });
    const found = search(input);
    expect(found.finishedDay).toBeGreaterThanOrEqual(22);
    expect(checkSchedule(input, startsOf(input, found)).faults).toEqual([]);
  });

  it('keeps begun and pinned work where it is, and plans round absences', () => {
    const { resources, activities } = tankSeason(3);
    const fixed = new Map([
      ['1 slab', 0],
      ['1 cage', 4],
      ['2 slab', 9],
    ]);
    const input: ProjectInput = {
      resources,
      bookings: [{ resourceId: 'mason', count: 1, fromDay: 1, untilDay: 9 }],
      activities: activities.map((one) => ({ ...one, fixedStartDay: fixed.get(one.id) })),
    };
    const found = search(input);
    const starts = startsOf(input, found);
    expect(checkSchedule(input, starts).faults).toEqual([]);
    for (const { activityId, startDay } of starts) {
      expect(startDay).toBe(fixed.get(activityId) ?? startDay);
      const isMason = !activityId.endsWith('cage') && activityId !== '1 slab';
      if (isMason) expect(startDay).toBeGreaterThanOrEqual(9);
    }
    // mason free from day 9: tank 2 needs 17 days from there, tank 3 its slab on day 10
    expect(found.finishedDay).toBeGreaterThanOrEqual(27);
    expect(found.status).not.toBe('infeasible');
  });
});
