import { describe, expect, it } from 'vitest';
import {
  BAMBOO_BAND_MORTAR_STAGES,
  completeRatio,
  type NonconformityDecision,
  projectStages,
  refuseFact,
  refuseLateFact,
  type StageFact,
} from '../../../shared/index.ts';

// Decisions about work that did not pass: rework, concession, rejection (the three ways of ISO
// 9001:2015 clause 8.7 [memory]); who takes them is common practice.

/** Three stages of the tank in a row: the frame is held by the inspector, the grid as well. */
const template = BAMBOO_BAND_MORTAR_STAGES.filter(({ code }) =>
  ['frame', 'wall-boards', 'roof-grid'].includes(code),
).map((stage) => (stage.code === 'frame' ? { ...stage, after: [] } : stage));
const checksOf = (stageCode: string) =>
  template.find(({ code }) => code === stageCode)?.checks ?? [];

let serial = 0;
const base = (stageCode: string, day: number) => {
  serial += 1;
  const factId = `fact-${String(serial).padStart(5, '0')}`;
  return { factId, stageCode, observedOn: `2026-03-${String(day).padStart(2, '0')}` };
};
const say = (
  kind: 'started' | 'finished' | 'hold-released',
  day: number,
  stageCode = 'frame',
): StageFact => ({ ...base(stageCode, day), kind });
const refused = (day: number, stageCode = 'frame'): StageFact => ({
  ...base(stageCode, day),
  kind: 'hold-refused',
  reason: 'out of plumb',
});
const read = (checkCode: string, measuredValue: number, day: number, stageCode = 'frame') =>
  ({
    ...base(stageCode, day),
    kind: 'check-recorded',
    checkCode,
    measuredValue,
  }) satisfies StageFact;
const readAll = (day: number, stageCode = 'frame'): StageFact[] =>
  checksOf(stageCode).map((check) =>
    read(check.code, check.nominal ?? check.minimum ?? check.maximum ?? 0, day, stageCode),
  );
const decided = (
  about: StageFact,
  decision: NonconformityDecision,
  day: number,
  stageCode = about.stageCode,
): StageFact => ({
  ...base(stageCode, day),
  kind: 'nonconformity-decided',
  decidesFactId: about.factId,
  decision,
  reason: 'seen on site',
  cause: 'drilled by eye',
  dueOn: '2026-03-20',
});
const worked = (day: number, stageCode = 'frame'): StageFact => ({
  ...base(stageCode, day),
  kind: 'work-recorded',
  crewId: 'crew',
  peopleCount: 4,
  personHours: '28',
  quantities: [],
});

const BAD = 'band-out-of-level';
const toFinish = [say('started', 1), worked(1), say('finished', 2), ...readAll(2)];
const bad = read(BAD, 25, 2);
const failed = [...toFinish, bad];
const boardsUp = [
  say('hold-released', 2),
  say('started', 3, 'wall-boards'),
  say('finished', 4, 'wall-boards'),
];

const status = (facts: readonly StageFact[], stageCode = 'frame') =>
  projectStages(template, facts).stages.find((stage) => stage.stageCode === stageCode)?.status;
const entries = (facts: readonly StageFact[]) => {
  const { nonConformities, closedNonConformities } = projectStages(template, facts);
  return [...nonConformities, ...closedNonConformities].map(
    ({ kind, state, decision }) => `${kind} ${state} ${decision?.decision ?? '-'}`,
  );
};
const rule = (facts: readonly StageFact[], fact: StageFact, roles: readonly string[] = []) =>
  refuseFact(template, facts, fact, roles)?.rule ?? null;
const boards = (day: number) => say('started', day, 'wall-boards');

describe('work that is recorded', () => {
  it('moves no status, and is refused before the stage has started', () => {
    const { stages } = projectStages(template, toFinish);
    const without = toFinish.filter(({ kind }) => kind !== 'work-recorded');
    expect(stages).toEqual(projectStages(template, without).stages);
    expect(rule(toFinish, worked(3))).toBeNull();
    expect(rule([], worked(1))).toBe('work-before-start');
    expect(refuseLateFact(template, [], worked(1), [])).toBeNull();
    expect(entries([worked(1), say('started', 2)])).toEqual(['recorded-before-start open -']);
    expect(entries([worked(1), say('started', 1)])).toEqual([]);
  });
});

