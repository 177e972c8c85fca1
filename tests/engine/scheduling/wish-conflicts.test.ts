import { describe, expect, it } from 'vitest';
import { wishConflicts } from '../../../shared/index.ts';
import type { SeasonPin } from '../../../shared/scheduling/build-season.ts';
import { buildOf, crewOf, seasonOf, stageOf, villageOf } from '../../support/made-season.ts';

const pin = (id: string, stageCode: string | null, more: Partial<SeasonPin>): SeasonPin => ({
  id,
  stageCode,
  crewId: null,
  startDay: null,
  ...more,
});
const SLAB = stageOf('slab', 2, 4);
const FRAME = stageOf('frame', 1, 4, [['slab', 3]]);
const CREWS = [crewOf('c', 5), crewOf('d', 5)];

describe('conflicts of wishes', () => {
  it('are none where a plan keeps all', () => {
    const pins = [pin('p', 'frame', { crewId: 'c', startDay: 5 })];
    const season = seasonOf([SLAB, FRAME], CREWS, [buildOf('a', 'north', { pins })]);
    expect(wishConflicts(season)).toEqual([]);
  });

  it('name the one pin that comes before what it follows can be done', () => {
    const pins = [pin('p', 'frame', { startDay: 4 }), pin('q', 'slab', { crewId: 'c' })];
    const season = seasonOf([SLAB, FRAME], CREWS, [buildOf('a', 'north', { pins })]);
    const [conflict, ...others] = wishConflicts(season);
    expect(others).toEqual([]);
    expect(conflict?.wishes).toEqual([{ kind: 'pin', pinId: 'p', buildId: 'a' }]);
    // The slab takes days 0 and 1, the wait ends on day 5.
    expect(conflict?.detail).toBe(
      'frame of a is pinned to start on day 4: frame of a cannot start before day 5, has to start by day 4, and takes 1 work day',
    );
  });

  it('name the two pins that ask one crew into two villages', () => {
    const day = (startDay: number) => [
      pin('p', 'slab', { crewId: 'c', startDay }),
      pin('q', 'frame', { crewId: 'd' }),
    ];
    const season = (second: number) =>
      seasonOf([SLAB, FRAME], CREWS, [
        buildOf('a', 'north', { pins: day(0) }),
        buildOf('b', 'south', { pins: day(second) }),
        buildOf('e', 'south', { pins: [pin('r', 'slab', { startDay: 9 })] }),
      ]);
    // Days 0 and 1 in the north, day 2 on the road.
    expect(wishConflicts(season(3))).toEqual([]);
    const [conflict, ...others] = wishConflicts(season(2));
    expect(others).toEqual([]);
    expect(conflict?.wishes).toEqual([
      { kind: 'pin', pinId: 'p', buildId: 'a' },
      { kind: 'pin', pinId: 'p', buildId: 'b' },
    ]);
    expect(conflict?.detail).toContain(
      'crew c is at slab of a on day 1 and at slab of b on day 2, 1 day on the road apart',
    );
  });

  it('name pins that ask for more people or equipment on a day than there are', () => {
    const pins = [pin('p', 'slab', { crewId: 'c', startDay: 0 })];
    const two = ['a', 'b'].map((id) => buildOf(id, 'north', { pins }));
    const [people] = wishConflicts(seasonOf([SLAB], CREWS, two));
    expect(people?.detail).toContain('need 8 people of crew c on day 0, which has 5');
    const lent = stageOf('slab', 2, 2, [], { equipment: [{ equipmentId: 'mixer', units: 1 }] });
    const [equipment] = wishConflicts(
      seasonOf([lent], CREWS, two, { equipment: [{ id: 'mixer', units: 1 }] }),
    );
    expect(equipment?.detail).toContain('need 2 of mixer on day 0 and there are 1');
    expect(equipment?.wishes).toHaveLength(2);
  });

  it('name the three wishes of which any two hold together', () => {
    const stages = [SLAB, stageOf('frame', 1, 4, [['slab', 0, 4]])];
    const pins = [pin('p', 'slab', { startDay: 0 }), pin('q', 'frame', { startDay: 9 })];
    const [conflict, ...others] = wishConflicts(
      seasonOf(stages, CREWS, [buildOf('a', 'north', { pins }), buildOf('b', 'north')]),
    );
    expect(others).toEqual([]);
    expect(conflict?.wishes).toHaveLength(3);
    expect(conflict?.wishes).toContainEqual({
      kind: 'maximum-wait',
      buildId: 'a',
      stageCode: 'frame',
    });
    expect(conflict?.detail).toContain('frame of a follows slab within 4 days');
  });

  it('name the ends of crews that leave before the work can be done', () => {
    const builds = (count: number) =>
      Array.from({ length: count }, (_, at) => buildOf(`b${at}`, 'north'));
    const crews = [crewOf('c', 5, { untilDay: 10 }), crewOf('d', 9, { untilDay: 6 })];
    // One slab at a time by c, five of two days; two at a time by d, six of them.
    expect(wishConflicts(seasonOf([SLAB], crews, builds(11)))).toEqual([]);
    const [conflict, ...others] = wishConflicts(seasonOf([SLAB], crews, builds(12)));
    expect(others).toEqual([]);
    expect(conflict?.wishes).toEqual([
      { kind: 'crew-until', crewId: 'c' },
      { kind: 'crew-until', crewId: 'd' },
    ]);
    expect(conflict?.detail).toContain('12 stages with 24 work days do not fit');
  });

  it('name each of several that have nothing to do with each other', () => {
    const early = { pins: [pin('p', 'frame', { startDay: 1 })] };
    const builds = [buildOf('a', 'north', early), buildOf('b', 'south', early)];
    const conflicts = wishConflicts(seasonOf([SLAB, FRAME], CREWS, builds));
    expect(conflicts.map(({ wishes }) => wishes)).toEqual([
      [{ kind: 'pin', pinId: 'p', buildId: 'a' }],
      [{ kind: 'pin', pinId: 'p', buildId: 'b' }],
    ]);
  });

  it('name a start of a build on a day of rest, and a crew that cannot do the stage', () => {
    const north = { villages: [villageOf('north', 'xx-xxxx'), villageOf('south')] };
    const rest = buildOf('a', 'north', { pins: [pin('p', null, { startDay: 2 })] });
    const two = [SLAB, stageOf('bamboo', 1, 2)];
    expect(wishConflicts(seasonOf(two, CREWS, [rest], north))[0]?.detail).toBe(
      'a is pinned to start on day 2: no stage of a can start on day 2',
    );
    const weak = buildOf('a', 'north', { pins: [pin('p', 'slab', { crewId: 'w' })] });
    const crews = [...CREWS, crewOf('w', 2)];
    expect(wishConflicts(seasonOf([SLAB], crews, [weak]))[0]?.detail).toBe(
      'slab of a is pinned to crew w: no crew is left that may do slab of a',
    );
  });

  it('name what nobody can do once for all builds of a template', () => {
    const builds = ['a', 'b', 'e'].map((id) => buildOf(id, 'north'));
    const equipment = [{ equipmentId: 'mixer', units: 2 }];
    const stages = [
      stageOf('dive', 1, 1, [], { trade: 'diver' }),
      stageOf('lift', 1, 12, [], { trade: 'mason' }),
      stageOf('mix', 1, 1, [], { equipment }),
    ];
    const masons = [crewOf('m', 8, { trades: ['mason'] })];
    const season = seasonOf(stages, masons, builds, { equipment: [{ id: 'mixer', units: 1 }] });
    expect(wishConflicts(season)).toEqual([
      {
        wishes: [{ kind: 'no-crew-for-trade', buildId: 'a', stageCode: 'dive' }],
        isProved: true,
        detail: 'dive of a (and of 2 more builds) needs the trade diver, which no crew has',
      },
      {
        wishes: [{ kind: 'too-few-people', buildId: 'a', stageCode: 'lift' }],
        isProved: true,
        detail:
          'lift of a (and of 2 more builds) needs 12 people, and no crew of its trade has so many',
      },
      {
        wishes: [
          { kind: 'too-little-equipment', buildId: 'a', stageCode: 'mix', equipmentId: 'mixer' },
        ],
        isProved: true,
        detail: 'mix of a (and of 2 more builds) needs 2 of mixer, of which there are 1',
      },
    ]);
  });

  it('leave out wishes for what is done or begun', () => {
    const fact = { stageCode: 'slab', kind: 'begun', remainingDays: 1, crewId: 'c' } as const;
    const pins = [pin('p', 'slab', { crewId: 'd', startDay: 0 }), pin('q', null, { startDay: 7 })];
    const season = seasonOf([SLAB, FRAME], CREWS, [buildOf('a', 'north', { facts: [fact], pins })]);
    expect(wishConflicts(season)).toEqual([]);
  });
});
