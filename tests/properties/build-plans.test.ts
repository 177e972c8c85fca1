import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkBuildPlan, oneTankAfterAnother, planBuilds } from '../../shared/index.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';
import { enumeratedSeasonFinish, TooManyPlans } from '../support/enumerated-season.ts';
import { smallSeasons } from '../support/small-seasons.ts';

const timeout = 1_200_000;
const MOST_DAYS = 16;
const numRuns = Math.ceil(PROPERTY_RUNS / 4);

const anySeasons = smallSeasons({
  builds: 4,
  stages: 4,
  hasFacts: true,
  hasPins: true,
  hasMaximumWaits: true,
  hasCrewEnds: true,
  hasLearning: true,
});
const plainSeasons = smallSeasons({ builds: 3, stages: 3 });

describe('a plan of builds', { timeout }, () => {
  it('keeps every rule that the checker apart from the planner knows, unless it says infeasible', () => {
    let kept = 0;
    fc.assert(
      fc.property(anySeasons, fc.integer(), (season, seed) => {
        const plan = planBuilds(season, { schedules: 60, seed });
        if (plan.status === 'infeasible') return;
        kept += 1;
        expect(checkBuildPlan(season, plan).faults).toEqual([]);
        expect(plan.figures.finishedDay).toBeGreaterThanOrEqual(plan.bounds.lowerBoundDay);
        expect(plan.figures.tardinessDays).toBeGreaterThanOrEqual(plan.bounds.tardinessDays);
        expect(planBuilds(season, { schedules: 60, seed })).toEqual(plan);
        const one = oneTankAfterAnother(season);
        if (one.status !== 'infeasible') {
          expect(checkBuildPlan(season, one).faults).toEqual([]);
        }
      }),
      { numRuns },
    );
    expect(kept).toBeGreaterThan(numRuns / 4);
  });

  it('is never finished before the best of all plans, and mostly with it', () => {
    let reached = 0;
    let all = 0;
    fc.assert(
      fc.property(plainSeasons, (season) => {
        let best: number | null = null;
        try {
          best = enumeratedSeasonFinish(season, MOST_DAYS);
        } catch (error) {
          if (!(error instanceof TooManyPlans)) throw error;
        }
        const onTime = season.builds.every(({ dueDay }) => dueDay === null);
        if (best === null || !onTime) return;
        const plan = planBuilds(season, { schedules: 1_000, seed: 1 });
        all += 1;
        expect(plan.figures.finishedDay).toBeGreaterThanOrEqual(best);
        if (plan.figures.finishedDay === best) reached += 1;
      }),
      { numRuns },
    );
    expect(all).toBeGreaterThan(numRuns / 20);
    expect(reached / all).toBeGreaterThan(0.85);
  });
});
