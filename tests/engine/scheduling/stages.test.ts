import { describe, expect, it } from 'vitest';
import {
  addDays,
  BAMBOO_BAND_MORTAR_RECIPE,
  BAMBOO_BAND_MORTAR_STAGES,
  completeRatio,
  estimateCost,
  materialTotals,
  projectStages,
  refuseFact,
  requireStageTemplate,
  type Stage,
  type StageFact,
  stagesForTank,
  stageWeights,
  takeoffTank,
} from '../../../shared/index.ts';
import { SOURCES } from '../../../shared/sources.ts';

const template = BAMBOO_BAND_MORTAR_STAGES;
const stage = (code: string): Stage => {
  const found = template.find((candidate) => candidate.code === code);
  if (found === undefined) throw new Error(`no stage ${code}`);
  return found;
};
const check = (stageCode: string, code: string) =>
  stage(stageCode).checks.find((candidate) => candidate.code === code);

describe('stages of the bamboo-band-mortar tank', () => {
  it('are well formed and come in building order', () => {
    expect(() => requireStageTemplate(template)).not.toThrow();
    expect(template.map((s) => s.code)).toEqual([
      'ground-and-slab',
      'bamboo-preparation',
      'frame',
      'wall-boards',
      'roof-grid',
      'openings',
      'wall-foot',
      'outside-first-coat',
      'outside-final-coat',
      'inside-first-coat',
      'inside-final-coat',
      'tap-stand',
      'roof-coat',
      'cement-wash',
      'damp-curing',
      'outside-paint',
      'filling-test',
      'handover',
    ]);
  });

  it('hold before hidden work, before handover and at handover', () => {
    const holds = template.filter((s) => s.holdPoint === 'hold').map((s) => [s.code, s.releasedBy]);
    expect(holds).toEqual([
      ['frame', 'inspector'],
      ['roof-grid', 'inspector'],
      ['filling-test', 'engineer'],
      ['handover', 'coordinator'],
    ]);
  });

  // Common practice without a published source, and marked so.
  it.each([
    ['roof-grid', 'crown-height', { nominal: 0.3 }],
    ['roof-grid', 'grid-spacing', { nominal: 0.15 }],
    ['openings', 'hatch-clear-opening', { minimum: 0.56 }],
    ['openings', 'lid-upstand', { minimum: 25 }],
    ['bamboo-preparation', 'strip-thickness', { nominal: 10 }],
  ])('%s: %s is common practice', (stageCode, code, limits) => {
    expect(check(stageCode, code)).toMatchObject({
      ...limits,
      isCommonPractice: true,
      source: 'tank-practice',
    });
  });

  it('wait one day between coats and 14 days of damp curing before anything is filled', () => {
    for (const code of ['outside-first-coat', 'outside-final-coat', 'inside-first-coat']) {
      expect(stage(code).minimumWaitDays).toBe(1);
    }
    expect(stage('damp-curing').minimumWaitDays).toBe(14);
    expect(check('damp-curing', 'days-kept-wet')).toMatchObject({
      minimum: 14,
      isCommonPractice: false,
    });
    expect(check('filling-test', 'hours-between-thirds')).toMatchObject({ minimum: 24 });
  });

  it('caution at every stage, cite known sources and never call anything safe', () => {
    for (const s of template) {
      expect(s.cautions.length, s.code).toBeGreaterThan(0);
      expect(s.needs.length, s.code).toBeGreaterThan(0);
      expect(s.checks.length, s.code).toBeGreaterThan(0);
      for (const c of s.checks) {
        expect(c.source !== undefined && c.source in SOURCES, c.code).toBe(true);
        expect(c.minimum !== undefined || c.maximum !== undefined, c.code).toBe(true);
      }
    }
    expect(JSON.stringify(template)).not.toMatch(/\bsafe\b/i);
  });

  // bs-8007 clause 9.2 [memory]: depth/500 or 10 mm; 3.6 mm at 1.80 m
  it('tighten the fall of the water to depth/500', () => {
    const limit = (waterDepthM: number) =>
      stagesForTank(template, { waterDepthM })
        .find((s) => s.code === 'filling-test')
        ?.checks.find((c) => c.code === 'level-fall-7-days')?.maximum;
    expect(limit(1.8)).toBeCloseTo(3.6, 9);
    expect(limit(6)).toBe(10);
    expect(() => stagesForTank(template, { waterDepthM: 0 })).toThrow(/^waterDepthM /);
  });

  const minimal: Stage = { ...stage('frame'), code: 'a', after: [] };
  it.each([
    ['template', []],
    ['a.code', [minimal, minimal]],
    ['a.after', [{ ...minimal, after: ['b'] }]],
    ['a.workDays', [{ ...minimal, workDays: 0 }]],
    ['a.minimumWaitDays', [{ ...minimal, minimumWaitDays: 1.5 }]],
    ['a.releasedBy', [{ ...minimal, releasedBy: null }]],
    ['a.checks', [{ ...minimal, checks: [...minimal.checks, ...minimal.checks] }]],
  ])('as data are refused for a wrong %s', (parameter, wrong) => {
    expect(() => requireStageTemplate(wrong)).toThrow(
      new RegExp(`^${parameter.replace('.', '\\.')} `),
    );
  });
});