describe('rework', () => {
  const decision = decided(bad, 'rework', 3);
  const inRework = [...failed, decision];

  it('takes what was recorded before it out of account, and the stage out of the share done', () => {
    expect(status(failed)).toBe('nonconforming');
    expect(status(inRework)).toBe('in-rework');
    const { stages, openHolds } = projectStages(template, inRework);
    expect(stages[0]).toMatchObject({ startedOn: '2026-03-01', finishedOn: null, readings: [] });
    expect(openHolds).toEqual([]);
    const weights = { frame: '1' };
    expect(completeRatio(projectStages(template, inRework), weights)).toBe('0');
    expect(entries(inRework)).toEqual(['check-failed in-rework rework']);
  });

  it('is over when the stage is finished, checked and released again, and not before', () => {
    const again = [...inRework, say('finished', 4)];
    expect(status(again)).toBe('in-rework');
    expect(projectStages(template, again).openHolds).toEqual(['frame']);
    expect(rule(again, say('hold-released', 4), ['inspector'])).toBe('check-missing');
    const checked = [...again, ...readAll(4)];
    expect(status(checked)).toBe('in-rework');
    expect(rule(checked, say('hold-released', 4), ['inspector'])).toBeNull();
    const done = [...checked, say('hold-released', 4)];
    expect(status(done)).toBe('accepted');
    expect(entries(done)).toEqual(['check-failed closed rework']);
  });

  it('takes a new start or goes on with the old one', () => {
    expect(rule(inRework, say('started', 4))).toBeNull();
    expect(rule(inRework, say('finished', 4))).toBeNull();
    const restarted = [...inRework, say('started', 4)];
    expect(rule(restarted, say('started', 5))).toBe('already-started');
    expect(projectStages(template, restarted).stages[0]?.startedOn).toBe('2026-03-01');
  });

  it('keeps what follows from starting, and shows why', () => {
    expect(rule(inRework, boards(4))).toBe('in-rework');
    const { stages } = projectStages(template, inRework);
    expect(stages[1]?.obstacles).toEqual([
      {
        rule: 'in-rework',
        stageCode: 'frame',
        detail: 'frame is in rework since 2026-03-03',
      },
    ]);
  });

  it('of a stage that others stand on leaves those as they are and holds the next', () => {
    const late = read(BAD, 25, 5);
    const facts = [...toFinish, ...boardsUp, late];
    expect(rule(facts, say('started', 6, 'roof-grid'))).toBe('check-failed');
    const decidedLate = [...facts, decided(late, 'rework', 6)];
    expect(status(decidedLate)).toBe('in-rework');
    expect(status(decidedLate, 'wall-boards')).toBe('accepted');
    expect(rule(decidedLate, say('started', 7, 'roof-grid'))).toBe('in-rework');
  });

  it('of a stage without a hold asks for every check again that was read before', () => {
    const open = [...toFinish, say('hold-released', 2), ...boardsUp.slice(1)];
    const [first, ...others] = checksOf('wall-boards');
    const crack = read(first?.code ?? '', 0, 4, 'wall-boards');
    const facts = [...open, ...readAll(4, 'wall-boards'), crack];
    const reworked = [
      ...facts,
      decided(crack, 'rework', 5),
      say('finished', 6, 'wall-boards'),
      read(first?.code ?? '', 1, 6, 'wall-boards'),
    ];
    expect(others.length).toBeGreaterThan(0);
    expect(status(reworked, 'wall-boards')).toBe('in-rework');
    expect(status([...reworked, ...readAll(6, 'wall-boards')], 'wall-boards')).toBe('accepted');
  });

  it('stays closed when the accepted stage fails again, for which a new one is opened', () => {
    const done = [...inRework, say('finished', 4), ...readAll(4), say('hold-released', 4)];
    const second = read(BAD, 30, 6);
    expect(entries([...done, second])).toEqual([
      'check-failed open -',
      'check-failed closed rework',
    ]);
    expect(status([...done, second])).toBe('nonconforming');
    const twice = [...done, second, decided(second, 'rework', 7)];
    expect(entries(twice)).toEqual([
      'check-failed in-rework rework',
      'check-failed in-rework rework',
    ]);
  });

  it('opens a non-conformity of its own when the new reading fails, and stays in rework', () => {
    const facts = [...inRework, say('finished', 4), read(BAD, 14, 4)];
    expect(status(facts)).toBe('in-rework');
    expect(entries(facts)).toEqual(['check-failed in-rework rework', 'check-failed open -']);
  });

  it('takes along what stood open before it, and lets rest what was closed before', () => {
    const other = read('frame-out-of-plumb', 40, 2);
    const mended = read('frame-out-of-plumb', 4, 2);
    expect(entries([...failed, other, decided(bad, 'rework', 3)])).toEqual([
      'check-failed in-rework rework',
      'check-failed in-rework -',
    ]);
    expect(entries([...failed, other, mended, decided(bad, 'rework', 3)])).toEqual([
      'check-failed in-rework rework',
      'check-failed closed -',
    ]);
  });

  it('that is dated before the record it is about takes hold with that record', () => {
    const toFinishAgain = [say('started', 1), say('finished', 2)];
    const late = read(BAD, 25, 2);
    const facts = [...toFinishAgain, late, decided(late, 'rework', 1)];
    expect(status(facts)).toBe('in-rework');
    expect(projectStages(template, facts).stages[0]?.finishedOn).toBeNull();
  });
});

