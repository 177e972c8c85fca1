import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CostSensitivityResult } from '../../shared/contract/calculation-cost-sensitivity.ts';
import type { CuttingPlanResult } from '../../shared/contract/calculation-cutting-plan.ts';
import type { SeasonPlanResult } from '../../shared/contract/calculation-season-plan.ts';
import type { StandardSizesResult } from '../../shared/contract/calculation-standard-sizes.ts';
import type { StorageReliabilityResult } from '../../shared/contract/calculation-storage-reliability.ts';
import {
  type TankProposalResult,
  tankProposalInput,
} from '../../shared/contract/calculation-tank-proposal.ts';
import type { TankCheck } from '../../shared/design/check-tank.ts';
import { checkSchedule } from '../../shared/scheduling/check-schedule.ts';
import { DomainError } from '../../src/domain/errors.ts';
import { withinLimit } from '../../src/modules/calculations/worker-limits.ts';
import cutting from '../published/costing/cutting-instances.json' with { type: 'json' };
import { noaaRainMm } from '../published/hydrology/noaa-rain.ts';
import reference from '../published/hydrology/storage-reference.json' with { type: 'json' };
import { proposal5000L, worked5000L } from '../support/calculation-bodies.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';
import { tankSeason } from '../support/tank-season.ts';

let service: TestService;
let person: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  person = await service.person(['donor']);
});
afterAll(() => service.close());

const ask = (name: string, body: unknown) =>
  service.http
    .post(`/v1/calculations/${name}`)
    .set(person.auth)
    .send(body as object);

async function answer<T>(name: string, body: unknown): Promise<T> {
  const response = await ask(name, body);
  expect(response.status, response.text.slice(0, 2_000)).toBe(200);
  expect(response.headers['cache-control']).toBe('no-store');
  return response.body as T;
}

/** Pointers and codes of a 422, each with its value and limit. */
async function refusal(name: string, body: unknown, code = 'invalid-content') {
  const problem = expectProblem(await ask(name, body), 422, code);
  return (problem.errors ?? []).map(({ pointer, rejectedValue, message }) => ({
    pointer,
    rejectedValue,
    message,
  }));
}

const seattle = {
  roofAreaM2: 50,
  runoffCoefficient: 0.8,
  dailyRainMm: noaaRainMm('seattle'),
  demandLPerDay: 100,
  capacitiesL: reference.capacitiesL,
  operatingRule: 'yield-after-spillage',
};

describe('calculations', () => {
  it('are for anybody signed in and for nobody else', async () => {
    const body = { ...seattle, dailyRainMm: [10] };
    const anonymous = await service.http.post('/v1/calculations/storage-reliability').send(body);
    expectProblem(anonymous, 401, 'unauthenticated');
    await answer('storage-reliability', body);
    expectProblem(await ask('no-such-thing', {}), 404, 'not-found');
  });

  it('are ended at their limit of time, as unavailable and worth another try', async () => {
    const body = tankProposalInput.parse({
      ...proposal5000L,
      insideDiameterM: { from: 1, to: 4, step: 0.1 },
      wallThicknessM: { from: 0.03, to: 0.1, step: 0.005 },
    });
    const ended = await withinLimit('tank-proposal', body, 0.02).catch((error: unknown) => error);
    expect(ended).toBeInstanceOf(DomainError);
    expect(ended).toMatchObject({
      code: 'unavailable',
      details: { detail: expect.stringContaining('its limit of 0.02 s') },
    });
  });

  it('refuse text that holds NUL, wherever it stands beside numbers', async () => {
    const stock = [{ id: 'bar', lengthMm: 6_000 }];
    const pieces = [{ id: 'a\0b', lengthMm: 1_000, count: 1 }];
    expect(await refusal('cutting-plan', { stock, pieces })).toEqual([
      expect.objectContaining({ pointer: '/pieces/0/id' }),
    ]);
    const mixed = { ...seattle, dailyRainMm: [1, 'a\0b', 2] };
    const pointers = (await refusal('storage-reliability', mixed)).map(({ pointer }) => pointer);
    expect(pointers).toEqual(['/dailyRainMm/1']);
  });

  it('answer the same again under one Idempotency-Key, and keep no record of it', async () => {
    const body = { ...seattle, dailyRainMm: [10, 0, 4] };
    const answers: unknown[] = [];
    for (let attempt = 0; attempt < 2; attempt += 1) {
      const response = await ask('storage-reliability', body).set(
        'idempotency-key',
        'the-same-key',
      );
      expect(response.status).toBe(200);
      expect(response.headers['idempotency-replayed']).toBeUndefined();
      answers.push(response.body);
    }
    expect(answers[1]).toEqual(answers[0]);
    const counts = await service.as(person, (tx) =>
      tx.sql<{ keys: number; entries: number }>(
        `select (select count(*) from idempotency_key)::int as keys,
                (select count(*) from audit_entry)::int as entries`,
      ),
    );
    expect(counts).toEqual([{ keys: 0, entries: 0 }]);
  });
});

