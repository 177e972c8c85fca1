import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ConflictingWish } from '../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../shared/scheduling/build-season.ts';
import { wishConflicts } from '../../shared/scheduling/wish-conflicts.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';
import { enumeratedPlan, TooManyPlans } from '../support/enumerated-season.ts';
import { smallSeasons } from '../support/small-seasons.ts';

const timeout = 1_200_000;
const MOST_DAYS = 22;

/** The season with no wish but those named; what nobody can do is left as it is. */
function onlyWith(season: BuildSeason, wishes: readonly ConflictingWish[]): BuildSeason {
  const has = (test: (wish: ConflictingWish) => boolean) => wishes.some(test);
  return {
    ...season,
    crews: season.crews.map((crew) =>
      has((wish) => wish.kind === 'crew-until' && wish.crewId === crew.id)
        ? crew
        : { ...crew, untilDay: null },
    ),
    templates: season.builds.map((build) => ({
      id: build.id,
      stages: (season.templates.find(({ id }) => id === build.templateId)?.stages ?? []).map(
        (stage) => ({
          ...stage,
          after: stage.after.map((follow) => ({
            ...follow,
            maximumWaitDays: has(
              (wish) =>
                wish.kind === 'maximum-wait' &&
                wish.buildId === build.id &&
                wish.stageCode === stage.code,
            )
              ? follow.maximumWaitDays
              : null,
          })),
        }),
      ),
    })),
    builds: season.builds.map((build) => ({
      ...build,
      templateId: build.id,
      pins: build.pins.filter(({ id }) =>
        has((wish) => wish.kind === 'pin' && wish.buildId === build.id && wish.pinId === id),
      ),
    })),
  };
}

const planOf = (season: BuildSeason, days: number): 'some' | 'none' | 'unknown' => {
  try {
    return enumeratedPlan(season, days, 60_000) === null ? 'none' : 'some';
  } catch (error) {
    if (error instanceof TooManyPlans) return 'unknown';
    throw error;
  }
};

const wished = {
  builds: 2,
  stages: 3,
  hasPins: true,
  hasFacts: true,
  hasMaximumWaits: true,
  hasCrewEnds: true,
};

describe('conflicts of wishes', { timeout }, () => {
  it('are none that some plan keeps, and are found where there is no plan', () => {
    let claimed = 0;
    let missed = 0;
    let none = 0;
    fc.assert(
      fc.property(smallSeasons(wished), (season) => {
        const conflicts = wishConflicts(season);
        for (const { wishes, isProved, detail } of conflicts) {
          expect(isProved).toBe(true);
          expect(detail.length).toBeGreaterThan(20);
          expect(wishes.length).toBeGreaterThan(0);
          expect(planOf(onlyWith(season, wishes), MOST_DAYS)).not.toBe('some');
        }
        const whole = planOf(season, MOST_DAYS);
        if (whole === 'some') expect(conflicts).toEqual([]);
        if (conflicts.length > 0) claimed += 1;
        if (whole !== 'none') return;
        none += 1;
        if (conflicts.length === 0) missed += 1;
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 8) },
    );

    expect(claimed).toBeGreaterThan(PROPERTY_RUNS / 200);
    // Most seasons without a plan are seen to have none without search.
    expect(missed / none).toBeLessThan(0.25);
  });

  it('name trades, people and equipment that there are not', () => {
    let claimed = 0;
    fc.assert(
      fc.property(smallSeasons({ builds: 2, stages: 2, hasImpossible: true }), (season) => {
        const conflicts = wishConflicts(season);
        const isDoable = season.builds.every((build) => {
          const stages = season.templates.find(({ id }) => id === build.templateId)?.stages ?? [];
          return stages.every(
            (stage) =>
              stage.equipment.every((row) => row.units <= (season.equipment[0]?.units ?? 0)) &&
              season.crews.some(
                (crew) =>
                  crew.people >= stage.people &&
                  (stage.trade === null ||
                    crew.trades.length === 0 ||
                    crew.trades.includes(stage.trade)),
              ),
          );
        });
        expect(conflicts.length > 0).toBe(!isDoable);
        if (!isDoable) claimed += 1;
      }),
      { numRuns: PROPERTY_RUNS },
    );
    expect(claimed).toBeGreaterThan(PROPERTY_RUNS / 5);
  });
});
