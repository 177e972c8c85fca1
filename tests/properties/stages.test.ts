import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  addDays,
  BAMBOO_BAND_MORTAR_STAGES,
  completeRatio,
  projectStages,
  refuseFact,
  type StageFact,
  stageWeights,
} from '../../shared/index.ts';

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const template = BAMBOO_BAND_MORTAR_STAGES;
const ROLES = ['inspector', 'engineer', 'coordinator', 'supervisor'];

interface Draw {
  readonly kind: 0 | 1 | 2 | 3 | 4;
  readonly stage: number;
  readonly check: number;
  readonly isGood: boolean;
  readonly day: number;
}

const draws = fc.array(
  fc.record({
    kind: fc.constantFrom(0, 1, 2, 3, 4),
    stage: fc.nat(template.length - 1),
    check: fc.nat(5),
    isGood: fc.boolean(),
    day: fc.nat(60),
  }) as fc.Arbitrary<Draw>,
  { maxLength: 40 },
);

function factOf(draw: Draw, index: number, day: number): StageFact {
  const stage = template[draw.stage];
  if (stage === undefined) throw new Error('no such stage');
  const base = {
    factId: `fact-${String(index).padStart(5, '0')}`,
    stageCode: stage.code,
    observedOn: addDays('2026-03-01', day),
  };
  const check = stage.checks[draw.check % stage.checks.length];
  switch (draw.kind) {
    case 0:
      return { ...base, kind: 'started' };
    case 1:
      return { ...base, kind: 'finished' };
    case 2:
      return {
        ...base,
        kind: 'check-recorded',
        checkCode: check?.code ?? '',
        measuredValue: draw.isGood ? (check?.minimum ?? check?.maximum ?? 0) : -1e6,
      };
    case 3:
      return { ...base, kind: 'hold-released' };
    default:
      return { ...base, kind: 'hold-refused', reason: 'hollow sound' };
  }
}

const facts = draws.map((list) => list.map((draw, index) => factOf(draw, index, draw.day)));

describe('projection of facts', () => {
  it('does not depend on the order of arrival nor on repeats', () => {
    fc.assert(
      fc.property(
        facts.chain((list) =>
          fc.tuple(
            fc.constant(list),
            fc.shuffledSubarray(list, { minLength: list.length }),
            fc.subarray(list),
          ),
        ),
        ([list, shuffled, repeats]) => {
          const once = projectStages(template, list);
          expect(projectStages(template, [...shuffled, ...repeats])).toEqual(once);
        },
      ),
      { numRuns: 150 },
    );
  });

  it('shows no broken rule when every fact was judged as it was seen', () => {
    fc.assert(
      fc.property(facts, (list) => {
        const kept: StageFact[] = [];
        const inOrder = [...list].sort((a, b) =>
          `${a.observedOn}${a.factId}` < `${b.observedOn}${b.factId}` ? -1 : 1,
        );
        for (const fact of inOrder) {
          if (refuseFact(template, kept, fact, ROLES) === null) kept.push(fact);
        }
        const { nonConformities, stages } = projectStages(template, kept);
        for (const found of nonConformities) {
          expect(['check-failed', 'hold-refused']).toContain(found.kind);
        }
        for (const stage of stages) {
          if (stage.status !== 'accepted') continue;
          expect(stage.startedOn).not.toBeNull();
          expect(stage.finishedOn).not.toBeNull();
        }
      }),
      { numRuns: 150 },
    );
  });

  it('never lets a build pass an open hold', () => {
    fc.assert(
      fc.property(fc.nat(template.length - 1), (stop) => {
        // a perfect build that leaves out the release of one hold
        const held = template[stop];
        if (held === undefined || held.holdPoint !== 'hold') return;
        const kept: StageFact[] = [];
        let day = 0;
        for (const [index, stage] of template.entries()) {
          const base = { stageCode: stage.code };
          day += 20;
          const observedOn = addDays('2026-01-01', day);
          const start: StageFact = {
            ...base,
            factId: `a-${index}`,
            kind: 'started',
            observedOn,
          };
          const broken = refuseFact(template, kept, start, ROLES);
          if (index > stop) {
            expect(broken?.rule).toBe('hold-open');
            expect(broken?.stageCode).toBe(held.code);
            return;
          }
          expect(broken).toBeNull();
          kept.push(start, { ...base, factId: `b-${index}`, kind: 'finished', observedOn });
          if (stage.holdPoint !== 'hold' || index === stop) continue;
          for (const [n, check] of stage.checks.entries()) {
            kept.push({
              ...base,
              factId: `c-${index}-${n}`,
              kind: 'check-recorded',
              checkCode: check.code,
              measuredValue: check.nominal ?? check.minimum ?? check.maximum ?? 0,
              observedOn,
            });
          }
          const release: StageFact = {
            ...base,
            factId: `d-${index}`,
            kind: 'hold-released',
            observedOn,
          };
          expect(refuseFact(template, kept, release, ROLES)).toBeNull();
          kept.push(release);
        }
      }),
    );
  });
});

describe('weights of stages', () => {
  it('add up to exactly 1, and the share done lies between 0 and 1', () => {
    fc.assert(
      fc.property(
        fc
          .array(fc.nat(100_000), { minLength: template.length, maxLength: template.length })
          .filter((list) => list.some((cents) => cents > 0)),
        facts,
        (cents, list) => {
          const costByStage = Object.fromEntries(
            template.map((stage, index) => [
              stage.code,
              { amount: ((cents[index] ?? 0) / 100).toFixed(2), currency: 'EUR' },
            ]),
          );
          const weights = stageWeights(template, costByStage);
          const sum = Object.values(weights).reduce((s, w) => s + Number(w.replace('.', '')), 0);
          expect(sum).toBe(1_000_000);
          const done = Number(completeRatio(projectStages(template, list), weights));
          expect(done).toBeGreaterThanOrEqual(0);
          expect(done).toBeLessThanOrEqual(1);
        },
      ),
      { numRuns: 100 },
    );
  });
});