// reference.fullTable: exact rational arithmetic apart from the engine, over NOAA daily rain
describe('POST /v1/calculations/storage-reliability', () => {
  it.each(['yield-after-spillage', 'yield-before-spillage'] as const)(
    'gives the computed table under %s, digit for digit',
    async (operatingRule) => {
      const { columns } = reference.fullTable;
      const found = await answer<StorageReliabilityResult>('storage-reliability', {
        ...seattle,
        operatingRule,
      });
      found.results.forEach((result, tank) => {
        expect(result.capacityL).toBe(reference.capacitiesL[tank]);
        const figures = result as unknown as Record<string, number>;
        columns.forEach((column, at) => {
          const printed = reference.fullTable[operatingRule][tank]?.[at] ?? '';
          const decimals = printed.split('.')[1]?.length ?? 0;
          expect((figures[column] ?? Number.NaN).toFixed(decimals), column).toBe(printed);
        });
      });
      // sequent peak at 100 L a day, confirmed there by a linear programme
      expect(found.sequentPeak.onePassL).toBeCloseTo(12_188, 6);
      expect(found.sequentPeak.cyclicL).toBeCloseTo(12_188, 6);
      expect(found.cautions.map(({ id }) => id)).toEqual([
        'past-rain',
        'short-record',
        ...(operatingRule === 'yield-before-spillage' ? ['optimistic-rule'] : []),
      ]);
    },
  );

  it('gives the ten days worked by hand, and no cyclic storage when more is asked than comes', async () => {
    // S 500, D 100, V0 100: yields 750 L after spillage, 950 L before (worked by hand)
    const inflowMm = [0, 250, 0, 600, 0, 0, 0, 0, 50, 0];
    const hand = {
      roofAreaM2: 1,
      runoffCoefficient: 1,
      dailyRainMm: inflowMm,
      demandLPerDay: 100,
      capacitiesL: [500],
      initialVolumeL: 100,
    };
    for (const [operatingRule, totalYieldL, daysMetCount] of [
      ['yield-after-spillage', 750, 7],
      ['yield-before-spillage', 950, 9],
    ] as const) {
      const found = await answer<StorageReliabilityResult>('storage-reliability', {
        ...hand,
        operatingRule,
      });
      expect(found.results[0]).toMatchObject({ totalYieldL, daysMetCount });
      // ΣD 1000 L, ΣQ 900 L
      expect(found.sequentPeak.cyclicL).toBeNull();
    }
  });

  it('goes through a worker for many tanks over many days, with the same answer', async () => {
    const dailyRainMm = Array.from({ length: 8 }, () => seattle.dailyRainMm).flat();
    const capacitiesL = Array.from({ length: 100 }, (_, tank) => 500 + 100 * tank);
    const many = await answer<StorageReliabilityResult>('storage-reliability', {
      ...seattle,
      dailyRainMm,
      capacitiesL,
    });
    const few = await answer<StorageReliabilityResult>('storage-reliability', {
      ...seattle,
      dailyRainMm,
      capacitiesL: capacitiesL.slice(0, 3),
    });
    expect(many.results.slice(0, 3)).toEqual(few.results);
    expect(many.results).toHaveLength(100);
  });

  it('names the field, the value and the limit of what it refuses', async () => {
    expect(
      await refusal('storage-reliability', {
        ...seattle,
        dailyRainMm: [1, -2, 3],
        runoffCoefficient: 1.2,
        colour: 'blue',
      }),
    ).toEqual(
      expect.arrayContaining([
        expect.objectContaining({ pointer: '/dailyRainMm/1', rejectedValue: -2 }),
        {
          pointer: '/runoffCoefficient',
          rejectedValue: 1.2,
          message: expect.stringContaining('1'),
        },
        expect.objectContaining({ pointer: '/colour' }),
      ]),
    );
    expect(
      await refusal('storage-reliability', { ...seattle, initialVolumeL: 1_500 }, 'out-of-range'),
    ).toEqual([
      {
        pointer: '/initialVolumeL',
        rejectedValue: 1_500,
        message: 'must not exceed the capacity of 1000 L',
      },
    ]);
    const tooMany = { ...seattle, dailyRainMm: new Array(73_051).fill(0) };
    expect((await refusal('storage-reliability', tooMany))[0]?.pointer).toBe('/dailyRainMm');
    const infinite = JSON.stringify({ ...seattle, dailyRainMm: [1] }).replace(
      '"demandLPerDay":100',
      '"demandLPerDay":1e999',
    );
    const response = await service.http
      .post('/v1/calculations/storage-reliability')
      .set(person.auth)
      .set('content-type', 'application/json')
      .send(infinite);
    const problem = expectProblem(response, 422, 'invalid-content');
    expect(problem.errors?.[0]).toMatchObject({
      pointer: '/demandLPerDay',
      rejectedValue: 'Infinity',
    });
  });
});

