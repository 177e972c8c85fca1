import { describe, expect, it } from 'vitest';
import { checkBuildPlan } from '../../../shared/index.ts';
import type { BuildPlan, PlannedStage } from '../../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../../shared/scheduling/build-season.ts';
import { buildOf, crewOf, seasonOf, stageOf, villageOf } from '../../support/made-season.ts';

/** Worked by hand: two tanks in two villages a day apart, of which the north rests on day 6 and the south on day 5. */
const SEASON: BuildSeason = seasonOf(
  [
    stageOf('slab', 2, 4, [], { trade: 'mason', equipment: [{ equipmentId: 'mixer', units: 1 }] }),
    stageOf('frame', 1, 3, [['slab', 3, 6]], { trade: 'bamboo' }),
    stageOf('coat', 2, 4, [['frame', 1]], { trade: 'mason', isBlockedByRain: true }),
  ],
  [
    crewOf('masons', 5, { trades: ['mason'], homeVillageId: 'north' }),
    crewOf('weavers', 3, { trades: ['bamboo'], absences: [{ fromDay: 4, untilDay: 5 }] }),
    crewOf('others', 4, { trades: ['mason'], untilDay: 30 }),
  ],
  [
    buildOf('a', 'north', {
      dueDay: 9,
      pins: [{ id: 'p1', stageCode: null, crewId: 'masons', startDay: 0 }],
      earlier: [{ stageCode: 'slab', crewId: 'others', startDay: 1 }],
    }),
    buildOf('b', 'south', { releaseDay: 1, stageReleases: [{ stageCode: 'slab', day: 2 }] }),
  ],
  {
    villages: [villageOf('north', 'xxxxxx-'), villageOf('south', 'xxxxx-x')],
    equipment: [{ id: 'mixer', units: 1 }],
    rains: [{ fromDay: 10, untilDay: 12 }],
  },
);

type Row = [build: string, code: string, crew: string, start: number, finish: number];
const stagesOf = (rows: readonly Row[]): PlannedStage[] =>
  rows.map(([buildId, stageCode, crewId, startDay, finishDay]) => ({
    buildId,
    stageCode,
    standing: 'planned',
    crewId,
    startDay,
    finishDay,
    isPinned: false,
    waitsFor: { kind: 'nothing' },
  }));

/** The masons are in the north on days 0 and 1, in the south on 3 and 4, back on 7 and 8, south on 13. */
const PLAN: BuildPlan = {
  status: 'feasible',
  stages: stagesOf([
    ['a', 'slab', 'masons', 0, 2],
    ['a', 'frame', 'weavers', 5, 6],
    ['a', 'coat', 'masons', 7, 9],
    ['b', 'slab', 'masons', 3, 5],
    ['b', 'frame', 'weavers', 8, 9],
    ['b', 'coat', 'masons', 13, 15],
  ]),
  moves: [
    { crewId: 'masons', fromVillageId: 'north', toVillageId: 'south', fromDay: 2, untilDay: 3 },
    { crewId: 'masons', fromVillageId: 'south', toVillageId: 'north', fromDay: 5, untilDay: 6 },
    { crewId: 'masons', fromVillageId: 'north', toVillageId: 'south', fromDay: 11, untilDay: 12 },
    { crewId: 'weavers', fromVillageId: 'north', toVillageId: 'south', fromDay: 6, untilDay: 7 },
  ],
  figures: {
    finishedDay: 15,
    tardinessDays: 0,
    lateBuildCount: 0,
    moveCount: 4,
    moveDays: 4,
    crewLoads: [
      { crewId: 'masons', personDays: 32, lastDay: 15 },
      { crewId: 'weavers', personDays: 6, lastDay: 9 },
      { crewId: 'others', personDays: 0, lastDay: 0 },
    ],
    changedStageCount: 1,
    changedDays: 1,
  },
  bounds: { lowerBoundDay: 0, longestBuildDay: 0, crewWorkDay: 0, tardinessDays: 0 },
  schedulesGenerated: 1,
  conflicts: [],
};

/** The plan with stages moved or given to others. */
const changed = (...rows: readonly Row[]): BuildPlan => ({
  ...PLAN,
  stages: PLAN.stages.map((stage) => {
    const at = rows.findIndex(([b, code]) => b === stage.buildId && code === stage.stageCode);
    return at < 0 ? stage : (stagesOf(rows)[at] as PlannedStage);
  }),
});
const rulesOf = (plan: BuildPlan, season = SEASON) => [
  ...new Set(
    checkBuildPlan(season, plan)
      .faults.filter(({ rule }) => rule !== 'figures')
      .map(({ rule, buildId, stageCode }) => `${rule} ${buildId} ${stageCode}`),
  ),
];
const with_ = (more: Partial<BuildSeason>): BuildSeason => ({ ...SEASON, ...more });

