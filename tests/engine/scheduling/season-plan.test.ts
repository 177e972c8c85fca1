import { describe, expect, it } from 'vitest';
import { planSeason } from '../../../shared/index.ts';

const CHAIN = [
  ['slab', 1, 'mason', 0],
  ['cage', 2, 'bamboo', 3],
  ['first-coat', 1, 'mason', 0],
  ['second-coat', 1, 'mason', 1],
  ['final-coat', 1, 'mason', 7],
] as const;

/** Tanks of one mason and one bamboo crew: slab, cage, two coats and a final one with their waits. */
function tanks(count: number, masonCrews: number) {
  return {
    resources: [
      { id: 'mason', capacity: masonCrews },
      { id: 'bamboo', capacity: 1 },
    ],
    activities: Array.from({ length: count }, (_, tank) =>
      CHAIN.map(([stage, durationDays, resourceId, lagDays], index) => ({
        id: `${tank} ${stage}`,
        durationDays,
        requires: [{ resourceId, count: 1 }],
        after:
          index === 0
            ? []
            : [{ activityId: `${tank} ${CHAIN[index - 1]?.[0]}`, minimumLagDays: lagDays }],
      })),
    ).flat(),
  };
}

describe('the plan of a small season', () => {
  // Source: own enumeration of all plans of this example, in days.
  it.each([
    [1, 1, 17],
    [2, 1, 19],
    [3, 1, 21],
    [3, 2, 21],
  ])('of %i tanks with %i mason crews takes %i, %i days, proved', (count, crews, days) => {
    const plan = planSeason({ ...tanks(count, crews), schedules: 2_000, seed: 1 });
    expect(plan).toMatchObject({ status: 'optimal', makespanDays: days, lowerBoundDays: days });
  });

  it('cannot be under 80 days for twenty tanks and one mason crew', () => {
    const plan = planSeason({ ...tanks(20, 1), schedules: 500, seed: 1 });
    expect(plan.lowerBoundDays).toBeGreaterThanOrEqual(80);
    expect(plan.makespanDays).toBeGreaterThanOrEqual(plan.lowerBoundDays);
  });
});