// worked example of 5,000 litres: computed by a script apart from the engine
describe('POST /v1/calculations/tank-check', () => {
  it('fails even bands at 132.1 MPa and passes equal loads at 75.49 MPa', async () => {
    const stresses = async (spacing: 'even' | 'equal-load') => {
      const check = await answer<TankCheck>('tank-check', {
        ...worked5000L,
        bands: { ...worked5000L.bands, spacing, count: 4 },
      });
      return {
        check,
        stressMPa: Math.max(...check.bands.map((band) => band.grossStressPa)) / 1e6,
      };
    };
    const even = await stresses('even');
    expect(even.stressMPa).toBeCloseTo(132.1, 1);
    expect(even.check.outcome).toBe('fail');
    const equal = await stresses('equal-load');
    expect(equal.stressMPa).toBeCloseTo(75.49, 2);
    expect(equal.check.checks.find(({ id }) => id === 'band-gross-stress')?.outcome).toBe('pass');
    expect(equal.check.bearingPressurePa / 1000).toBeCloseTo(18.27, 2);
    expect(equal.check.bambooHoopCreditRatio).toBe(0);
    expect(equal.check.cautions.length).toBeGreaterThan(5);
    expect(equal.check.standingSentence).toContain('checks arithmetic');
  });

  it('refuses what its checks cannot judge, by the place in the body', async () => {
    const bands = { ...worked5000L.bands, spacing: 'given', count: undefined };
    expect(
      await refusal(
        'tank-check',
        { ...worked5000L, bands: { ...bands, levelsBelowWaterM: [0.5, 0.4] } },
        'out-of-range',
      ),
    ).toEqual([
      {
        pointer: '/bands/levelsBelowWaterM/1',
        rejectedValue: 0.4,
        message: 'must lie below the level before, 0.5',
      },
    ]);
    expect(
      await refusal('tank-check', { ...worked5000L, wallThicknessM: 0.4 }, 'out-of-range'),
    ).toEqual([
      { pointer: '/wallThicknessM', rejectedValue: 0.4, message: 'must lie between 0.02 and 0.3' },
    ]);
  });
});

describe('POST /v1/calculations/cutting-plan', () => {
  const piecesOf = (pieces: readonly (readonly number[])[]) =>
    pieces.map(([lengthMm, count]) => ({ id: `p${lengthMm}`, lengthMm, count }));

  // known optima: a printed example recalled [memory]; Chvátal 1983 [memory]; bounds by another program
  it.each([
    ['paper rolls', cutting.paperRolls],
    ['Chvátal', cutting.chvatal],
  ])('proves the known optimum of %s', async (_name, instance) => {
    const plan = await answer<CuttingPlanResult>('cutting-plan', {
      stock: [{ id: 'bar', lengthMm: instance.stockMm }],
      pieces: piecesOf(instance.pieces),
      timeLimitS: 15,
    });
    expect(plan).toMatchObject({ status: 'optimal', stockCount: instance.optimum });
    expect(plan.lowerBoundCount).toBe(instance.optimum);
    const cut = new Map<string, number>();
    for (const { times, pieces, offcutMm } of plan.patterns) {
      const lengthMm = pieces.reduce((sum, { id, count }) => sum + Number(id.slice(1)) * count, 0);
      expect(lengthMm + offcutMm).toBe(instance.stockMm);
      for (const { id, count } of pieces) cut.set(id, (cut.get(id) ?? 0) + count * times);
    }
    expect([...cut].sort()).toEqual(
      instance.pieces.map(([lengthMm, count]) => [`p${lengthMm}`, count]).sort(),
    );
  });

  it('counts cost and kerf, and says when no plan is possible', async () => {
    const plan = await answer<CuttingPlanResult>('cutting-plan', {
      stock: [
        { id: 'coil', lengthMm: 12_000, cost: 10 },
        { id: 'rod', lengthMm: 6_000, cost: 4 },
      ],
      kerfMm: 5,
      pieces: [{ id: 'band', lengthMm: 2_998, count: 4 }],
      usableOffcutMm: 100,
    });
    // two pieces of 2998 with one cut of 5 need 6001 mm: one a rod, or three a coil of 12 m;
    // one coil and one rod, 14, beat four rods, 16, and two coils, 20
    expect(plan).toMatchObject({ status: 'optimal', totalCost: 14, stockCount: 2 });
    const none = await answer<CuttingPlanResult>('cutting-plan', {
      stock: [{ id: 'rod', lengthMm: 2_000 }],
      pieces: [{ id: 'band', lengthMm: 2_998, count: 4 }],
    });
    expect(none.status).toBe('infeasible');
    expect(none.reason).toContain('longer than any stock');
  });

  it('keeps to its time limit, and then says how far from the best it may be', async () => {
    const pieces = Array.from({ length: 120 }, (_, i) => ({
      id: `p${i}`,
      lengthMm: 5_011 + i * 97,
      count: 1 + (i % 7),
    }));
    const startedAtMs = performance.now();
    const plan = await answer<CuttingPlanResult>('cutting-plan', {
      stock: [{ id: 'bar', lengthMm: 50_000 }],
      pieces,
      timeLimitS: 0.5,
    });
    expect(plan.status).toBe('feasible');
    expect(plan.lowerBoundCount).toBeLessThan(plan.stockCount);
    // no plan holds more than the length of its bars
    const totalMm = pieces.reduce((sum, { lengthMm, count }) => sum + lengthMm * count, 0);
    expect(plan.lowerBoundCount).toBeGreaterThanOrEqual(Math.ceil(totalMm / 50_000));
    expect((performance.now() - startedAtMs) / 1000).toBeLessThan(10);
  });

  it('refuses repeated names, costs for some stock only, and huge lists', async () => {
    const stock = [{ id: 'bar', lengthMm: 6_000 }];
    const piece = { id: 'a', lengthMm: 1_000, count: 1 };
    expect(await refusal('cutting-plan', { stock, pieces: [piece, piece] })).toEqual([
      expect.objectContaining({ pointer: '/pieces/1/id', rejectedValue: 'a' }),
    ]);
    const mixed = [...stock, { id: 'other', lengthMm: 5_000, cost: 3 }];
    expectProblem(
      await ask('cutting-plan', { stock: mixed, pieces: [piece] }),
      422,
      'out-of-range',
    );
    const many = Array.from({ length: 201 }, (_, i) => ({ ...piece, id: `p${i}` }));
    expect((await refusal('cutting-plan', { stock, pieces: many }))[0]?.pointer).toBe('/pieces');
    expect(await refusal('cutting-plan', { stock, pieces: [piece], timeLimitS: 600 })).toEqual([
      expect.objectContaining({ pointer: '/timeLimitS', rejectedValue: 600 }),
    ]);
  });
});