describe('a plan held against its season', () => {
  it('has no fault when every rule is kept', () => {
    expect(checkBuildPlan(SEASON, PLAN)).toEqual({ faults: [], figures: PLAN.figures });
  });

  it('names the stage that is missing, planned twice or unknown', () => {
    const [first] = PLAN.stages as [PlannedStage];
    const without = { ...PLAN, stages: PLAN.stages.filter((one) => one !== first) };
    expect(rulesOf(without)).toContain('planned-once a slab');
    expect(rulesOf({ ...PLAN, stages: [...PLAN.stages, first] })).toEqual(['planned-once a slab']);
    const other = { ...first, stageCode: 'roof' };
    expect(rulesOf({ ...PLAN, stages: [...PLAN.stages, other] })).toEqual(['planned-once a roof']);
    const never = { ...first, startDay: null };
    const stages = PLAN.stages.map((one) => (one === first ? never : one));
    expect(rulesOf({ ...PLAN, stages })).toContain('planned-once a slab');
  });

  it.each<[string, Row, string]>([
    ['before its own release', ['b', 'slab', 'masons', 1, 3], 'release b slab'],
    ['on a day of rest', ['a', 'coat', 'masons', 6, 9], 'work-day a coat'],
    ['in the rains', ['b', 'coat', 'masons', 11, 14], 'rains b coat'],
    ['while its crew is away', ['a', 'frame', 'weavers', 4, 6], 'crew-away a frame'],
    ['with a wrong finish', ['a', 'slab', 'masons', 0, 3], 'duration a slab'],
    ['before the wait is over', ['b', 'frame', 'weavers', 7, 8], 'minimum-wait b frame'],
    ['after the wait has passed', ['b', 'frame', 'weavers', 12, 13], 'maximum-wait b frame'],
    ['by nobody', ['a', 'slab', 'nobody', 0, 2], 'crew a slab'],
    ['by a crew without the trade', ['a', 'frame', 'others', 5, 6], 'trade a frame'],
    ['by a second crew of its trade', ['b', 'coat', 'others', 13, 15], 'one-crew b coat'],
    ['by another crew than a pin says', ['a', 'coat', 'others', 7, 9], 'pin a coat'],
    ['on another day than a pin says', ['a', 'slab', 'masons', 1, 3], 'pin a null'],
    ['with its crew elsewhere', ['a', 'coat', 'masons', 14, 16], 'one-village b coat'],
    ['with too short a road', ['b', 'slab', 'masons', 2, 4], 'move b slab'],
    ['after its crew is gone', ['b', 'coat', 'others', 30, 32], 'crew-away b coat'],
  ])('refuses a stage %s', (_, row, fault) => {
    expect(rulesOf(changed(row))).toContain(fault);
  });

  it('refuses more people and equipment on a day than there are', () => {
    const both = changed(['b', 'slab', 'masons', 0, 2]);
    const inNorth = SEASON.builds.map((build) => ({ ...build, villageId: 'north', releaseDay: 0 }));
    const early = inNorth.map((build) => ({ ...build, stageReleases: [] }));
    expect(rulesOf(both, with_({ builds: early }))).toEqual(
      expect.arrayContaining(['people a slab', 'equipment a slab']),
    );
    const more = SEASON.crews.map((crew) => ({ ...crew, people: 8 }));
    const rich = with_({ builds: early, crews: more, equipment: [{ id: 'mixer', units: 2 }] });
    expect(rulesOf(both, rich).filter((rule) => /people|equipment/.test(rule))).toEqual([]);
  });

  it('counts equipment as lent on days of rest between start and finish', () => {
    // Tank a is worked on days 5 and 7 in the north, tank b in the south while the north rests.
    const equipment = [{ equipmentId: 'mixer', units: 1 }];
    const season = with_({
      templates: [{ id: 'tank', stages: [stageOf('slab', 2, 1, [], { equipment })] }],
      builds: [buildOf('a', 'north'), buildOf('b', 'south')],
    });
    const plan = (start: number) => ({
      ...PLAN,
      stages: stagesOf([
        ['a', 'slab', 'masons', 5, 8],
        ['b', 'slab', 'others', start, start + 2],
      ]),
      moves: [],
    });
    expect(rulesOf(plan(6), season)).toEqual(['equipment a slab']);
    expect(rulesOf(plan(8), season)).toEqual([]);
  });

  it('counts the listed moves again', () => {
    const fewer = { ...PLAN, moves: PLAN.moves.slice(1) };
    expect(rulesOf(fewer)).toContain('move b slab');
    const [move] = PLAN.moves;
    if (move === undefined) throw new Error('the plan has moves');
    const ghost = { ...PLAN, moves: [...PLAN.moves, { ...move, crewId: 'ghost' }] };
    expect(rulesOf(ghost)).toEqual(['move null null']);
    const twice = { ...PLAN, moves: [...PLAN.moves, { ...move, fromDay: 20, untilDay: 21 }] };
    expect(rulesOf(twice)).toEqual(['move null null']);
  });

  it('counts the figures again', () => {
    const said = { ...PLAN, figures: { ...PLAN.figures, finishedDay: 14 } };
    expect(checkBuildPlan(SEASON, said).faults.map(({ rule }) => rule)).toEqual(['figures']);
    const late = SEASON.builds.map((build) => ({ ...build, dueDay: 8 }));
    const { figures } = checkBuildPlan(with_({ builds: late }), PLAN);
    expect(figures).toMatchObject({ tardinessDays: 1 + 7, lateBuildCount: 2 });
  });

  it('keeps facts: done stages as they were, begun ones by their crew for the days left', () => {
    const [a, b] = SEASON.builds;
    if (a === undefined || b === undefined) throw new Error('the season has two builds');
    const facts = [
      {
        stageCode: 'slab',
        kind: 'done',
        finishDay: -2,
        crewId: 'others',
        followedFromDay: 4,
      } as const,
      { stageCode: 'frame', kind: 'begun', remainingDays: 1, crewId: 'weavers' } as const,
    ];
    const season = with_({ builds: [{ ...a, pins: [], facts }, b] });
    const was = stagesOf([['a', 'slab', 'others', 0, -2]]).map((one) => ({
      ...one,
      standing: 'done' as const,
      startDay: null,
    }));
    const begun = stagesOf([['a', 'frame', 'weavers', 5, 6]]).map((one) => ({
      ...one,
      standing: 'begun' as const,
    }));
    const rest = PLAN.stages.filter(
      ({ buildId, stageCode }) => buildId === 'b' || stageCode === 'coat',
    );
    const plan = { ...PLAN, stages: [...was, ...begun, ...rest] };
    // The masons are home in the north and go south without a move before it.
    const faults = rulesOf(plan, season);
    expect(faults.filter((rule) => !rule.startsWith('move'))).toEqual([]);
    expect(rulesOf(PLAN, season)).toEqual(expect.arrayContaining(['fact a slab', 'fact a frame']));
    const open = facts.map((fact) => (fact.kind === 'done' ? fact : { ...fact, remainingDays: 2 }));
    expect(rulesOf(plan, with_({ builds: [{ ...a, pins: [], facts: open }, b] }))).toContain(
      'duration a frame',
    );
    const after = facts.slice(0, 1);
    const early = {
      ...plan,
      stages: [...was, ...stagesOf([['a', 'frame', 'weavers', 3, 4]]), ...rest],
    };
    expect(rulesOf(early, with_({ builds: [{ ...a, pins: [], facts: after }, b] }))).toContain(
      'minimum-wait a frame',
    );
  });

  it('lengthens the stages of a crew that still learns, tank by tank', () => {
    // 80 % curve, practised after 4: factors 0.64^-1 = 1.5625 for the first tank, 1.25 for the second,
    // 1.0981 for the third; two days take 4, 3, 3 and 2.
    const learning = { tanksBuilt: 0, practisedAfterTanks: 4, ratio: 0.8 };
    const builds = ['w', 'x', 'y', 'z'].map((id) => buildOf(id, 'north'));
    const season = seasonOf([stageOf('slab', 2, 1)], [crewOf('c', 1, { learning })], builds);
    const rows: Row[] = [
      ['z', 'slab', 'c', 0, 4],
      ['w', 'slab', 'c', 4, 7],
      ['x', 'slab', 'c', 7, 10],
      ['y', 'slab', 'c', 10, 12],
    ];
    const plan = { ...PLAN, stages: stagesOf(rows), moves: [] };
    expect(rulesOf(plan, season)).toEqual([]);
    const short = stagesOf([['x', 'slab', 'c', 7, 9]]);
    const stages = plan.stages.map((one) => (one.buildId === 'x' ? (short[0] ?? one) : one));
    expect(rulesOf({ ...plan, stages }, season)).toEqual(['duration x slab']);
  });
});
