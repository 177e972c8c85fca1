import { describe, expect, it } from 'vitest';
import {
  BAMBOO_BAND_MORTAR_STAGES,
  isWithinLimits,
  orderedFacts,
  type StageCheck,
  type StageFact,
  stageHistories,
  stageStates,
  stagesBefore,
  startObstacles,
} from '../../../shared/index.ts';

const template = BAMBOO_BAND_MORTAR_STAGES;

const fact = (factId: string, observedOn: string, stageCode = 'frame'): StageFact => ({
  factId,
  observedOn,
  stageCode,
  kind: 'started',
});

describe('the order of facts', () => {
  it('is that of the days on which things were seen, and of ids within a day', () => {
    const facts = [fact('c', '2026-03-02'), fact('b', '2026-03-01'), fact('a', '2026-03-02')];
    expect(orderedFacts(facts).map(({ factId }) => factId)).toEqual(['b', 'a', 'c']);
    expect(facts.map(({ factId }) => factId)).toEqual(['c', 'b', 'a']);
  });

  it('counts a fact that arrives twice once, and refuses one id for two facts', () => {
    expect(orderedFacts([fact('a', '2026-03-02'), fact('a', '2026-03-02')])).toHaveLength(1);
    expect(() => orderedFacts([fact('a', '2026-03-02'), fact('a', '2026-03-03')])).toThrow(
      expect.objectContaining({ code: 'inconsistent', parameter: 'factId', value: 'a' }),
    );
  });
});

describe('the limits of a check', () => {
  const check: StageCheck = { code: 'c', title: 'C', unit: 'mm', isCommonPractice: true };

  it.each([
    [{}, -1e9, true],
    [{ minimum: 2 }, 2, true],
    [{ minimum: 2 }, 1.999, false],
    [{ maximum: 3 }, 3, true],
    [{ maximum: 3 }, 3.001, false],
    [{ minimum: 2, maximum: 3 }, 2.5, true],
    [{ minimum: 1, maximum: 1 }, 0, false],
  ])('%j and a reading of %d: %s', (limits, reading, expected) => {
    expect(isWithinLimits({ ...check, ...limits }, reading)).toBe(expected);
  });
});

describe('the stages before a stage', () => {
  it('are all that it follows, and what those follow', () => {
    const codes = (stageCode: string) => stagesBefore(template, stageCode).map(({ code }) => code);
    expect(codes('ground-and-slab')).toEqual([]);
    expect(codes('bamboo-preparation')).toEqual([]);
    expect(codes('wall-boards')).toEqual(['ground-and-slab', 'bamboo-preparation', 'frame']);
    expect(codes('handover')).toEqual(template.map(({ code }) => code).slice(0, -1));
    expect(codes('no-such-stage')).toEqual([]);
  });
});