describe('POST /v1/calculations/season-plan', () => {
  // enumerated by another program: 17, 19 and 21 days; bamboo crews bind, 4 + 6 + 11 = 21
  it.each([
    [1, 1, 17],
    [2, 1, 19],
    [3, 1, 21],
    [3, 2, 21],
  ])('plans %i tanks with %i mason crews in the fewest days', async (tanks, masons, days) => {
    const input = tankSeason(tanks, masons);
    const plan = await answer<SeasonPlanResult>('season-plan', input);
    expect(plan).toMatchObject({ status: 'optimal', makespanDays: days, lowerBoundDays: days });
    expect(checkSchedule(input, plan.starts)).toMatchObject({ faults: [], finishedDay: days });
    expect(plan.starts.map(({ activityId }) => activityId)).toEqual(
      input.activities.map(({ id }) => id),
    );
  });

  it('gives the same plan for the same seed, and keeps to schedules and time', async () => {
    const input = tankSeason(40, 2, 2);
    const effort = { schedules: 300, seed: 7 };
    const plan = await answer<SeasonPlanResult>('season-plan', { ...input, effort });
    expect(plan.schedulesGenerated).toBeLessThanOrEqual(300);
    expect(plan.lowerBoundDays).toBeGreaterThanOrEqual(80);
    expect(plan.makespanDays).toBeGreaterThanOrEqual(plan.lowerBoundDays);
    expect(checkSchedule(input, plan.starts).faults).toEqual([]);
    expect(await answer('season-plan', { ...input, effort })).toEqual(plan);
    const startedAtMs = performance.now();
    const large = tankSeason(900, 7, 5);
    const short = await answer<SeasonPlanResult>('season-plan', {
      ...large,
      effort: { schedules: 200_000, timeLimitS: 0.5 },
    });
    expect((performance.now() - startedAtMs) / 1000).toBeLessThan(10);
    expect(checkSchedule(large, short.starts).faults).toEqual([]);
  });

  it('names what it refuses: cycles, unknown names, requests above capacity, sizes', async () => {
    const { resources, activities } = tankSeason(1);
    const [slab, cage, ...rest] = activities;
    const broken = (changed: object) => ({ resources, activities: [{ ...slab, ...changed }] });
    const circle = { ...slab, after: [{ activityId: '1 cage' }] };
    const cycle = { resources, activities: [circle, cage, ...rest] };
    expect(await refusal('season-plan', cycle, 'out-of-range')).toEqual([
      expect.objectContaining({
        pointer: '/activities/1/after',
        rejectedValue: expect.stringContaining('1 slab → 1 cage'),
      }),
    ]);
    const above = broken({ requires: [{ resourceId: 'mason', count: 2 }] });
    expect(await refusal('season-plan', above, 'out-of-range')).toEqual([
      {
        pointer: '/activities/0/requires/0/count',
        rejectedValue: 2,
        message: expect.stringContaining('capacity 1 of resource mason'),
      },
    ]);
    const unknown = broken({ requires: [{ resourceId: 'welder', count: 1 }] });
    expect(await refusal('season-plan', unknown, 'out-of-range')).toEqual([
      expect.objectContaining({ pointer: '/activities/0/requires/0/resourceId' }),
    ]);
    const pointers = async (body: object) =>
      (await refusal('season-plan', body)).map(({ pointer }) => pointer);
    expect(await pointers(broken({ durationDays: -1 }))).toEqual(['/activities/0/durationDays']);
    expect(await pointers({ resources, activities: [slab, slab] })).toEqual(['/activities/1/id']);
    expect(await pointers({ resources, activities, effort: { timeLimitS: 600 } })).toEqual([
      '/effort/timeLimitS',
    ]);
    const many = Array.from({ length: 5_001 }, (_, at) => ({ ...slab, id: `a${at}` }));
    expect(await pointers({ resources, activities: many })).toEqual(['/activities']);
  });
});

