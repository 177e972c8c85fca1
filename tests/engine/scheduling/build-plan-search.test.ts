import { describe, expect, it } from 'vitest';
import {
  checkBuildPlan,
  compileSeason,
  oneTankAfterAnother,
  planBuilds,
  replaySeason,
} from '../../../shared/index.ts';
import type { BuildPlan } from '../../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../../shared/scheduling/build-season.ts';
import { seasonBuild, twoTradeSeason } from '../../support/two-trade-season.ts';

const effort = { schedules: 2_000, seed: 1 };
const startOf = (plan: BuildPlan, buildId: string, stageCode: string) =>
  plan.stages.find((one) => one.buildId === buildId && one.stageCode === stageCode)?.startDay;
const held = (season: BuildSeason, plan: BuildPlan) =>
  expect(checkBuildPlan(season, plan).faults).toEqual([]);

/** Two villages a day apart, two crews of two for every stage, weekends free. */
function twoVillages(tanks: number): BuildSeason {
  const season = twoTradeSeason(tanks, 2);
  const isWorkingDay = [true, true, true, true, true, true, false];
  return {
    ...season,
    villages: [
      { id: 'one', isWorkingDay },
      { id: 'two', isWorkingDay },
    ],
    crews: season.crews.map((crew) => ({ ...crew, people: 2 })),
    builds: season.builds.map((build, at) => ({ ...build, villageId: at % 2 ? 'two' : 'one' })),
    moveDays: [
      [0, 1],
      [1, 0],
    ],
  };
}