let serial = 0;
const nextId = (): string => {
  serial += 1;
  return `fact-${String(serial).padStart(6, '0')}`;
};
const started = (stageCode: string, observedOn: string): StageFact => ({
  factId: nextId(),
  kind: 'started',
  stageCode,
  observedOn,
});
const finished = (stageCode: string, observedOn: string): StageFact => ({
  factId: nextId(),
  kind: 'finished',
  stageCode,
  observedOn,
});
const released = (stageCode: string, observedOn: string): StageFact => ({
  factId: nextId(),
  kind: 'hold-released',
  stageCode,
  observedOn,
});
const measured = (
  stageCode: string,
  checkCode: string,
  measuredValue: number,
  observedOn: string,
): StageFact => ({
  factId: nextId(),
  kind: 'check-recorded',
  stageCode,
  checkCode,
  measuredValue,
  observedOn,
});
const passed = (stageCode: string, observedOn: string): StageFact[] =>
  stage(stageCode).checks.map((c) =>
    measured(stageCode, c.code, c.nominal ?? c.minimum ?? c.maximum ?? 0, observedOn),
  );

/** Slab 1 to 2 March, bamboo 1 to 3 March, frame on 5 March: the first day that the slab allows. */
const uptoFrame = (): StageFact[] => [
  started('ground-and-slab', '2026-03-01'),
  finished('ground-and-slab', '2026-03-02'),
  started('bamboo-preparation', '2026-03-01'),
  finished('bamboo-preparation', '2026-03-03'),
  started('frame', '2026-03-05'),
  finished('frame', '2026-03-05'),
];
const rule = (facts: StageFact[], fact: StageFact, roles: string[] = ['supervisor']) =>
  refuseFact(template, facts, fact, roles)?.rule ?? null;