describe('POST /v1/calculations/tank-proposal', () => {
  it('proposes a passing design from a demand, and says what stopped its neighbours', async () => {
    const found = await answer<TankProposalResult>('tank-proposal', {
      ...proposal5000L,
      storage: {
        kind: 'demand',
        ...{ ...seattle, capacitiesL: undefined },
        targetReliabilityRatio: 0.8,
      },
    });
    // between 2,000 L (0.753703) and 5,000 L (0.848433) of the computed table
    expect(found.neededCapacityL).toBeGreaterThan(2_000);
    expect(found.neededCapacityL).toBeLessThan(5_000);
    expect(found.storage?.volumetricReliabilityRatio).toBeGreaterThanOrEqual(0.8);
    expect(found.status).toBe('proposed');
    expect(found.usableCapacityL).toBeGreaterThanOrEqual(found.neededCapacityL ?? 0);
    expect(found.check?.maxUtilisationRatio).toBeLessThanOrEqual(0.9);
    expect(found.check?.reviewTriggers.map(({ id }) => id)).not.toContain('utilisation');
    expect(found.cautions.map(({ id }) => id)).toContain('proposal-not-approved');
    const stopped = found.neighbours.filter(({ outcome }) => outcome === 'rejected');
    expect(stopped.length).toBeGreaterThan(0);
    for (const { stoppedBy } of stopped) expect(stoppedBy.length).toBeGreaterThan(0);
    const again = await answer<TankCheck>('tank-check', found.design);
    expect(again).toEqual(found.check);
  });

  it('says when no tank reaches the target, and when no design passes', async () => {
    const dry = await answer<TankProposalResult>('tank-proposal', {
      ...proposal5000L,
      storage: {
        kind: 'demand',
        ...{ ...seattle, capacitiesL: undefined },
        demandLPerDay: 500,
        targetReliabilityRatio: 0.8,
      },
    });
    expect(dry).toMatchObject({ status: 'roof-too-small', design: null, neededCapacityL: null });
    expect(dry.cautions.map(({ id }) => id)).toEqual(['target-out-of-reach']);
    const soft = await answer<TankProposalResult>('tank-proposal', {
      ...proposal5000L,
      seismic: { impulsiveCoefficient: 0.8, convectiveCoefficient: 0.2 },
    });
    expect(soft).toMatchObject({ status: 'no-design', design: null, check: null });
    expect(soft.nearest?.stoppedBy[0]).toMatchObject({ kind: 'check' });
    expect(soft.search?.stoppedBy.length).toBeGreaterThan(0);
  });

  it('refuses ranges that run backwards or hold too many values', async () => {
    expect(
      await refusal(
        'tank-proposal',
        { ...proposal5000L, insideDiameterM: { from: 2, to: 1, step: 0.1 } },
        'out-of-range',
      ),
    ).toEqual([
      {
        pointer: '/insideDiameterM/to',
        rejectedValue: 1,
        message: 'must not be below from, 2',
      },
    ]);
    const fine = { ...proposal5000L, waterDepthM: { from: 1, to: 2, step: 0.001 } };
    expect((await refusal('tank-proposal', fine, 'out-of-range'))[0]?.message).toContain(
      '60 are the most',
    );
  });
});