describe('a concession', () => {
  const granted = [...failed, decided(bad, 'concession', 3)];

  it('lets the reading count until a newer one of that check', () => {
    const reading = projectStages(template, granted).stages[0]?.readings.find(
      ({ checkCode }) => checkCode === BAD,
    );
    expect(reading).toMatchObject({
      measuredValue: 25,
      isWithinLimits: false,
      acceptedByConcession: true,
    });
    expect(status(granted)).toBe('awaiting-release');
    expect(entries(granted)).toEqual(['check-failed closed concession']);
    expect(rule(granted, say('hold-released', 3), ['inspector'])).toBeNull();
    const released = [...granted, say('hold-released', 3)];
    expect(status(released)).toBe('accepted');
    expect(rule(released, boards(4))).toBeNull();
    const worse = [...released, read(BAD, 40, 5)];
    expect(status(worse)).toBe('nonconforming');
    expect(rule(worse, boards(6))).toBe('check-failed');
  });

  it('on a refused hold lifts the refusal and leaves the release to its role', () => {
    const no = refused(3);
    const facts = [...toFinish, no, decided(no, 'concession', 4)];
    expect(status([...toFinish, no])).toBe('nonconforming');
    expect(status(facts)).toBe('awaiting-release');
    expect(projectStages(template, facts).openHolds).toEqual(['frame']);
    expect(rule(facts, boards(5))).toBe('hold-open');
    expect(rule(facts, say('hold-released', 5), ['engineer'])).toBe('released-by-wrong-role');
    expect(rule(facts, say('hold-released', 5), ['inspector'])).toBeNull();
    expect(entries(facts)).toEqual(['hold-refused closed concession']);
  });

  it('after a rework that was decided first brings back what had been recorded', () => {
    const facts = [...failed, decided(bad, 'rework', 3), decided(bad, 'concession', 4)];
    expect(status(facts)).toBe('awaiting-release');
  });
});

describe('a rejection', () => {
  const rejected = [...failed, decided(bad, 'reject', 3)];

  it('holds whatever is recorded after it, until a later decision', () => {
    const better = [...rejected, ...readAll(4)];
    expect(status(better)).toBe('nonconforming');
    expect(entries(better)).toEqual(['check-failed open reject']);
    expect(rule(better, say('hold-released', 4), ['inspector'])).toBe('stage-rejected');
    expect(rule(better, say('finished', 4))).toBe('stage-rejected');
    expect(rule(better, boards(4))).toBe('stage-rejected');
    const lifted = [...better, decided(bad, 'rework', 5)];
    expect(status(lifted)).toBe('in-rework');
    expect(entries(lifted)).toEqual(['check-failed in-rework rework']);
    expect(status([...better, decided(bad, 'concession', 5)])).toBe('awaiting-release');
  });

  it('is lifted by a later rework of the stage for another reason', () => {
    const other = read('frame-out-of-plumb', 40, 3);
    const facts = [...rejected, other, decided(other, 'rework', 4)];
    expect(status(facts)).toBe('in-rework');
    const andAgain = [...facts, decided(bad, 'reject', 5)];
    expect(status(andAgain)).toBe('nonconforming');
    expect(rule(andAgain, say('started', 6))).toBe('stage-rejected');
  });
});

describe('who decides', () => {
  const no = refused(3);
  const about = [...failed, no];
  it.each([
    [bad, 'concession', 'engineer', null],
    [bad, 'concession', 'inspector', 'decided-by-wrong-role'],
    [bad, 'concession', 'coordinator', 'decided-by-wrong-role'],
    [bad, 'rework', 'engineer', null],
    [bad, 'rework', 'inspector', null],
    [bad, 'reject', 'coordinator', null],
    [bad, 'rework', 'supervisor', 'decided-by-wrong-role'],
    [no, 'reject', 'inspector', null],
    [no, 'rework', 'storekeeper', 'decided-by-wrong-role'],
  ] as const)('%# %s %s', (record, decision, role, expected) => {
    expect(rule(about, decided(record, decision, 4), [role])).toBe(expected);
    expect(
      refuseLateFact(template, about, decided(record, decision, 4), [role])?.rule ?? null,
    ).toBe(expected);
  });

  it('of a refused hold is also the role that releases it, once the refusal is there', () => {
    const bySupervisor = template.map((stage) =>
      stage.code === 'frame' ? { ...stage, releasedBy: 'supervisor' as const } : stage,
    );
    const decision = decided(no, 'rework', 4);
    const judged = (facts: readonly StageFact[], fact: StageFact) =>
      refuseLateFact(bySupervisor, facts, fact, ['supervisor'])?.rule ?? null;
    expect(judged(about, decision)).toBeNull();
    expect(judged(failed, decision)).toBe('decided-by-wrong-role');
    expect(judged(about, decided(no, 'concession', 4))).toBe('decided-by-wrong-role');
    expect(refuseFact(template, about, decided(no, 'concession', 4), ['supervisor'])).toMatchObject(
      {
        requiredRole: 'engineer',
      },
    );
  });
});

