import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  addDays,
  BAMBOO_BAND_MORTAR_STAGES,
  completeRatio,
  type NonconformityDecision,
  orderedFacts,
  projectStages,
  refuseFact,
  refuseLateFact,
  type StageFact,
  stageWeights,
} from '../../shared/index.ts';

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const template = BAMBOO_BAND_MORTAR_STAGES;
const ROLES = ['inspector', 'engineer', 'coordinator', 'supervisor'];

interface Draw {
  readonly kind: 0 | 1 | 2 | 3 | 4 | 5 | 6;
  readonly stage: number;
  readonly check: number;
  readonly isGood: boolean;
  readonly day: number;
  readonly hour: number | null;
  /** How many facts before it the one lies that a decision is about. */
  readonly back: number;
  readonly decision: NonconformityDecision;
}

const draws = fc.array(
  fc.record({
    kind: fc.constantFrom(0, 1, 2, 3, 4, 5, 6),
    // mostly the first stages, so that facts meet
    stage: fc.oneof({ weight: 4, arbitrary: fc.nat(3) }, fc.nat(template.length - 1)),
    check: fc.nat(5),
    isGood: fc.boolean(),
    // many on one day, so that the order within it matters
    day: fc.oneof({ weight: 2, arbitrary: fc.nat(3) }, fc.nat(60)),
    hour: fc.option(fc.nat(1), { freq: 2 }),
    back: fc.nat(6),
    decision: fc.constantFrom('rework', 'concession', 'reject'),
  }) as fc.Arbitrary<Draw>,
  { maxLength: 40 },
);

const factIdOf = (index: number): string => `fact-${String(index).padStart(5, '0')}`;

function factOf(draw: Draw, index: number, day: number): StageFact {
  const stage = template[draw.stage];
  if (stage === undefined) throw new Error('no such stage');
  const base = {
    factId: factIdOf(index),
    stageCode: stage.code,
    observedOn: addDays('2026-03-01', day),
    ...(draw.hour === null ? {} : { recordedAtMs: 3_600_000 * draw.hour }),
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
        measuredValue: draw.isGood ? (check?.minimum ?? check?.maximum ?? 0) : -1e6 - index,
      };
    case 3:
      return { ...base, kind: 'hold-released' };
    case 4:
      return { ...base, kind: 'hold-refused', reason: 'hollow sound' };
    case 5:
      return {
        ...base,
        kind: 'work-recorded',
        crewId: 'crew',
        peopleCount: 4,
        personHours: '30.5',
        quantities: [],
      };
    default:
      return {
        ...base,
        kind: 'nonconformity-decided',
        decidesFactId: factIdOf(index - draw.back),
        decision: draw.decision,
        reason: 'seen on site',
        cause: null,
        dueOn: null,
      };
  }
}

/** A decision is about its own stage, mostly. */
const facts = draws.map((list) =>
  list.map((draw, index) => {
    const about = draw.kind === 6 && draw.day % 8 > 0 ? list[index - draw.back] : undefined;
    return factOf({ ...draw, stage: about?.stage ?? draw.stage }, index, draw.day);
  }),
);

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
        for (const fact of orderedFacts(list)) {
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

  it('takes or refuses a late fact whatever has arrived, and work never moves a status', () => {
    fc.assert(
      fc.property(
        facts.chain((list) => fc.tuple(fc.constant(list), fc.subarray(list))),
        ([list, some]) => {
          for (const fact of list) {
            const others = some.filter(({ factId }) => factId !== fact.factId);
            const alone = refuseLateFact(template, [], fact, ROLES)?.rule ?? null;
            expect(refuseLateFact(template, others, fact, ROLES)?.rule ?? null).toBe(alone);
          }
          const idle = list.filter(({ kind }) => kind !== 'work-recorded');
          const told = new Set(
            list.flatMap((fact) =>
              fact.kind === 'nonconformity-decided' ? fact.decidesFactId : [],
            ),
          );
          const isDecidedWork = list.some(
            ({ kind, factId }) => kind === 'work-recorded' && told.has(factId),
          );
          if (isDecidedWork) return;
          expect(projectStages(template, idle).stages).toEqual(
            projectStages(template, list).stages,
          );
        },
      ),
      { numRuns: 100 },
    );
  });

  it('counts no stage that is in rework or rejected, and lets nothing follow it', () => {
    const stopped = new Set<string>();
    fc.assert(
      fc.property(facts, (list) => {
        const { stages, nonConformities } = projectStages(template, list);
        for (const stage of stages) {
          stopped.add(stage.status);
          const open = nonConformities.filter(({ stageCode }) => stageCode === stage.stageCode);
          const isRejected = open.some(
            ({ state, decision }) => state === 'open' && decision?.decision === 'reject',
          );
          if (isRejected) expect(stage.status).toBe('nonconforming');
          const isStopped = isRejected || stage.status === 'in-rework';
          if (stage.status === 'in-rework') {
            expect(open.some(({ state }) => state === 'in-rework')).toBe(true);
          }
          if (!isStopped) continue;
          const after = template.filter(({ after }) => after.includes(stage.stageCode));
          for (const { code } of after) {
            const next = stages.find(({ stageCode }) => stageCode === code);
            expect(next?.obstacles.map((broken) => broken.stageCode)).toContain(stage.stageCode);
            expect(next?.isOpenToStart).toBe(false);
          }
        }
      }),
      { numRuns: 300 },
    );
    expect(stopped).toContain('in-rework');
    expect(stopped).toContain('accepted');
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