describe('POST /v1/calculations/standard-sizes', () => {
  const eur = (amount: string) => ({ amount, currency: 'EUR' });
  const candidates = [
    { id: 'S', capacityL: 2_000, unitCost: eur('120.00') },
    { id: 'M', capacityL: 5_000, unitCost: eur('200.00') },
    { id: 'L', capacityL: 10_000, unitCost: eur('350.00') },
  ];

  it('chooses by hand-checked arithmetic and says what each further size saves', async () => {
    const need = (id: string, count: number, leastCapacityL: number) => ({
      kind: 'capacity',
      id,
      count,
      leastCapacityL,
    });
    const found = await answer<StandardSizesResult>('standard-sizes', {
      currency: 'EUR',
      candidates,
      sites: [
        need('small', 50, 1_500),
        need('middle', 30, 4_000),
        need('large', 4, 9_000),
        need('vast', 1, 30_000),
      ],
      maxSizeCount: 3,
      costPerSize: eur('3000.00'),
    });
    // one size: 84 · 350 = 29,400. Two: M and L, 80 · 200 + 4 · 350 = 17,400 (S and L: 6,000 +
    // 34 · 350 = 17,900). Three: 6,000 + 6,000 + 1,400 = 13,400. Each size 3,000 besides.
    expect(found.choices.map((choice) => choice.tankCost.amount)).toEqual([
      '29400.00',
      '17400.00',
      '13400.00',
    ]);
    expect(found.choices.map((choice) => choice.saving?.amount)).toEqual([
      undefined,
      '9000.00',
      '1000.00',
    ]);
    expect(found.choices[1]?.sizes.map(({ id, siteCount }) => [id, siteCount])).toEqual([
      ['M', 80],
      ['L', 4],
    ]);
    expect(found.best?.totalCost).toEqual(eur('22400.00'));
    expect(found.unserved).toEqual([{ siteId: 'vast', reason: 'capacity-above-all' }]);
    expect(found.assignments[0]).toEqual({ siteId: 'small', sizeId: 'S', leastSizeId: 'S' });
  });

  it('finds from rain and demand the size that each site needs', async () => {
    const site = (id: string, demandLPerDay: number) => ({
      kind: 'demand',
      id,
      roofAreaM2: 50,
      runoffCoefficient: 0.8,
      demandLPerDay,
    });
    const found = await answer<StandardSizesResult>('standard-sizes', {
      currency: 'EUR',
      candidates,
      sites: [site('even', 100), site('thirsty', 1_000)],
      rain: {
        dailyRainMm: seattle.dailyRainMm,
        operatingRule: 'yield-after-spillage',
        targetReliabilityRatio: 0.84,
      },
      maxSizeCount: 1,
    });
    // computed table at 100 L a day: 2,000 L 0.753703, 5,000 L 0.848433
    expect(found.assignments).toEqual([{ siteId: 'even', sizeId: 'M', leastSizeId: 'M' }]);
    expect(found.unserved).toEqual([{ siteId: 'thirsty', reason: 'roof-too-small' }]);
  });

  it('refuses a demand without rain, another currency and too many sizes', async () => {
    const sites = [
      { kind: 'demand', id: 'a', roofAreaM2: 50, runoffCoefficient: 0.8, demandLPerDay: 100 },
    ];
    const other = [{ ...candidates[0], unitCost: { amount: '1.00', currency: 'USD' } }];
    const pointers = (
      await refusal('standard-sizes', {
        currency: 'EUR',
        candidates: other,
        sites,
        maxSizeCount: 2,
      })
    ).map(({ pointer }) => pointer);
    expect(pointers).toEqual(['/rain', '/candidates/0/unitCost/currency']);
    const known = { kind: 'capacity', id: 'a', leastCapacityL: 1_000 };
    expect(
      await refusal('standard-sizes', {
        currency: 'EUR',
        candidates,
        sites: [known],
        maxSizeCount: 7,
      }),
    ).toEqual([expect.objectContaining({ pointer: '/maxSizeCount', rejectedValue: 7 })]);
  });
});

describe('POST /v1/calculations/watertightness', () => {
  // cylinder of 2.0 m, 1.8 m deep: limit 3.6 mm in 7 days, which is 11.3097 L; a pan that fell
  // 14 mm beside a tank that fell 17 mm leaves 3 mm (computed apart from the engine)
  const panTest = {
    startReadingMm: 100,
    endReadingMm: 117,
    testDays: 7,
    soakDays: 7,
    correction: { kind: 'control-pan', startReadingMm: 50, endReadingMm: 64 },
    averageDepthM: 1.8,
    waterSurfaceAreaM2: Math.PI,
    readingErrorMm: 0.25,
    hasVisibleLeak: false,
  };

  it('passes 3 mm at a limit of 3.6, and says so only when the readings can', async () => {
    const found = await answer<Record<string, number>>('watertightness', panTest);
    expect(found).toMatchObject({ outcome: 'pass', leakDropMm: 3, reason: 'drop-within-limit' });
    expect(found.limitMm).toBeCloseTo(3.6, 12);
    expect((found.limitMm ?? 0) * Math.PI).toBeCloseTo(11.3097, 4);
    expect(await answer('watertightness', { ...panTest, readingErrorMm: 1 })).toMatchObject({
      outcome: 'inconclusive',
      reason: 'within-reading-error',
    });
    const rates = (found as unknown as { volumeRateLimits: object[] }).volumeRateLimits;
    // 0.05 % a day at 1.8 m: 0.9 mm a day; 11.1 days for 10 mm, capped at 5
    expect(rates[1]).toMatchObject({ className: 'HST-050', limitMmPerDay: 0.9, testDays: 5 });
    expect((found as unknown as { cautions: { id: string }[] }).cautions).toHaveLength(3);
  });

  it('refuses a test of other than seven days', async () => {
    expect(await refusal('watertightness', { ...panTest, testDays: 3 }, 'out-of-range')).toEqual([
      expect.objectContaining({ pointer: '/testDays', rejectedValue: 3 }),
    ]);
  });
});

