import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { shortestWays } from '../../shared/scheduling/crew-calendars.ts';
import { mostWorkDays } from '../../shared/scheduling/most-work-days.ts';
import { packingWeights } from '../../shared/scheduling/packing-weights.ts';
import { workDaysWhere } from '../../shared/scheduling/work-days.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';

const runs = { numRuns: Math.ceil(PROPERTY_RUNS / 4) };

/** All ways of putting stages side by side into a crew, by counts of each size. */
function patterns(sizes: readonly number[], people: number): number[][] {
  const [size, ...others] = sizes;
  if (size === undefined) return [[]];
  const found: number[][] = [];
  for (let count = 0; count * size <= people; count += 1) {
    for (const rest of patterns(others, people - count * size)) found.push([count, ...rest]);
  }
  return found;
}

describe('weights of stages side by side', () => {
  it('are worth at most what the heaviest pattern weighs, and exactly that', () => {
    const drawn = fc.tuple(
      fc.uniqueArray(fc.integer({ min: 1, max: 6 }), { minLength: 1, maxLength: 4 }),
      fc.array(fc.integer({ min: 1, max: 11 }), { minLength: 1, maxLength: 3 }),
    );
    fc.assert(
      fc.property(drawn, ([unsorted, crews]) => {
        const sizes = unsorted.sort((a, b) => a - b);
        for (const { weights, worth } of packingWeights(sizes, crews)) {
          expect(weights).toHaveLength(sizes.length);
          for (const people of crews) {
            const loads = patterns(sizes, people).map((pattern) =>
              pattern.reduce((sum, count, at) => sum + count * (weights[at] ?? 0), 0),
            );
            expect(worth(people)).toBe(Math.max(...loads));
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  it('hold people themselves first, and counts of the large ones', () => {
    const lists = packingWeights([1, 3, 4], [9]).map(({ weights }) => weights.join(' '));
    expect(lists[0]).toBe('1 3 4');
    expect(lists).toEqual(expect.arrayContaining(['0 0 1', '0 1 1', '1 1 1']));
    expect(new Set(lists).size).toBe(lists.length);
    // More sizes than all lists can be tried for.
    expect(packingWeights([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], [12]).length).toBeLessThan(1_000);
  });
});

describe('most days that a crew can work', () => {
  it('are those of the best way through the villages, tried one by one', () => {
    const calendar = fc.array(fc.boolean(), { minLength: 7, maxLength: 7 });
    const drawn = fc.record({
      calendars: fc.tuple(calendar, calendar, calendar),
      roads: fc.tuple(fc.nat(3), fc.nat(3), fc.nat(3)),
      fromDay: fc.nat(3),
    });
    fc.assert(
      fc.property(drawn, ({ calendars, roads: [ab, ac, bc], fromDay }) => {
        const ways = shortestWays([
          [0, ab, ac],
          [ab, 0, bc],
          [ac, bc, 0],
        ]);
        const worked = calendars.map((days) => (day: number) => days[day % 7] === true);
        const untilDay = 10;
        // Each day is worked in one of the villages that can be reached, or not.
        const best = (day: number, last: number, village: number): number => {
          if (day >= untilDay) return 0;
          let most = best(day + 1, last, village);
          for (const [to, works] of worked.entries()) {
            const road = village < 0 ? 0 : (ways[village]?.[to] ?? 0);
            if (!works(day) || (village >= 0 && day - last - 1 < road)) continue;
            most = Math.max(most, 1 + best(day + 1, day, to));
          }
          return most;
        };
        const found = mostWorkDays(worked, ways, fromDay, untilDay);
        expect(found[untilDay - fromDay]).toBe(best(fromDay, -1, -1));
      }),
      { numRuns: 200 },
    );
  });
});

describe('days worked', () => {
  it('are counted forwards and backwards as day by day', () => {
    const drawn = fc.record({
      days: fc.array(fc.boolean(), { minLength: 5, maxLength: 30 }),
      endDay: fc.integer({ min: 1, max: 40 }),
      day: fc.nat(45),
      count: fc.integer({ min: 1, max: 6 }),
    });
    fc.assert(
      fc.property(drawn, ({ days, endDay, day, count }) => {
        const calendar = workDaysWhere((at) => days[at % days.length] === true, endDay);
        const worked = Array.from({ length: endDay }, (_, at) => at).filter(
          (at) => days[at % days.length] === true,
        );
        const later = worked.filter((at) => at >= day);
        const sooner = worked.filter((at) => at < day);
        expect(calendar.firstFrom(day)).toBe(later[0] ?? 1e9);
        const last = later[count - 1];
        expect(calendar.finishFrom(day, count)).toBe(last === undefined ? 1e9 : last + 1);
        expect(calendar.latestStart(day, count)).toBe(sooner[sooner.length - count] ?? -1);
        expect(calendar.lastUntil(day - 1)).toBe(sooner.at(-1) ?? -1);
        expect(calendar.countBefore(day)).toBe(sooner.length);
        // The earliest start with which the last of the days is not before the day before.
        const starts = worked.filter((_, at) => (worked[at + count - 1] ?? 1e9) + 1 >= day);
        if (day > 0) expect(calendar.startToFinishFrom(day, count)).toBe(starts[0] ?? 1e9);
      }),
      runs,
    );
  });
});
