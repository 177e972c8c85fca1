import { beforeAll, describe, expect, it, vi } from 'vitest';
import {
  BAMBOO_BAND_MORTAR_STAGES,
  orderedFacts,
  projectStages,
  refuseFact,
  refuseLateFact,
  type StageFact,
  type StageProjection,
  stagesForTank,
} from '../../shared/index.ts';
import { FATES, type Fate, factOfWeek, fieldWeek, jumbled } from '../support/field-week.ts';

// A thousand projections of a week take a while on a busy machine.
vi.setConfig({ testTimeout: 300_000 });

const BUILDS = 24;
const template = stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: 1.8 });
const week = fieldWeek(template, {
  buildCount: BUILDS,
  mondayOn: '2026-06-01',
  crewIds: ['crew-1', 'crew-2', 'crew-3', 'crew-4', 'crew-5'],
  materialId: 'cement',
});
const roleOf = new Map(week.map(({ record, by }) => [record.id, by]));

interface Arrived {
  readonly buildIndex: number;
  readonly fact: StageFact;
}
const arrivals: Arrived[] = week.map((entry) => ({
  buildIndex: entry.buildIndex,
  fact: factOfWeek(entry),
}));

const byBuild = (list: readonly Arrived[]): StageFact[][] => {
  const builds: StageFact[][] = Array.from({ length: BUILDS }, () => []);
  for (const { buildIndex, fact } of list) builds[buildIndex]?.push(fact);
  return builds;
};
const project = (list: readonly Arrived[]): StageProjection[] =>
  byBuild(list).map((facts) => projectStages(template, facts));

let once: StageProjection[];
beforeAll(() => {
  once = project(arrivals);
});

describe('a week of five crews', () => {
  it('is of a size that means something', () => {
    const kinds = new Set(week.map(({ record }) => record.kind));
    expect(week.length).toBeGreaterThanOrEqual(200);
    expect(kinds).toEqual(
      new Set([
        'started',
        'finished',
        'check-recorded',
        'hold-released',
        'hold-refused',
        'work-recorded',
        'nonconformity-decided',
      ]),
    );
    expect(new Set(week.flatMap(({ record }) => record.crewId ?? [])).size).toBe(5);
  });

  // Worked out by hand from what happens on a build of each fate.
  const expected: Record<Fate, [status: string, boards: string, states: string[]]> = {
    'goes-well': ['accepted', 'accepted', []],
    'check-mended': ['accepted', 'accepted', ['check-failed closed']],
    'rework-done': ['accepted', 'accepted', ['check-failed closed']],
    'rework-under-way': ['in-rework', 'not-started', ['check-failed in-rework']],
    'hold-refused-and-redone': ['accepted', 'accepted', ['hold-refused closed']],
    conceded: ['accepted', 'accepted', ['check-failed closed']],
    rejected: ['nonconforming', 'not-started', ['check-failed open']],
    'runs-ahead': ['accepted', 'accepted', ['started-against-a-rule open']],
  };
  it.each(FATES.map((fate, index) => [fate, index] as const))('%s', (fate, index) => {
    const projection = once[index];
    const status = (code: string) =>
      projection?.stages.find(({ stageCode }) => stageCode === code)?.status;
    const all = [
      ...(projection?.nonConformities ?? []),
      ...(projection?.closedNonConformities ?? []),
    ];
    expect([
      status('frame'),
      status('wall-boards'),
      all.map(({ kind, state }) => `${kind} ${state}`),
    ]).toEqual(expected[fate]);
  });

  it('says the same in a thousand orders of arrival, with some of it twice', () => {
    const before = JSON.stringify(once);
    for (let seed = 1; seed <= 1_000; seed += 1) {
      const said = JSON.stringify(project(jumbled(arrivals, seed)));
      if (said !== before) expect.unreachable(`seed ${seed} says something else`);
    }
  });

  it('loses nothing that arrives in any order, and refuses nothing in the order of the week', () => {
    for (let seed = 1; seed <= 25; seed += 1) {
      const known = new Map<number, StageFact[]>();
      for (const { buildIndex, fact } of jumbled(arrivals, seed)) {
        const soFar = known.get(buildIndex) ?? [];
        if (soFar.some(({ factId }) => factId === fact.factId)) continue;
        const role = roleOf.get(fact.factId) ?? '';
        expect(refuseLateFact(template, soFar, fact, [role])).toBeNull();
        known.set(buildIndex, [...soFar, fact]);
      }
      expect([...known.values()].flat()).toHaveLength(arrivals.length);
    }
    const outOfOrder = new Set<string>();
    byBuild(arrivals).forEach((facts, index) => {
      const soFar: StageFact[] = [];
      for (const fact of orderedFacts(facts)) {
        const broken = refuseFact(template, soFar, fact, [roleOf.get(fact.factId) ?? '']);
        if (broken !== null) outOfOrder.add(`${FATES[index % FATES.length]} ${broken.rule}`);
        soFar.push(fact);
      }
    });
    // only the boards that went up before the frame was released
    expect([...outOfOrder]).toEqual(['runs-ahead hold-open']);
  });

  it('shows each fact that has overtaken another until the other arrives', () => {
    const facts = byBuild(arrivals)[0] ?? [];
    const without = (kind: StageFact['kind'], stageCode: string) =>
      projectStages(
        template,
        facts.filter((fact) => fact.kind !== kind || fact.stageCode !== stageCode),
      ).nonConformities.map((entry) => `${entry.kind} ${entry.stageCode}`);
    expect(without('finished', 'bamboo-preparation')).toEqual([
      'started-against-a-rule frame',
      'released-against-a-rule frame',
      'started-against-a-rule wall-boards',
    ]);
    expect(without('hold-released', 'frame')).toEqual(['started-against-a-rule wall-boards']);
    expect(new Set(without('started', 'wall-boards'))).toEqual(
      new Set(['recorded-before-start wall-boards', 'finished-before-started wall-boards']),
    );
    expect(without('finished', 'frame')).toEqual([
      'released-against-a-rule frame',
      'started-against-a-rule wall-boards',
    ]);
    expect(once[0]?.nonConformities).toEqual([]);
  });
});