describe('POST /v1/calculations/disinfection-dose', () => {
  const powder = {
    waterVolumeL: 5_000,
    doseMgPerL: 5,
    product: { kind: 'powder', availableChlorineRatio: 0.65 },
    isStabilised: false,
    productAgeDays: 30,
    purpose: 'drinking',
  };

  it('gives the doses of the published tables', async () => {
    // NSW Health, Private Water Supply Guidelines pages 26 to 27: 38 g and 200 mL for 5,000 L
    const dose = await answer<{ amount: number; cautions: string[] }>('disinfection-dose', powder);
    expect(dose).toMatchObject({ unit: 'g', targetFreeChlorineMgPerL: 0.5 });
    expect(Math.round(dose.amount)).toBe(38);
    expect(dose.cautions.join(' ')).toContain('Only the health authority');
    const liquid = await answer<{ amount: number }>('disinfection-dose', {
      ...powder,
      product: { kind: 'liquid', chlorineGPerMl: 0.125 },
    });
    expect(liquid).toMatchObject({ amount: 200, unit: 'mL' });
  });

  it('refuses more than 5 mg/L in water to be drunk, and stabilised chlorine', async () => {
    expect(
      await refusal('disinfection-dose', { ...powder, doseMgPerL: 10 }, 'out-of-range'),
    ).toEqual([
      {
        pointer: '/doseMgPerL',
        rejectedValue: 10,
        message: 'must not exceed 5 mg/L in water that will be drunk',
      },
    ]);
    expect(
      (await refusal('disinfection-dose', { ...powder, isStabilised: true }, 'out-of-range'))[0]
        ?.pointer,
    ).toBe('/isStabilised');
  });
});

describe('POST /v1/calculations/life-cycle-cost', () => {
  const eur = (amount: string) => ({ amount, currency: 'EUR' });
  // CapEx 250, 6 a year for 20 years, 60 in year 10, 5 %: 361.6081 and 29.0164 a year, 0.12054 a
  // litre of 3,000, 4.8361 a person of 6 (computed apart from the engine)
  const twentyYears = {
    capitalCost: eur('250.00'),
    yearlyOperatingCost: eur('6'),
    majorCosts: [{ year: 10, cost: eur('60.00') }],
    years: 20,
    yearlyRateRatio: 0.05,
    usableCapacityL: 3_000,
    personsServed: 6,
  };

  it('gives the worked present value and yearly cost', async () => {
    const found = await answer<Record<string, { amount: string }>>('life-cycle-cost', twentyYears);
    expect(found.presentValue).toEqual(eur('361.61'));
    expect(found.annualised).toEqual(eur('29.02'));
    expect(Number(found.presentValuePerUsableL?.amount).toFixed(5)).toBe('0.12054');
    expect(Number(found.annualisedPerPerson?.amount).toFixed(4)).toBe('4.8361');
    expect(Number(found.capitalRecoveryFactor).toFixed(6)).toBe('0.080243');
  });

  it('refuses a repair after the life, and a second currency', async () => {
    const late = { ...twentyYears, majorCosts: [{ year: 25, cost: eur('60.00') }] };
    expect(await refusal('life-cycle-cost', late, 'out-of-range')).toEqual([
      { pointer: '/majorCosts/0/year', rejectedValue: 25, message: 'life is 20' },
    ]);
    const mixed = { ...twentyYears, yearlyOperatingCost: { amount: '6', currency: 'USD' } };
    expect(await refusal('life-cycle-cost', mixed)).toEqual([
      {
        pointer: '/yearlyOperatingCost/currency',
        rejectedValue: 'USD',
        message: 'must be EUR, as capitalCost',
      },
    ]);
  });
});