describe('the state of the stages', () => {
  const facts: StageFact[] = [
    { factId: '1', stageCode: 'frame', observedOn: '2026-03-01', kind: 'started' },
    {
      factId: '2',
      stageCode: 'frame',
      observedOn: '2026-03-03',
      kind: 'hold-refused',
      reason: 'a band is loose',
    },
    { factId: '3', stageCode: 'frame', observedOn: '2026-03-04', kind: 'finished' },
    { factId: '4', stageCode: 'elsewhere', observedOn: '2026-03-04', kind: 'finished' },
  ];

  it('is read from the facts of each stage alone', () => {
    const states = stageStates(template, facts);
    expect([...states.keys()]).toEqual(template.map(({ code }) => code));
    expect(states.get('frame')).toMatchObject({
      startedOn: '2026-03-01',
      finishedOn: '2026-03-04',
      releasedOn: null,
      refusedOn: '2026-03-03',
      refusalReason: 'a band is loose',
    });
    expect(states.get('wall-boards')).toMatchObject({ startedOn: null, finishedOn: null });
  });

  const alone = template
    .filter(({ code }) => code === 'frame')
    .map((stage) => ({ ...stage, after: [] }));
  const codes = alone[0]?.checks.map(({ code }) => code) ?? [];
  const reading = (
    factId: string,
    observedOn: string,
    measuredValue: number,
    checkCode = codes[0] ?? '',
  ): StageFact => ({
    factId,
    stageCode: 'frame',
    observedOn,
    kind: 'check-recorded',
    checkCode,
    measuredValue,
  });
  const release = (factId: string, observedOn: string): StageFact => ({
    factId,
    stageCode: 'frame',
    observedOn,
    kind: 'hold-released',
  });

  it('forgets a refusal when the hold is released, and keeps the last reading of a check', () => {
    const others = codes.slice(1).map((code, n) => reading(`6${n}`, '2026-03-06', 1, code));
    const more = [
      ...facts,
      reading('5', '2026-03-05', 1e6),
      reading('6', '2026-03-06', 1),
      ...others,
      release('7', '2026-03-07'),
    ];
    const state = stageStates(alone, more).get('frame');
    expect(state).toMatchObject({ releasedOn: '2026-03-07', refusedOn: null, refusalReason: null });
    expect(state?.readings[0]).toMatchObject({ measuredValue: 1, observedOn: '2026-03-06' });
  });

  it('does not count a release that was given before all checks were read and kept', () => {
    const unread = [...facts, release('7', '2026-03-07')];
    const late = codes.map((code, n) => reading(`8${n}`, '2026-03-08', 1, code));
    for (const list of [unread, [...unread, ...late]]) {
      expect(stageStates(alone, list).get('frame')).toMatchObject({
        releasedOn: null,
        refusedOn: '2026-03-03',
      });
    }
    const again = [...unread, ...late, release('9', '2026-03-08')];
    expect(stageStates(alone, again).get('frame')?.releasedOn).toBe('2026-03-08');
  });

  it('is known after each of its facts, with the rules that they broke when they were seen', () => {
    const list = [...facts, release('7', '2026-03-07')];
    const history = stageHistories(alone, list).get('frame');
    expect(history?.facts.map(({ factId }) => factId)).toEqual(['1', '2', '3', '7']);
    const after = [0, 1, 2, 3, 4].map((count) => {
      const { startedOn, refusedOn, finishedOn } = history?.stateAfter(count) ?? {};
      return [startedOn, refusedOn, finishedOn].map((day) => day?.slice(8) ?? null);
    });
    expect(after).toEqual([
      [null, null, null],
      ['01', null, null],
      ['01', '03', null],
      ['01', '03', '04'],
      ['01', '03', '04'],
    ]);
    expect(history?.stateAfter(4)).toEqual(history?.state);
    expect([...(history?.brokenBy.keys() ?? [])]).toEqual(['7']);
    expect(history?.brokenBy.get('7')?.map(({ rule }) => rule)).toEqual(
      codes.map(() => 'check-missing'),
    );
  });

  it('orders the facts of a day by the clock of the device, then by id', () => {
    const at = (factId: string, recordedAtMs: number | undefined, measuredValue: number) => ({
      ...reading(factId, '2026-03-05', measuredValue),
      recordedAtMs,
    });
    const day = [at('a', 3_000, 3), at('b', 2_000, 2), at('c', undefined, 1), at('d', 3_000, 4)];
    expect(orderedFacts(day).map(({ factId }) => factId)).toEqual(['c', 'b', 'a', 'd']);
    const state = stageStates(alone, orderedFacts([...facts, ...day])).get('frame');
    expect(state?.readings).toMatchObject([{ measuredValue: 4 }]);
  });
});

describe('what keeps a stage from starting', () => {
  const two = template.filter(({ code }) => ['cement-wash', 'damp-curing'].includes(code));
  const [wash, curing] = two;
  const short = [
    { ...wash, after: [], holdPoint: 'hold', releasedBy: 'engineer' },
    { ...curing, after: ['cement-wash'] },
    { ...curing, code: 'paint', after: ['damp-curing'] },
  ] as unknown as typeof template;
  const finished = (stageCode: string, observedOn: string): StageFact => ({
    factId: `${stageCode} ${observedOn}`,
    stageCode,
    observedOn,
    kind: 'finished',
  });
  const rules = (facts: readonly StageFact[], onDate: string | null) =>
    startObstacles(short, 'paint', stageStates(short, facts), onDate).map(
      ({ rule, stageCode, earliestOn }) => [rule, stageCode, earliestOn ?? null],
    );

  it('is every stage before it that is not finished, held or still waiting', () => {
    expect(rules([], '2026-04-01')).toEqual([
      ['stage-out-of-order', 'cement-wash', null],
      ['stage-out-of-order', 'damp-curing', null],
    ]);
    const both = [finished('cement-wash', '2026-03-01'), finished('damp-curing', '2026-03-10')];
    // 14 days of curing after 10 March
    expect(curing?.minimumWaitDays).toBe(14);
    expect(rules(both, '2026-03-23')).toEqual([
      ['hold-open', 'cement-wash', null],
      ['wait-not-over', 'damp-curing', '2026-03-24'],
    ]);
    const released: StageFact = {
      factId: 'r',
      stageCode: 'cement-wash',
      observedOn: '2026-03-02',
      kind: 'hold-released',
    };
    expect(rules([...both, released], null)).toEqual([['hold-open', 'cement-wash', null]]);
    const read = (wash?.checks ?? []).map(
      (check): StageFact => ({
        factId: `read ${check.code}`,
        stageCode: 'cement-wash',
        observedOn: '2026-03-01',
        kind: 'check-recorded',
        checkCode: check.code,
        measuredValue: check.nominal ?? check.minimum ?? check.maximum ?? 0,
      }),
    );
    expect(rules([...both, ...read, released], '2026-03-24')).toEqual([]);
    expect(rules([...both, ...read, released], null)).toEqual([]);
  });
});
