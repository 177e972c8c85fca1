import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addDays,
  curveDays,
  earningParts,
  isoWeekday,
  latestStageDates,
  type StageDates,
  type StageTemplate,
  stageDates,
  type ValueChange,
  valueCurve,
} from '../../shared/index.ts';

interface DrawnStage {
  readonly workDays: number;
  readonly wait: number;
  /** Bits of the stages before it that it comes after. */
  readonly after: number;
}

const drawn = fc.array(
  fc.record({
    workDays: fc.constantFrom(0.5, 1, 2, 3.5, 6),
    wait: fc.nat(15),
    after: fc.nat(31),
  }),
  { minLength: 1, maxLength: 5 },
);

const templateOf = (stages: readonly DrawnStage[]) =>
  stages.map(({ workDays, wait, after }, place) => ({
    code: `stage-${place}`,
    title: `Stage ${place}`,
    workDays,
    crewSize: 3,
    minimumWaitDays: wait,
    after: stages.flatMap((_, before) =>
      before < place && (after >> before) % 2 === 1 ? [`stage-${before}`] : [],
    ),
    holdPoint: 'none',
    releasedBy: null,
    needs: [],
    checks: [],
    cautions: [],
  })) as StageTemplate;

const HOLIDAYS = new Set(['2026-03-19', '2026-04-03', '2026-05-01']);
const isWorkingDay = (weekdaysOff: number) => (day: string) =>
  (weekdaysOff >> (isoWeekday(day) - 1)) % 2 === 0 && !HOLIDAYS.has(day);
/** At least one weekday is worked. */
const calendar = fc.integer({ min: 0, max: 126 }).map((off) => isWorkingDay(off & 0b1111110));

/** Working days counted one by one: the day on which so much work that begins on a day ends. */
function endOf(startOn: string, workDays: number, isWorked: (day: string) => boolean): string {
  let left = Math.ceil(workDays);
  for (let day = startOn; ; day = addDays(day, 1)) {
    if (isWorked(day)) left -= 1;
    if (left === 0) return day;
  }
}

/** When the last stage ends if one stage begins on a day and those behind it as soon as they may. */
function lastEnd(
  template: StageTemplate,
  moved: string,
  startOn: string,
  isWorked: (day: string) => boolean,
): string {
  const ends = new Map([[moved, endOf(startOn, workOf(template, moved), isWorked)]]);
  for (const { code, workDays, after } of template) {
    const free = after.flatMap((before) => {
      const end = ends.get(before);
      const wait = template.find((stage) => stage.code === before)?.minimumWaitDays ?? 0;
      return end === undefined ? [] : [addDays(end, wait + 1)];
    });
    const from = free.sort().at(-1);
    if (code !== moved && from !== undefined) ends.set(code, endOf(from, workDays, isWorked));
  }
  return [...ends.values()].sort().at(-1) ?? '';
}

const workOf = (template: StageTemplate, code: string) =>
  template.find((stage) => stage.code === code)?.workDays ?? 1;

describe('latest dates of stages', () => {
  it('end by the day, and a working day later for any of them would not', () => {
    fc.assert(
      fc.property(drawn, calendar, fc.nat(60), (stages, isWorked, days) => {
        const template = templateOf(stages);
        const finishesOn = addDays('2026-06-01', days);
        for (const { stageCode, startsOn, finishesOn: end } of latestStageDates(
          template,
          finishesOn,
          isWorked,
        )) {
          expect(isWorked(startsOn) && isWorked(end)).toBe(true);
          expect(endOf(startsOn, workOf(template, stageCode), isWorked)).toBe(end);
          expect(lastEnd(template, stageCode, startsOn, isWorked) <= finishesOn).toBe(true);
          let later = addDays(startsOn, 1);
          while (!isWorked(later)) later = addDays(later, 1);
          expect(lastEnd(template, stageCode, later, isWorked) > finishesOn).toBe(true);
        }
      }),
      { numRuns: 200 },
    );
  });
});

const amounts = fc.array(fc.integer({ min: 0, max: 99_999 }), { minLength: 5, maxLength: 5 });

/** What each stage earns on which day, in euros, by the rule with a half at the start. */
function changesOf(dates: readonly Pick<StageDates, 'startsOn' | 'finishesOn'>[], cents: number[]) {
  return dates.flatMap(({ startsOn, finishesOn }, place): ValueChange[] => {
    const amount = { amount: ((cents[place] ?? 0) / 100).toFixed(2), currency: 'EUR' };
    const { start, accepted } = earningParts(amount, place % 2 === 0 ? '50/50' : '0/100');
    return [
      { on: startsOn, amount: start.amount },
      { on: finishesOn, amount: accepted.amount },
    ];
  });
}

describe('curves of planned value', () => {
  it('rise, the plan between its earliest and its latest, from nothing to the same end', () => {
    fc.assert(
      fc.property(
        drawn,
        calendar,
        amounts,
        fc.nat(30),
        fc.nat(40),
        fc.constantFrom('day' as const, 'week' as const),
        (stages, isWorked, cents, waitsDays, slackDays, step) => {
          const template = templateOf(stages);
          const releasedOn = '2026-03-02';
          const early = stageDates(template, releasedOn, isWorked);
          const plan = stageDates(template, addDays(releasedOn, waitsDays), isWorked);
          const planEnd =
            plan
              .map(({ finishesOn }) => finishesOn)
              .sort()
              .at(-1) ?? '';
          const end = addDays(planEnd, slackDays);
          const late = latestStageDates(template, end, isWorked);
          const days = curveDays(releasedOn, end, step);
          const [earliest, planned, latest] = [early, plan, late].map((dates) =>
            valueCurve(changesOf(dates, cents), days, 'EUR').map(({ amount }) =>
              Math.round(Number(amount) * 100),
            ),
          ) as [number[], number[], number[]];
          const all = template.reduce((sum, _, place) => sum + (cents[place] ?? 0), 0);
          for (const curve of [earliest, planned, latest]) {
            expect(curve[0]).toBe(0);
            expect(curve.at(-1)).toBe(all);
            expect(curve).toEqual(curve.toSorted((a, b) => a - b));
          }
          for (const [index, value] of planned.entries()) {
            expect(earliest[index]).toBeGreaterThanOrEqual(value);
            expect(latest[index]).toBeLessThanOrEqual(value);
          }
        },
      ),
      { numRuns: 300 },
    );
  });
});
