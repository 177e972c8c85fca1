import { describe, expect, it } from 'vitest';
import { BAMBOO_BAND_MORTAR_STAGES, seasonBounds, seasonStages } from '../../../shared/index.ts';
import { buildOf, crewOf, seasonOf, stageOf, villageOf } from '../../support/made-season.ts';

const tanks = (count: number, village = 'north') =>
  Array.from({ length: count }, (_, at) => buildOf(`b${at}`, village));

/** Stages of five kinds of work by masons and a bamboo crew, all of one person. */
const STAGES = [
  stageOf('slab', 1, 1, [], { trade: 'mason' }),
  stageOf('cage', 2, 1, [['slab', 3]], { trade: 'bamboo' }),
  stageOf('first coat', 1, 1, [['cage', 0]], { trade: 'mason' }),
  stageOf('second coat', 1, 1, [['first coat', 1]], { trade: 'mason' }),
  stageOf('test', 1, 1, [['second coat', 7]], { trade: 'mason' }),
];
const mason = (id: string) => crewOf(id, 1, { trades: ['mason'] });
const BAMBOO = crewOf('bamboo', 1, { trades: ['bamboo'] });

describe('bounds of a season', () => {
  // Optimal plans found by enumeration apart from the engine: 17, 19 and 21 days for 1, 2 and 3 tanks
  // with one crew of each; 21 with two mason crews too, since the bamboo crew binds: 4 + 6 + 11.
  it.each([
    [1, 1, 17],
    [2, 1, 19],
    [3, 1, 21],
    [3, 2, 21],
  ])(
    'of %i tanks with %i mason crews are the days of the optimal plan, %i',
    (count, masons, days) => {
      const crews = [...['m1', 'm2'].slice(0, masons).map(mason), BAMBOO];
      const bounds = seasonBounds(seasonOf(STAGES, crews, tanks(count)));
      expect(bounds).toEqual({
        lowerBoundDay: days,
        longestBuildDay: 17,
        crewWorkDay: days,
        tardinessDays: 0,
      });
    },
  );

  it('of many tanks count the work of the crew that binds', () => {
    // 20 tanks: 80 days of one mason crew; of two, the 40 bamboo days after day 4 and before the last 11.
    expect(seasonBounds(seasonOf(STAGES, [mason('m1'), BAMBOO], tanks(20))).lowerBoundDay).toBe(80);
    const two = seasonOf(STAGES, [mason('m1'), mason('m2'), BAMBOO], tanks(20));
    expect(seasonBounds(two).lowerBoundDay).toBe(55);
  });

  it.each([
    // [people, days]: two stages of four fit side by side in eight or nine, one in seven
    [4, 30],
    [7, 30],
    [8, 15],
    [9, 15],
    [11, 15],
    [12, 10],
  ])('of 30 stages of 4 people and a crew of %i are %i days', (people, days) => {
    const season = seasonOf([stageOf('slab', 1, 4)], [crewOf('c', people)], tanks(30));
    expect(seasonBounds(season).crewWorkDay).toBe(days);
  });

  it('of stages of several sizes are those of the best patterns', () => {
    // Crew of 9: 10 stages of 5 leave room for one of 3 or 4 each; the other 10 of 4 go two a day.
    const stages = [stageOf('large', 1, 5), stageOf('small', 1, 4), stageOf('other', 1, 4)];
    expect(seasonBounds(seasonOf(stages, [crewOf('c', 9)], tanks(10))).crewWorkDay).toBe(15);
    // Crews of 9 and 7 beside each other: three stages of 4 a day, so 20 of them take 7 days.
    const crews = [crewOf('c', 9), crewOf('d', 7)];
    expect(seasonBounds(seasonOf([stageOf('slab', 1, 4)], crews, tanks(20))).crewWorkDay).toBe(7);
  });

  it('count the days on which a crew is there, and the roads it cannot avoid', () => {
    const slab = [stageOf('slab', 1, 4)];
    const crew = crewOf('c', 4, { fromDay: 2, absences: [{ fromDay: 5, untilDay: 8 }] });
    // days 2, 3, 4 and 8 to 14, day 13 being the rest of week two
    const week = [villageOf('north', 'xxxxxx-')];
    const season = seasonOf(slab, [crew], tanks(9), { villages: week });
    expect(seasonBounds(season).crewWorkDay).toBe(15);
    // Two villages with other days of rest: going to and fro costs the day that it would win.
    const villages = [villageOf('north', 'xxxxxx-'), villageOf('south', 'xxx-xxx')];
    const both = [...tanks(6), ...tanks(6, 'south').map((one) => ({ ...one, id: `s${one.id}` }))];
    const moving = seasonOf(slab, [crewOf('c', 4)], both, { villages });
    expect(seasonBounds(moving).crewWorkDay).toBe(13);
    const close = { ...moving, moveDays: villages.map(() => [0, 0]) };
    expect(seasonBounds(close).crewWorkDay).toBe(12);
  });

  it('give every tank to one crew whole', () => {
    // Three crews, tanks of seven days of all their people: by day 13 one each, by 14 two each.
    const slab = [stageOf('slab', 7, 4)];
    const crews = ['c', 'd', 'e'].map((id) => crewOf(id, 4));
    expect(seasonBounds(seasonOf(slab, crews, tanks(4))).crewWorkDay).toBe(14);
    expect(seasonBounds(seasonOf(slab, crews, tanks(7))).crewWorkDay).toBe(21);
    // By two trades it is shared out finer: 4 + 3 + 3 days, 4 + 3 + 3 and 4 + 4.
    const parts = [
      stageOf('slab', 3, 4, [], { trade: 'mason' }),
      stageOf('frame', 4, 4, [], { trade: 'bamboo' }),
    ];
    expect(seasonBounds(seasonOf(parts, crews, tanks(4))).crewWorkDay).toBe(10);
  });

  it('of 120 tanks by five crews are no less than whole tanks of 73 person-days', () => {
    const stages = seasonStages(BAMBOO_BAND_MORTAR_STAGES, 0, new Map()).map((stage) => ({
      ...stage,
      trade: null,
    }));
    const personDays = stages.reduce((sum, { people, workDays }) => sum + people * workDays, 0);
    expect(personDays).toBe(73);
    const villages = Array.from({ length: 20 }, (_, at) => villageOf(`v${at}`, 'xxxxxx-'));
    const crews = [9, 9, 10, 8, 9].map((people, at) => crewOf(`c${at}`, people));
    const builds = Array.from({ length: 120 }, (_, at) => buildOf(`b${at}`, `v${at % 20}`));
    const bounds = seasonBounds(seasonOf(stages, crews, builds, { villages }));
    // 8760 person-days of 45 people are 195 days. In 197 days of work, by day 229, the crews build
    // 24, 24, 26, 21 and 24 tanks, 119 in all; day 229 itself makes it 27 by the third.
    expect(bounds.crewWorkDay).toBeGreaterThanOrEqual(230);
    expect(bounds.longestBuildDay).toBeLessThan(60);
  });

  it('count the equipment that stages share', () => {
    // Three moulds, two for each stage: one tank at a time, though the people would do for all.
    const equipment = [{ equipmentId: 'mould', units: 2 }];
    const wall = [stageOf('wall', 2, 1, [], { equipment }), stageOf('coat', 1, 1, [['wall', 3]])];
    const lent = { equipment: [{ id: 'mould', units: 3 }] };
    const bounds = seasonBounds(seasonOf(wall, [crewOf('c', 50)], tanks(6), lent));
    expect(bounds).toMatchObject({ longestBuildDay: 6, crewWorkDay: 12 + 3 + 1 });
    const week = [villageOf('north', 'xxxxxx-')];
    const resting = seasonOf(wall, [crewOf('c', 50)], tanks(6), { ...lent, villages: week });
    // Moulds on days 0 to 5 and 7 to 12, the coat of the last on day 16.
    expect(seasonBounds(resting).crewWorkDay).toBe(17);
  });

  it('count what learning adds to the first tanks of every crew', () => {
    // Practised after 4 on an 80 % curve: one day takes two on tanks 1 to 3.
    const slab = [stageOf('slab', 1, 4)];
    const learning = { tanksBuilt: 0, practisedAfterTanks: 4, ratio: 0.8 };
    const crews = ['c', 'd'].map((id) => crewOf(id, 4, { learning }));
    expect(seasonBounds(seasonOf(slab, crews.slice(0, 1), tanks(10))).crewWorkDay).toBe(13);
    // Five tanks each in 2 + 2 + 2 + 1 + 1 days.
    expect(seasonBounds(seasonOf(slab, crews, tanks(10))).crewWorkDay).toBe(8);
    // Two tanks each take four days, and no crew gains by learning first.
    expect(seasonBounds(seasonOf(slab, crews, tanks(4))).crewWorkDay).toBe(4);
    const practised = { ...learning, tanksBuilt: 3 };
    const old = [crewOf('c', 4, { learning: practised })];
    expect(seasonBounds(seasonOf(slab, old, tanks(10))).crewWorkDay).toBe(10);
  });

  it('of the longest build keep release, calendar, rains and waits', () => {
    // Release 3; slab on 3 and 4 (5 and 6 are at rest), finished 5; wait of 3 to 8; coat on 8,
    // rains on 9 to 10, again on 11; finished 12.
    const stages = [
      stageOf('slab', 2, 1),
      stageOf('coat', 2, 1, [['slab', 3]], { isBlockedByRain: true }),
    ];
    const villages = [villageOf('north', 'xxxxx--')];
    const builds = [buildOf('a', 'north', { releaseDay: 3, dueDay: 10 }), buildOf('b', 'north')];
    const rains = [{ fromDay: 9, untilDay: 11 }];
    const bounds = seasonBounds(seasonOf(stages, [crewOf('c', 2)], builds, { villages, rains }));
    expect(bounds).toMatchObject({ longestBuildDay: 12, tardinessDays: 2 });
  });

  it('of a season of which all is done is its last finish', () => {
    const fact = { kind: 'done', finishDay: 4, crewId: null, followedFromDay: null } as const;
    const builds = [
      buildOf('a', 'north', { dueDay: 1, facts: [{ ...fact, stageCode: 'slab' }] }),
      buildOf('b', 'north', { facts: [{ ...fact, stageCode: 'slab', finishDay: -9 }] }),
    ];
    expect(seasonBounds(seasonOf([stageOf('slab', 1, 1)], [], builds))).toEqual({
      lowerBoundDay: 4,
      longestBuildDay: 4,
      crewWorkDay: 4,
      tardinessDays: 3,
    });
  });
});
