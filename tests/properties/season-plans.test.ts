import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { EngineError } from '../../shared/errors.ts';
import {
  checkBuildPlan,
  forecastSeason,
  oneTankAfterAnother,
  planBuilds,
  seasonBounds,
  wishConflicts,
} from '../../shared/index.ts';
import type { BuildPlan } from '../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../shared/scheduling/build-season.ts';
import { compileSeason } from '../../shared/scheduling/compiled-season.ts';
import { replaySeason } from '../../shared/scheduling/season-replay.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';
import { smallSeasons } from '../support/small-seasons.ts';

const timeout = 1_200_000;
const runs = { numRuns: Math.ceil(PROPERTY_RUNS / 4) };
const anySeasons = smallSeasons({
  builds: 4,
  stages: 3,
  hasFacts: true,
  hasPins: true,
  hasMaximumWaits: true,
  hasCrewEnds: true,
  hasLearning: true,
});
const seeds = fc.integer();
const plain = smallSeasons({ builds: 4, stages: 3 });
const wetDays = fc.array(fc.boolean(), { minLength: 30, maxLength: 30 });
const asDays = (season: BuildSeason, wet: readonly boolean[]) =>
  season.villages.map(() => Uint8Array.from(wet, Number));

/** Waits that cannot be kept may push stages out of reach: then there is a conflict to name. */
function planUnlessOutOfReach(season: BuildSeason, seed: number): BuildPlan | null {
  try {
    return planBuilds(season, { schedules: 40, seed });
  } catch (error) {
    if (!(error instanceof EngineError) || error.parameter !== 'season') throw error;
    expect(wishConflicts(season)).not.toEqual([]);
    return null;
  }
}

describe('a plan of a season as found', { timeout }, () => {
  it('breaks no rule of the checker, its figures are those counted, and no bound passes it', () => {
    let whole = 0;
    fc.assert(
      fc.property(anySeasons, seeds, (season, seed) => {
        const plan = planUnlessOutOfReach(season, seed);
        if (plan === null || plan.status === 'infeasible') return;
        whole += 1;
        const { faults, figures } = checkBuildPlan(season, plan);
        expect(faults).toEqual([]);
        expect(figures).toEqual(plan.figures);
        const bounds = seasonBounds(season);
        expect(figures.finishedDay).toBeGreaterThanOrEqual(bounds.lowerBoundDay);
        expect(figures.tardinessDays).toBeGreaterThanOrEqual(bounds.tardinessDays);
        if (plan.status === 'optimal') expect(figures.finishedDay).toBe(bounds.lowerBoundDay);
      }),
      runs,
    );
    expect(whole).toBeGreaterThan(runs.numRuns / 4);
  });

  it('made one tank after another breaks no rule either', () => {
    let whole = 0;
    fc.assert(
      fc.property(plain, (season) => {
        const plan = oneTankAfterAnother(season);
        if (plan.status === 'infeasible') return;
        whole += 1;
        expect(checkBuildPlan(season, plan).faults).toEqual([]);
        const { lowerBoundDay } = seasonBounds(season);
        expect(plan.figures.finishedDay).toBeGreaterThanOrEqual(lowerBoundDay);
      }),
      runs,
    );
    expect(whole).toBeGreaterThan(runs.numRuns / 2);
  });

  it('is forecast as planned without rain, and never sooner with it', () => {
    fc.assert(
      fc.property(plain, seeds, wetDays, (season, seed, wet) => {
        const plan = planBuilds(season, { schedules: 20, seed });
        if (plan.status === 'infeasible') return;
        const years = (days: readonly boolean[]) => ({
          kind: 'years' as const,
          stations: [{ villageIds: season.villages.map(({ id }) => id), years: [days] }],
        });
        const effort = { samples: 1, seed, riskSamples: 0 };
        const dry = forecastSeason(season, plan, years(wet.map(() => false)), effort);
        expect(dry.season.p80Day).toBe(plan.figures.finishedDay);
        const rainy = forecastSeason(season, plan, years(wet), effort);
        expect(rainy.season.p80Day).toBeGreaterThanOrEqual(plan.figures.finishedDay);
        for (const [at, { plannedDay, p80Day }] of dry.builds.entries()) {
          expect(p80Day).toBe(plannedDay);
          expect(rainy.builds[at]?.p80Day).toBeGreaterThanOrEqual(plannedDay);
        }
      }),
      runs,
    );
  });

  it('is finished no sooner with more rain, but for the few replays that change places', () => {
    let sooner = 0;
    let all = 0;
    fc.assert(
      fc.property(plain, seeds, wetDays, wetDays, (season, seed, wet, more) => {
        const plan = planBuilds(season, { schedules: 20, seed });
        if (plan.status === 'infeasible') return;
        const replay = replaySeason(compileSeason(season), plan);
        const last = (days: readonly boolean[]) =>
          Math.max(...replay.finishDays(asDays(season, days)));
        const one = last(wet);
        const both = last(wet.map((is, at) => is || more[at] === true));
        all += 1;
        if (both < one) sooner += 1;
      }),
      runs,
    );
    expect(sooner / all).toBeLessThan(0.03);
  });
});