describe('a fact is refused by name', () => {
  it('when its stage or check is unknown or its date is none', () => {
    expect(rule([], started('moat', '2026-03-01'))).toBe('unknown-stage');
    const facts = [started('ground-and-slab', '2026-03-01')];
    expect(rule(facts, measured('ground-and-slab', 'colour', 1, '2026-03-01'))).toBe(
      'unknown-check',
    );
    expect(() => rule([], started('frame', '2026-02-30'))).toThrow(/^observedOn /);
    expect(() =>
      rule(facts, measured('ground-and-slab', 'topsoil-removed', Number.NaN, '2026-03-01')),
    ).toThrow(/^measuredValue /);
  });

  it('when a stage starts before those it stands on', () => {
    const facts = uptoFrame().slice(0, 3);
    const broken = refuseFact(template, facts, started('frame', '2026-03-09'), []);
    expect(broken).toMatchObject({
      rule: 'stage-out-of-order',
      stageCode: 'bamboo-preparation',
    });
  });

  it('when the wait is not over, with the date on which it is', () => {
    const facts = uptoFrame().slice(0, 4);
    const broken = refuseFact(template, facts, started('frame', '2026-03-04'), []);
    expect(broken).toMatchObject({
      rule: 'wait-not-over',
      stageCode: 'ground-and-slab',
      earliestOn: '2026-03-05',
    });
    expect(rule(facts, started('frame', '2026-03-05'))).toBeNull();
  });

  it('counts waits on calendar days, over a month and a leap day', () => {
    const facts = [
      started('ground-and-slab', '2028-02-26'),
      finished('ground-and-slab', '2028-02-27'),
      started('bamboo-preparation', '2028-02-20'),
      finished('bamboo-preparation', '2028-02-22'),
    ];
    expect(rule(facts, started('frame', '2028-02-29'))).toBe('wait-not-over');
    expect(rule(facts, started('frame', '2028-03-01'))).toBeNull();
  });

  it('when the hold before it is open', () => {
    expect(rule(uptoFrame(), started('wall-boards', '2026-03-06'))).toBe('hold-open');
  });

  it('when a check before it is outside its limits, until a later one is inside', () => {
    const facts = [
      ...uptoFrame(),
      ...passed('frame', '2026-03-05'),
      released('frame', '2026-03-05'),
      measured('frame', 'band-out-of-level', 14, '2026-03-06'),
    ];
    const broken = refuseFact(template, facts, started('wall-boards', '2026-03-06'), []);
    expect(broken).toMatchObject({ rule: 'check-failed', checkCode: 'band-out-of-level' });
    const mended = [...facts, measured('frame', 'band-out-of-level', 4, '2026-03-07')];
    expect(rule(mended, started('wall-boards', '2026-03-07'))).toBeNull();
  });

  it('when a stage starts or finishes twice, or finishes before it starts', () => {
    const facts = uptoFrame();
    expect(rule(facts, started('frame', '2026-03-06'))).toBe('already-started');
    expect(rule(facts, finished('frame', '2026-03-06'))).toBe('already-finished');
    expect(rule(facts, finished('wall-boards', '2026-03-06'))).toBe('finished-before-started');
    expect(rule(facts, finished('frame', '2026-03-04'))).toBe('finished-before-started');
    expect(rule(facts, measured('wall-boards', 'posts-removed', 1, '2026-03-06'))).toBe(
      'check-before-start',
    );
  });

  it('when it is already recorded', () => {
    const facts = uptoFrame();
    const [first] = facts;
    if (first === undefined) throw new Error('no fact');
    expect(rule(facts, first)).toBe('duplicate-fact');
  });

  it('when a hold is released by the wrong role, too early or without its checks', () => {
    const facts = uptoFrame();
    const release = released('frame', '2026-03-06');
    expect(refuseFact(template, facts, release, ['supervisor', 'engineer'])).toMatchObject({
      rule: 'released-by-wrong-role',
      requiredRole: 'inspector',
    });
    expect(rule(facts.slice(0, 5), release, ['inspector'])).toBe('hold-before-finish');
    expect(rule(facts, release, ['inspector'])).toBe('check-missing');
    const failing = [
      ...facts,
      ...passed('frame', '2026-03-05'),
      measured('frame', 'band-joints', 0, '2026-03-06'),
    ];
    expect(rule(failing, release, ['inspector'])).toBe('check-failed');
    const good = [...facts, ...passed('frame', '2026-03-05')];
    expect(rule(good, release, ['supervisor', 'inspector'])).toBeNull();
    expect(rule([...good, release], released('frame', '2026-03-07'), ['inspector'])).toBe(
      'already-released',
    );
    expect(rule(facts, released('wall-boards', '2026-03-07'), ['inspector'])).toBe('no-hold-point');
  });

  it('when a hold is released while an earlier one is open', () => {
    // facts of a build that ran ahead: the frame was refused after the roof grid was done
    const facts = [
      ...uptoFrame(),
      ...passed('frame', '2026-03-05'),
      released('frame', '2026-03-05'),
      started('wall-boards', '2026-03-06'),
      finished('wall-boards', '2026-03-07'),
      started('roof-grid', '2026-03-08'),
      finished('roof-grid', '2026-03-08'),
      ...passed('roof-grid', '2026-03-08'),
      {
        factId: nextId(),
        kind: 'hold-refused',
        stageCode: 'frame',
        observedOn: '2026-03-08',
        reason: 'one joint has a single bolt',
      } as const,
    ];
    const broken = refuseFact(template, facts, released('roof-grid', '2026-03-09'), ['inspector']);
    expect(broken).toMatchObject({ rule: 'hold-open', stageCode: 'frame' });
  });

  it('takes a hold refusal from its role at any time after the finish', () => {
    const refuse: StageFact = {
      factId: nextId(),
      kind: 'hold-refused',
      stageCode: 'frame',
      observedOn: '2026-03-06',
      reason: 'out of plumb',
    };
    expect(rule(uptoFrame(), refuse, ['inspector'])).toBeNull();
    expect(rule(uptoFrame(), refuse, ['coordinator'])).toBe('released-by-wrong-role');
  });
});