describe('POST /v1/calculations/cost-sensitivity', () => {
  const eur = (amount: string) => ({ amount, currency: 'EUR' });
  // 21 + 19 + 40 + 20 = 100 and a tenth more, over 1,000 usable litres: 0.11 a litre (by hand)
  const tank = {
    currency: 'EUR',
    lines: [
      {
        code: 'cement',
        kind: 'material',
        quantity: 100,
        wasteRatio: 0.05,
        unitPrice: { amount: '0.25', currency: 'USD' },
      },
      { code: 'sand', kind: 'material', quantity: 1, unitPrice: eur('19') },
      { code: 'mason', kind: 'labour', quantity: 4, unitPrice: eur('10.00') },
      { code: 'lorry', kind: 'transport', quantity: 1, unitPrice: eur('20') },
    ],
    exchangeRates: [{ currency: 'USD', rate: 0.8 }],
    contingencyRatio: 0.1,
    capacityL: 1_250,
    usableRatio: 0.8,
  };
  const named = ({ factors }: CostSensitivityResult) =>
    factors.map(({ kind, code }) => (code === null ? kind : `${kind} ${code}`));

  it('gives elasticities, swings and ranks worked by hand', async () => {
    const found = await answer<CostSensitivityResult>('cost-sensitivity', tank);
    expect(found).toMatchObject({
      capitalCost: eur('110.00'),
      costPerUsableL: '0.110000',
      lifeCycle: null,
    });
    // equal swings, such as those of the cement and of its dollar, in the order of kinds
    expect(named(found).slice(0, 7)).toEqual([
      'capacity',
      'usable-ratio',
      'unit-price mason',
      'labour-rate',
      'unit-price cement',
      'exchange-rate USD',
      'unit-price lorry',
    ]);
    const cement = found.factors.find(({ code }) => code === 'cement')?.costPerUsableL;
    // 2 · 10 % · 0.21 · 0.11
    expect(cement).toMatchObject({ atLow: '0.107690', atHigh: '0.112310', swing: '0.004620' });
    expect(cement?.elasticity).toBeCloseTo(0.21, 12);
    expect(cement?.varianceShareRatio).toBeNull();
    expect(found.cautions.map(({ id }) => id)).toEqual(['one-at-a-time']);
  });

  it('gives the worked cost over a life at its base, and what moves it', async () => {
    // 250, 6 a year, 60 in year 10, 20 years, 5 %: 361.6081 and 29.0164 (apart from the engine)
    const found = await answer<CostSensitivityResult>('cost-sensitivity', {
      currency: 'EUR',
      lines: [{ code: 'tank', kind: 'other', quantity: 1, unitPrice: eur('250') }],
      capacityL: 3_000,
      lifeCycle: {
        serviceLifeYears: 20,
        yearlyRateRatio: 0.05,
        yearlyMaintenance: eur('6'),
        litresPerYear: 10_950,
        majorCosts: [{ year: 10, cost: eur('60') }],
      },
      ranges: [{ kind: 'unit-price', code: 'tank', standardDeviation: 25 }],
    });
    expect(found.lifeCycle).toEqual({
      presentValue: eur('361.61'),
      annualised: eur('29.02'),
      costPerDeliveredL: (29.0164 / 10_950).toFixed(6),
    });
    const of = (kind: string) =>
      found.factors.find((factor) => factor.kind === kind)?.costPerDeliveredL;
    expect(of('unit-price')?.elasticity).toBeCloseTo(250 / 361.6081, 6);
    expect(of('unit-price')?.varianceShareRatio).toBe(1);
    expect(of('litres-per-year')?.rank).toBe(1);
    expect(of('service-life')?.elasticity).toBeNull();
    expect(found.cautions.map(({ id }) => id)).toContain('rates-not-mixed');
  });

  it('refuses a currency without a rate, a repair after the life and a range of nothing', async () => {
    expect(await refusal('cost-sensitivity', { ...tank, exchangeRates: [] })).toEqual([
      {
        pointer: '/lines/0/unitPrice/currency',
        rejectedValue: 'USD',
        message: 'must be EUR, or have an exchange rate',
      },
    ]);
    const lifeCycle = {
      serviceLifeYears: 9,
      yearlyRateRatio: 0.05,
      yearlyMaintenance: eur('6'),
      litresPerYear: 10_950,
      majorCosts: [{ year: 10, cost: eur('60') }],
    };
    expect(await refusal('cost-sensitivity', { ...tank, lifeCycle })).toEqual([
      { pointer: '/lifeCycle/majorCosts/0/year', rejectedValue: 10, message: 'life is 9' },
    ]);
    const ranges = [{ kind: 'unit-price', code: 'sand', low: 30 }];
    expect(await refusal('cost-sensitivity', { ...tank, ranges }, 'out-of-range')).toEqual([
      { pointer: '/ranges/0/low', rejectedValue: 30, message: 'must not exceed the base, 19' },
    ]);
    const unknown = [{ kind: 'exchange-rate', code: 'GBP' }];
    expect(
      (await refusal('cost-sensitivity', { ...tank, ranges: unknown }, 'out-of-range'))[0],
    ).toMatchObject({ pointer: '/ranges/0', rejectedValue: 'exchange-rate GBP' });
  });
});
