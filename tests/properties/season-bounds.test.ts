import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkBuildPlan } from '../../shared/scheduling/check-build-plan.ts';
import { seasonBounds } from '../../shared/scheduling/season-bounds.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';
import {
  enumeratedPlan,
  enumeratedSeasonFinish,
  TooManyPlans,
} from '../support/enumerated-season.ts';
import { seasonPlanOf } from '../support/season-plan-of.ts';
import { smallSeasons } from '../support/small-seasons.ts';

const timeout = 1_200_000;
const MOST_DAYS = 16;

const seasons = smallSeasons({
  builds: 3,
  stages: 3,
  hasFacts: true,
  hasPins: true,
  hasMaximumWaits: true,
  hasCrewEnds: true,
});

describe('bounds of a season', { timeout }, () => {
  it('never pass the finish of the best of all plans, and mostly meet it', () => {
    let solved = 0;
    let met = 0;
    let byWork = 0;
    fc.assert(
      fc.property(seasons, (season) => {
        const bounds = seasonBounds(season);
        expect(bounds.lowerBoundDay).toBe(Math.max(bounds.longestBuildDay, bounds.crewWorkDay));
        let finish: number | null = null;
        try {
          finish = enumeratedSeasonFinish(season, MOST_DAYS);
        } catch (error) {
          if (!(error instanceof TooManyPlans)) throw error;
        }
        if (finish === null) return;
        solved += 1;
        expect(bounds.lowerBoundDay).toBeLessThanOrEqual(finish);
        if (bounds.lowerBoundDay === finish) met += 1;
        if (bounds.crewWorkDay > bounds.longestBuildDay) byWork += 1;
        // Who has begun a stage by nobody knows whom may be away from home or not.
        const isKnown = season.builds.every(({ facts }) =>
          facts.every(({ kind, crewId }) => kind === 'done' || crewId !== null),
        );
        if (!isKnown) return;
        const plan = seasonPlanOf(season, enumeratedPlan(season, finish) ?? []);
        expect(checkBuildPlan(season, plan).faults).toEqual([]);
        expect(plan.figures.finishedDay).toBe(finish);
        expect(bounds.tardinessDays).toBeLessThanOrEqual(plan.figures.tardinessDays);
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 8) },
    );
    expect(solved).toBeGreaterThan(PROPERTY_RUNS / 20);
    expect(met / solved).toBeGreaterThan(0.6);
    expect(byWork / solved).toBeGreaterThan(0.1);
  });
});