describe('a fact that arrives late', () => {
  it('is judged by what had been seen at its own date', () => {
    const later = [
      ...uptoFrame(),
      ...passed('frame', '2026-03-05'),
      released('frame', '2026-03-06'),
    ];
    // the start of the boards on 6 March arrives after a failed check of 9 March
    const failed = [...later, measured('frame', 'frame-out-of-plumb', 30, '2026-03-09')];
    expect(rule(failed, started('wall-boards', '2026-03-06'))).toBeNull();
    expect(rule(failed, started('wall-boards', '2026-03-09'))).toBe('check-failed');
  });

  it('is refused when it did not hold then, whatever came since', () => {
    const later = [
      ...uptoFrame(),
      ...passed('frame', '2026-03-05'),
      released('frame', '2026-03-06'),
    ];
    expect(rule(later, started('wall-boards', '2026-03-05'))).toBe('hold-open');
  });
});

describe('the projection', () => {
  it('shows status, open holds and the first day for what comes next', () => {
    const { stages, openHolds, isComplete } = projectStages(template, uptoFrame());
    const byCode = new Map(stages.map((s) => [s.stageCode, s]));
    expect(byCode.get('ground-and-slab')).toMatchObject({
      status: 'accepted',
      startedOn: '2026-03-01',
      finishedOn: '2026-03-02',
      earliestStartOn: null,
      isOpenToStart: false,
    });
    expect(byCode.get('frame')).toMatchObject({
      status: 'awaiting-release',
      earliestStartOn: '2026-03-05',
    });
    expect(byCode.get('wall-boards')).toMatchObject({
      status: 'not-started',
      earliestStartOn: null,
      isOpenToStart: false,
      obstacles: [{ rule: 'hold-open', stageCode: 'frame' }],
    });
    expect(openHolds).toEqual(['frame']);
    expect(isComplete).toBe(false);
  });

  it('opens the way when the hold is released', () => {
    const facts = [
      ...uptoFrame(),
      ...passed('frame', '2026-03-05'),
      released('frame', '2026-03-07'),
    ];
    const boards = projectStages(template, facts).stages.find((s) => s.stageCode === 'wall-boards');
    expect(boards).toMatchObject({ isOpenToStart: true, earliestStartOn: '2026-03-05' });
  });

  it('takes rejected work back to nothing and accepts it after rework', () => {
    const refused = [
      ...uptoFrame(),
      {
        factId: nextId(),
        kind: 'hold-refused',
        stageCode: 'frame',
        observedOn: '2026-03-06',
        reason: 'out of plumb',
      } as const,
    ];
    const found = projectStages(template, refused);
    expect(found.stages[2]?.status).toBe('nonconforming');
    expect(found.nonConformities).toEqual([
      {
        recordId: refused.at(-1)?.factId,
        kind: 'hold-refused',
        stageCode: 'frame',
        observedOn: '2026-03-06',
        detail: 'out of plumb',
        state: 'open',
        decision: null,
      },
    ]);
    const again = finished('frame', '2026-03-08');
    expect(rule(refused, again)).toBeNull();
    const release = released('frame', '2026-03-08');
    const reworked = [...refused, again, ...passed('frame', '2026-03-08')];
    expect(rule(reworked, release, ['inspector'])).toBeNull();
    const done = projectStages(template, [...reworked, release]);
    expect(done.stages[2]).toMatchObject({ status: 'accepted', finishedOn: '2026-03-08' });
    expect(done.nonConformities).toEqual([]);
  });

  it('lists what facts show to have gone against a rule', () => {
    const { nonConformities, stages } = projectStages(template, [
      started('frame', '2026-03-01'),
      finished('roof-grid', '2026-03-02'),
      measured('frame', 'frame-out-of-plumb', 30, '2026-03-02'),
    ]);
    expect(nonConformities.map(({ kind, stageCode }) => [kind, stageCode])).toEqual([
      ['started-against-a-rule', 'frame'],
      ['check-failed', 'frame'],
      ['finished-before-started', 'roof-grid'],
    ]);
    expect(nonConformities[0]?.detail).toBe(
      'stage-out-of-order: ground-and-slab is not finished; stage-out-of-order: bamboo-preparation is not finished',
    );
    expect(stages[2]?.status).toBe('nonconforming');
  });

  it('refuses two facts under one id', () => {
    const fact = started('frame', '2026-03-01');
    expect(() => projectStages(template, [fact, { ...fact, observedOn: '2026-03-02' }])).toThrow(
      /^factId /,
    );
  });

  it('is complete after a whole build, judged fact by fact, on the shortest calendar', () => {
    const facts: StageFact[] = [];
    const roles = ['supervisor', 'inspector', 'engineer', 'coordinator'];
    const add = (fact: StageFact): void => {
      expect(refuseFact(template, facts, fact, roles)).toBeNull();
      facts.push(fact);
    };
    for (const s of template) {
      const open = projectStages(template, facts).stages.find((p) => p.stageCode === s.code);
      expect(open?.isOpenToStart).toBe(true);
      const startOn = open?.earliestStartOn ?? '2026-03-01';
      add(started(s.code, startOn));
      const endOn = addDays(startOn, s.workDays - 1);
      add(finished(s.code, endOn));
      for (const fact of passed(s.code, endOn)) add(fact);
      if (s.holdPoint === 'hold') add(released(s.code, endOn));
    }
    const { isComplete, openHolds, nonConformities, stages } = projectStages(template, facts);
    expect({ isComplete, openHolds, nonConformities }).toEqual({
      isComplete: true,
      openHolds: [],
      nonConformities: [],
    });
    // by hand: slab ends 2 March, frame 5, boards 5–6, grid 6, openings 6, foot 6, coats 7, 8, 9,
    // 10, stand 11, roof 11–12, wash 13, curing 13 and 14 days, paint and filling from 27 March
    const finish = new Map(stages.map((s) => [s.stageCode, s.finishedOn]));
    expect(finish.get('wall-foot')).toBe('2026-03-06');
    expect(finish.get('inside-final-coat')).toBe('2026-03-10');
    expect(finish.get('roof-coat')).toBe('2026-03-12');
    expect(finish.get('damp-curing')).toBe('2026-03-13');
    expect(finish.get('outside-paint')).toBe('2026-03-27');
    expect(finish.get('handover')).toBe('2026-03-29');
    const weights = stageWeights(template, {
      'ground-and-slab': { amount: '1.00', currency: 'EUR' },
      frame: { amount: '2.00', currency: 'EUR' },
    });
    expect(completeRatio(projectStages(template, facts), weights)).toBe('1');
  });
});