describe('what there is to decide about', () => {
  it('is a record of that stage that did not pass and is not closed', () => {
    const judged = (facts: readonly StageFact[], fact: StageFact) =>
      rule(facts, fact, ['engineer']);
    expect(judged(toFinish, decided(bad, 'rework', 3))).toBe('decides-unknown-record');
    expect(judged(failed, decided(bad, 'rework', 1))).toBe('decides-unknown-record');
    expect(judged(failed, decided(bad, 'rework', 3, 'wall-boards'))).toBe('decides-unknown-record');
    const good = toFinish.at(-1) as StageFact;
    expect(judged(toFinish, decided(good, 'rework', 3))).toBe('nothing-to-decide');
    const mended = [...failed, read(BAD, 4, 3)];
    expect(judged(mended, decided(bad, 'rework', 4))).toBe('nothing-to-decide');
  });

  it('is also work that went against a rule, but not a release that did', () => {
    const ahead = boards(3);
    const soon = say('hold-released', 1);
    const facts = [...toFinish, soon, ahead];
    expect(entries(facts)).toEqual([
      'released-against-a-rule open -',
      'started-against-a-rule open -',
    ]);
    expect(rule(facts, decided(soon, 'concession', 4), ['engineer'])).toBe('nothing-to-decide');
    const concession = decided(ahead, 'concession', 4);
    expect(rule(facts, concession, ['engineer'])).toBeNull();
    expect(entries([...facts, concession, say('hold-released', 5)])).toEqual([
      'released-against-a-rule closed -',
      'started-against-a-rule closed concession',
    ]);
    const rework = [...facts, decided(ahead, 'rework', 4)];
    expect(status(rework, 'wall-boards')).toBe('in-rework');
  });

  it('may arrive after the decision, which waits for it', () => {
    const decision = decided(bad, 'rework', 3);
    expect(refuseLateFact(template, toFinish, decision, ['inspector'])).toBeNull();
    const waiting = [...toFinish, decision];
    expect(entries(waiting)).toEqual(['decided-without-ground open -']);
    expect(status(waiting)).toBe('awaiting-release');
    expect(entries([...waiting, bad])).toEqual(['check-failed in-rework rework']);
    const good = toFinish.at(-1) as StageFact;
    const pointless = decided(good, 'rework', 3);
    expect(refuseLateFact(template, toFinish, pointless, ['inspector'])).toBeNull();
    expect(projectStages(template, [...toFinish, pointless]).nonConformities).toMatchObject([
      { kind: 'decided-without-ground', detail: `record ${good.factId} of frame did pass` },
    ]);
    expect(rule([...toFinish, pointless], decided(pointless, 'rework', 4), ['engineer'])).toBe(
      'nothing-to-decide',
    );
  });
});

describe('facts that come late', () => {
  it.each([
    ['released-by-wrong-role', say('hold-released', 3), ['supervisor']],
    ['no-hold-point', say('hold-released', 3, 'wall-boards'), ['inspector']],
    ['unknown-stage', say('started', 3, 'moat'), []],
    ['unknown-check', read('colour', 1, 3), []],
  ] as const)('are refused for good by %s', (expected, fact, roles) => {
    expect(refuseLateFact(template, failed, fact, roles)?.rule).toBe(expected);
  });

  it('are refused when they are there already', () => {
    expect(refuseLateFact(template, failed, bad, [])?.rule).toBe('duplicate-fact');
  });

  it.each([
    ['stage-out-of-order', boards(1), []],
    ['already-started', say('started', 3), []],
    ['finished-before-started', say('finished', 3, 'wall-boards'), []],
    ['check-before-start', read('posts-removed', 1, 3, 'wall-boards'), []],
    ['check-failed', say('hold-released', 3), ['inspector']],
    ['hold-before-finish', say('hold-released', 1), ['inspector']],
    ['hold-before-finish', refused(1), ['inspector']],
  ] as const)(
    'are taken where a person at the screen is refused by %s',
    (expected, fact, roles) => {
      expect(rule(failed, fact, roles)).toBe(expected);
      expect(refuseLateFact(template, failed, fact, roles)).toBeNull();
    },
  );
});
