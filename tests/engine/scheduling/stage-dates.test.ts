import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addDays,
  BAMBOO_BAND_MORTAR_STAGES,
  isoWeekday,
  type Stage,
  stageDates,
} from '../../../shared/index.ts';

const stage = (
  code: string,
  workDays: number,
  minimumWaitDays: number,
  after: string[],
): Stage => ({
  code,
  title: code,
  workDays,
  crewSize: 1,
  minimumWaitDays,
  after,
  holdPoint: 'none',
  releasedBy: null,
  needs: [],
  checks: [],
  cautions: [],
});

const isWeekday = (isoDate: string) => isoWeekday(isoDate) <= 5;

describe('dates of the stages of a build', () => {
  // Worked by hand on the calendar of June 2026: the 5th is a Friday, the 6th a Saturday.
  it('work on working days and wait on calendar days', () => {
    const template = [
      stage('slab', 2, 3, []),
      stage('bamboo', 1, 0, []),
      stage('frame', 1, 0, ['slab', 'bamboo']),
    ];
    expect(stageDates(template, '2026-06-04', isWeekday)).toEqual([
      {
        stageCode: 'slab',
        startsOn: '2026-06-04',
        finishesOn: '2026-06-05',
        followedFrom: '2026-06-09',
      },
      {
        stageCode: 'bamboo',
        startsOn: '2026-06-04',
        finishesOn: '2026-06-04',
        followedFrom: '2026-06-05',
      },
      {
        stageCode: 'frame',
        startsOn: '2026-06-09',
        finishesOn: '2026-06-09',
        followedFrom: '2026-06-10',
      },
    ]);
  });

  it('move to Monday when a weekend comes between, and round part days up', () => {
    const [first, second] = stageDates(
      [stage('a', 1.5, 0, []), stage('b', 1, 0, ['a'])],
      '2026-06-05',
      isWeekday,
    );
    expect(first).toMatchObject({ startsOn: '2026-06-05', finishesOn: '2026-06-08' });
    expect(second).toMatchObject({ startsOn: '2026-06-09' });
  });

  it('agree with walking through the calendar day by day', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 400 }),
        fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1, maxLength: 7 }),
        fc.array(fc.tuple(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 0, max: 5 })), {
          minLength: 1,
          maxLength: 6,
        }),
        (shift, weekdays, sizes) => {
          const works = (isoDate: string) => weekdays.includes(isoWeekday(isoDate));
          const chain = sizes.map(([days, wait], index) =>
            stage(`s${index}`, days, wait, index === 0 ? [] : [`s${index - 1}`]),
          );
          const startsOn = addDays('2026-01-01', shift);
          expect(stageDates(chain, startsOn, works)).toEqual(walked(chain, startsOn, works));
        },
      ),
      { numRuns: 200 },
    );
  });

  it('keep every order and wait of the tank that this project builds', () => {
    const dates = stageDates(BAMBOO_BAND_MORTAR_STAGES, '2026-03-02', (d) => isoWeekday(d) !== 7);
    const byCode = new Map(dates.map((entry) => [entry.stageCode, entry]));
    for (const { code, after, minimumWaitDays } of BAMBOO_BAND_MORTAR_STAGES) {
      for (const earlier of after) {
        expect((byCode.get(code)?.startsOn ?? '') > (byCode.get(earlier)?.finishesOn ?? '')).toBe(
          true,
        );
      }
      const own = byCode.get(code);
      expect(own?.followedFrom).toBe(addDays(own?.finishesOn ?? '', minimumWaitDays + 1));
      expect(isoWeekday(own?.startsOn ?? '')).not.toBe(7);
    }
  });

  it('are refused on a calendar on which nobody works', () => {
    expect(() => stageDates([stage('a', 1, 0, [])], '2026-06-05', () => false)).toThrow(
      'must be followed by a working day within 400 days',
    );
    expect(() => stageDates([stage('a', 1, 0, ['b'])], '2026-06-05', isWeekday)).toThrow(
      'must be earlier',
    );
  });
});

/** One person walking day by day through a chain of stages. */
function walked(chain: readonly Stage[], startsOn: string, works: (isoDate: string) => boolean) {
  let day = startsOn;
  return chain.map(({ code, workDays, minimumWaitDays }) => {
    let worked = 0;
    let first = '';
    let last = '';
    while (worked < workDays) {
      if (works(day)) {
        worked += 1;
        first ||= day;
        last = day;
      }
      day = addDays(day, 1);
    }
    for (let waited = 0; waited < minimumWaitDays; waited += 1) day = addDays(day, 1);
    return { stageCode: code, startsOn: first, finishesOn: last, followedFrom: day };
  });
}