describe('share done', () => {
  it('weighs stages by their cost in the estimate of the tank', () => {
    const bill = takeoffTank(
      {
        insideDiameterM: 1.9,
        waterDepthM: 1.8,
        wallThicknessM: 0.055,
        bands: { widthMm: 25, thicknessMm: 2, count: 4 },
        dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
        slab: { diameterM: 2.31, thicknessM: 0.1 },
      },
      BAMBOO_BAND_MORTAR_RECIPE,
    );
    const rates = materialTotals(bill).map(({ materialCode, unitCode }) => ({
      materialCode,
      unitCode,
      unitRate: '2',
      currency: 'EUR',
      validFrom: '2026-01-01',
    }));
    const { byStage } = estimateCost(bill, rates, '2026-02-01', 'EUR');
    const weights = stageWeights(template, byStage);
    const done = completeRatio(projectStages(template, uptoFrame()), weights);
    const micro = (text: string | undefined): number => Math.round(Number(text) * 1e6);
    expect(micro(done)).toBe(
      micro(weights['ground-and-slab']) + micro(weights['bamboo-preparation']),
    );
  });

  it('thirds add up to 1', () => {
    const three = template.slice(0, 3);
    const cost = { amount: '10.00', currency: 'EUR' };
    const weights = stageWeights(three, {
      'ground-and-slab': cost,
      'bamboo-preparation': cost,
      frame: cost,
    });
    expect(Object.values(weights)).toEqual(['0.333334', '0.333333', '0.333333']);
  });

  it.each([
    ['costByStage', { moat: { amount: '1.00', currency: 'EUR' } }],
    [
      'costByStage',
      {
        frame: { amount: '1.00', currency: 'EUR' },
        openings: { amount: '1', currency: 'UGX' },
      },
    ],
    ['weights', {}],
  ])('refuses a wrong %s', (parameter, costs) => {
    expect(() => stageWeights(template, costs)).toThrow(new RegExp(`^${parameter} `));
  });

  it('refuses weights that do not add up to 1', () => {
    const projection = projectStages(template, []);
    expect(() => completeRatio(projection, { frame: '0.9' })).toThrow(/^weightByStage /);
  });
});
