import { describe, expect, it } from 'vitest';
import {
  listOrder,
  type ProjectActivity,
  type ProjectInput,
  projectNetwork,
  scheduleDays,
  scheduleGenerator,
} from '../../../shared/index.ts';
import { packedCapacity } from '../../../shared/scheduling/packed-capacity.ts';
import { workingDays } from '../../../shared/scheduling/project-calendar.ts';
import { readSmFile } from '../../../src/bench/sm-file.ts';

const activity = (id: string, more: Partial<ProjectActivity> = {}): ProjectActivity => ({
  id,
  durationDays: 2,
  requires: [{ resourceId: 'crew', count: 1 }],
  after: [],
  ...more,
});
const project = (...activities: ProjectActivity[]): ProjectInput => ({
  resources: [{ id: 'crew', capacity: 2 }],
  activities,
});
const follows = (...ids: string[]) => ({ after: ids.map((activityId) => ({ activityId })) });

describe('a project', () => {
  it('that runs in a circle is refused with the circle named, and nothing beside it', () => {
    const circle = project(
      activity('before'),
      activity('a', follows('before', 'c')),
      activity('b', follows('a')),
      activity('c', follows('b')),
      activity('behind', follows('c')),
    );
    expect(() => projectNetwork(circle)).toThrow(/activities\[\d\]\.after = (\w) → .* → \1: must/);
    try {
      projectNetwork(circle);
    } catch (error) {
      expect((error as Error).message).not.toMatch(/before|behind/);
    }
    expect(() => projectNetwork(project(activity('a', follows('a'))))).toThrow('a → a');
  });

  it.each([
    ['an unknown activity', activity('a', follows('x')), 'activities[0].after[0].activityId = x'],
    [
      'an unknown resource',
      activity('a', { requires: [{ resourceId: 'x', count: 1 }] }),
      'activities[0].requires[0].resourceId = x',
    ],
    [
      'a request above capacity',
      activity('a', { requires: [{ resourceId: 'crew', count: 3 }] }),
      'activities[0].requires[0].count = 3: must not exceed the capacity 2 of resource crew',
    ],
    ['half a day', activity('a', { durationDays: 0.5 }), 'activities[0].durationDays = 0.5'],
    ['an unknown calendar', activity('a', { calendarId: 'x' }), 'activities[0].calendarId = x'],
    [
      'a greatest wait below the least',
      activity('a', { after: [{ activityId: 'b', minimumLagDays: 3, maximumLagDays: 2 }] }),
      'maximumLagDays = 2: must not be below minimumLagDays = 3',
    ],
  ])('with %s is refused, naming field, value and limit', (_what, broken, message) => {
    expect(() => projectNetwork(project(broken, activity('b')))).toThrow(message);
  });

  it('with one name for two activities is refused', () => {
    expect(() => projectNetwork(project(activity('a'), activity('a')))).toThrow(
      'activities[1].id = a',
    );
  });
});

describe('working days', () => {
  // by hand: days 5 and 6 off, and every week so after the seven days given
  const days = workingDays([true, true, true, true, true, false, false], 'calendar');
  it('are counted over days off, in either direction', () => {
    expect(days.firstFrom(5)).toBe(7);
    expect(days.finishOf(4, 2)).toBe(8);
    expect(days.finishOf(7, 11)).toBe(22);
    expect(days.latestStart(8, 2)).toBe(4);
    expect(days.latestStart(7, 1)).toBe(4);
    expect(days.latestStart(1, 3)).toBe(-2);
  });
  it('must come again', () => {
    expect(() => workingDays([true, ...new Array(7).fill(false)], 'c')).toThrow('c = 8');
  });
});

describe('packed capacities', () => {
  it('tell by one subtraction what fits, resource by resource', () => {
    const capacity = [3, 7, 12];
    const packed = packedCapacity(Int32Array.from(capacity));
    const [full = 0] = packed.full;
    const [guard = 0] = packed.guards;
    expect(packed.wordCount).toBe(1);
    for (let a = 0; a <= 4; a += 1) {
      for (let b = 0; b <= 8; b += 1) {
        for (let c = 0; c <= 13; c += 1) {
          const request = [a, b, c].reduce(
            (sum, units, at) => sum + units * 2 ** (packed.shiftOf[at] ?? 0),
            0,
          );
          // one above capacity still stays within its field and guard
          const fits = ((full - request) & guard) === guard;
          expect(fits).toBe(a <= 3 && b <= 7 && c <= 12);
        }
      }
    }
  });
  it('spread over words where one is too small', () => {
    expect(packedCapacity(Int32Array.from([1e6, 1e6, 1e6])).wordCount).toBe(3);
  });
});

/** Invented, in the form of the public single-mode files. */
const SM = `
jobs (incl. supersource/sink ):  4
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
****
REQUESTS/DURATIONS:
jobnr. mode duration  R 1  R 2
------------------------------
  1      1     0       0    0
  2      1     3       2    0
  3      1     4       1    1
  4      1     0       0    0
****
RESOURCEAVAILABILITIES:
  R 1  R 2
    2    1
****
`;

it('reads a project in .sm form', () => {
  const network = projectNetwork(readSmFile(SM));
  expect([...network.durationDays]).toEqual([0, 3, 4, 0]);
  expect([...network.capacity]).toEqual([2, 1]);
  const order = listOrder(network);
  // by hand: R 1 holds either 2 or 1 of its 2 units, so that the two jobs follow each other
  expect(scheduleGenerator(network).forward(order.base, scheduleDays(network))).toBe(7);
  expect(() => readSmFile('nothing')).toThrow('no section');
});