describe('planBuilds', () => {
  // Enumerated apart from the engine: every order of the stages on both crews [own enumeration].
  it.each([
    [1, 1, 17],
    [2, 1, 19],
    [3, 1, 21],
    [3, 2, 21],
  ])('finishes %i tanks of %i mason crews on the enumerated day', (tanks, masons, day) => {
    const season = twoTradeSeason(tanks, masons);
    const plan = planBuilds(season, effort);
    held(season, plan);
    expect(plan.figures.finishedDay).toBe(day);
  });

  it('is never below the work of the crews: 80 days for one mason crew, 55 for two', () => {
    for (const [masons, least] of [
      [1, 80],
      [2, 55],
    ] as const) {
      const season = twoTradeSeason(20, masons);
      const plan = planBuilds(season, { schedules: 400, seed: 2 });
      held(season, plan);
      expect(plan.figures.finishedDay).toBeGreaterThanOrEqual(least);
      expect(plan.bounds.lowerBoundDay).toBeGreaterThanOrEqual(least);
    }
  });

  it('gives the same plan again for the same seed', () => {
    const season = twoVillages(6);
    const plan = planBuilds(season, { schedules: 300, seed: 7 });
    held(season, plan);
    expect(planBuilds(season, { schedules: 300, seed: 7 })).toEqual(plan);
  });

  it('keeps facts, pins and absences', () => {
    const plain = twoVillages(4);
    const season: BuildSeason = {
      ...plain,
      crews: plain.crews.map((crew) =>
        crew.id === 'bamboo' ? { ...crew, absences: [{ fromDay: 6, untilDay: 9 }] } : crew,
      ),
      builds: [
        seasonBuild('done', {
          facts: [
            {
              stageCode: 'slab',
              kind: 'done',
              finishDay: -2,
              crewId: 'mason 0',
              followedFromDay: 3,
            },
          ],
        }),
        seasonBuild('begun', {
          facts: [
            { stageCode: 'slab', kind: 'done', finishDay: -5, crewId: null, followedFromDay: null },
            { stageCode: 'cage', kind: 'begun', remainingDays: 1, crewId: 'bamboo' },
          ],
        }),
        seasonBuild('pinned', {
          villageId: 'two',
          pins: [{ id: 'p1', stageCode: 'slab', crewId: 'mason 1', startDay: 10 }],
        }),
        ...plain.builds.slice(3),
      ],
    };
    const plan = planBuilds(season, effort);
    held(season, plan);
    expect(plan.status).not.toBe('infeasible');
    expect(startOf(plan, 'pinned', 'slab')).toBe(10);
    expect(startOf(plan, 'done', 'cage')).toBeGreaterThanOrEqual(3);
  });

  it('lets a stage that must follow soon pull the one before it later', () => {
    const plain = twoTradeSeason(3, 1);
    const [template] = plain.templates;
    const season: BuildSeason = {
      ...plain,
      templates: [
        {
          id: 'tank',
          stages: (template?.stages ?? []).map((one) => ({
            ...one,
            after: one.after.map((row) => ({ ...row, maximumWaitDays: row.minimumWaitDays + 1 })),
          })),
        },
      ],
    };
    const plan = planBuilds(season, effort);
    held(season, plan);
    expect(plan.status).not.toBe('infeasible');
  });

  it('counts the learning of a crew', () => {
    const plain = twoTradeSeason(3, 1);
    const season: BuildSeason = {
      ...plain,
      crews: plain.crews.map((crew) => ({
        ...crew,
        learning: { tanksBuilt: 0, practisedAfterTanks: 3, ratio: 0.8 },
      })),
    };
    const plan = planBuilds(season, effort);
    held(season, plan);
    const days = plan.stages
      .filter(({ stageCode }) => stageCode === 'cage')
      .map(({ startDay, finishDay }) => finishDay - (startDay ?? 0))
      .sort();
    // 2 · (1/3)^log2 0.8 = 2.85, 2 · (2/3)^log2 0.8 = 2.28, 2: worked by hand.
    expect(days).toEqual([2, 3, 3]);
  });

  it('plans again around one late build without touching other crews', () => {
    const plain = twoTradeSeason(2, 1);
    const crews = ['a', 'b'].map((id) => ({ ...plain.crews[0], id, trades: [] as string[] }));
    const season: BuildSeason = {
      ...plain,
      crews: crews as BuildSeason['crews'],
      templates: plain.templates.map(({ id, stages }) => ({
        id,
        stages: stages.map((one) => ({ ...one, trade: null })),
      })),
    };
    const first = planBuilds(season, effort);
    const crewOf = (plan: BuildPlan, id: string) =>
      plan.stages
        .filter(({ crewId }) => crewId === id)
        .map(({ stageCode, startDay }) => [stageCode, startDay]);
    const late = first.stages.find(({ crewId }) => crewId === 'a')?.buildId;
    const again: BuildSeason = {
      ...season,
      builds: season.builds.map((build) => ({
        ...build,
        releaseDay: build.id === late ? 7 : 0,
        earlier: first.stages
          .filter(({ buildId }) => buildId === build.id)
          .map(({ stageCode, crewId, startDay }) => ({
            stageCode,
            crewId,
            startDay: startDay ?? 0,
          })),
      })),
    };
    const plan = planBuilds(again, { ...effort, keepsEarlier: true });
    held(again, plan);
    expect(crewOf(plan, 'b')).toEqual(crewOf(first, 'b'));
    expect(plan.figures.changedStageCount).toBeLessThanOrEqual(5);
  });

  it('refuses a season that does not know its village', () => {
    const season = { ...twoTradeSeason(1, 1), builds: [seasonBuild('x', { villageId: 'none' })] };
    expect(() => planBuilds(season, effort)).toThrow('builds[0].villageId');
  });
});

describe('oneTankAfterAnother', () => {
  it('takes 17 days a tank', () => {
    const season = twoTradeSeason(3, 1);
    const plan = oneTankAfterAnother(season);
    held(season, plan);
    expect(plan.figures.finishedDay).toBe(3 * 17);
  });
});

describe('replaySeason', () => {
  it('finishes as planned when all days are dry, later by the wet days', () => {
    const plain = twoTradeSeason(2, 1);
    const [template] = plain.templates;
    const season: BuildSeason = {
      ...plain,
      templates: [
        {
          id: 'tank',
          stages: (template?.stages ?? []).map((s) => ({ ...s, isBlockedByRain: true })),
        },
      ],
    };
    const plan = planBuilds(season, effort);
    const replay = replaySeason(compileSeason(season), plan);
    expect(Math.max(...replay.finishDays([null]))).toBe(plan.figures.finishedDay);
    const wet = new Uint8Array(30).fill(1, 0, 4);
    expect(Math.max(...replay.finishDays([wet]))).toBe(plan.figures.finishedDay + 4);
  });
});
