import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  addDays,
  BAMBOO_BAND_MORTAR_STAGES,
  projectStages,
  type StageFact,
  stageStatusDays,
} from '../../shared/index.ts';

const template = BAMBOO_BAND_MORTAR_STAGES.slice(0, 6);
const KINDS = ['started', 'finished', 'check-recorded', 'hold-released', 'hold-refused'] as const;

const facts = fc.array(
  fc.record({
    kind: fc.constantFrom(...KINDS, 'nonconformity-decided' as const),
    stage: fc.nat(template.length - 1),
    isGood: fc.boolean(),
    day: fc.nat(12),
    back: fc.nat(6),
    decision: fc.constantFrom('rework' as const, 'concession' as const, 'reject' as const),
  }),
  { maxLength: 40 },
);

const dayOf = (day: number) => addDays('2026-03-01', day);

function factsOf(
  draws: readonly (typeof facts extends fc.Arbitrary<infer T> ? T : never)[number][],
) {
  return draws.map((draw, index): StageFact => {
    const stage = template[draw.stage];
    if (stage === undefined) throw new Error('no such stage');
    const base = {
      factId: `fact-${String(index).padStart(3, '0')}`,
      stageCode: stage.code,
      observedOn: dayOf(draw.day),
    };
    const check = stage.checks[0];
    if (draw.kind === 'check-recorded' && check) {
      const limit = check.minimum ?? check.maximum ?? 0;
      const measuredValue = draw.isGood ? limit : (check.minimum ?? 0) - (check.maximum ?? 0) - 1e6;
      return { ...base, kind: 'check-recorded', checkCode: check.code, measuredValue };
    }
    if (draw.kind === 'hold-refused') return { ...base, kind: 'hold-refused', reason: 'Thin' };
    if (draw.kind === 'nonconformity-decided') {
      const decidesFactId = `fact-${String(Math.max(0, index - draw.back)).padStart(3, '0')}`;
      const { decision } = draw;
      return {
        ...base,
        kind: 'nonconformity-decided',
        decidesFactId,
        decision,
        reason: 'Seen',
        cause: null,
        dueOn: null,
      };
    }
    return { ...base, kind: draw.kind === 'check-recorded' ? 'started' : draw.kind };
  });
}

const statusOn = (stretches: ReturnType<typeof stageStatusDays>, stageCode: string, day: string) =>
  stretches.find(
    (one) =>
      one.stageCode === stageCode &&
      one.sinceOn <= day &&
      (one.untilOn === null || day < one.untilOn),
  )?.status ?? 'not-started';

it('says of every day what the facts observed until then say, from whichever day it is written on', () => {
  let seen = 0;
  fc.assert(
    fc.property(facts, fc.nat(13), (draws, from) => {
      const all = factsOf(draws);
      const whole = stageStatusDays(template, all);
      const later = stageStatusDays(template, all, dayOf(from));
      for (let day = 0; day <= 13; day += 1) {
        const on = dayOf(day);
        const until = all.filter(({ observedOn }) => observedOn <= on);
        for (const { stageCode, status } of projectStages(template, until).stages) {
          expect(statusOn(whole, stageCode, on)).toBe(status);
          if (status !== 'not-started') seen += 1;
        }
      }
      // From a day on it writes just the changes from then on.
      expect(later).toEqual(whole.filter(({ sinceOn }) => sinceOn >= dayOf(from)));
      for (const { sinceOn, untilOn } of whole) {
        if (untilOn !== null) expect(untilOn > sinceOn).toBe(true);
      }
    }),
    { numRuns: 300 },
  );
  expect(seen).toBeGreaterThan(1_000);
});
