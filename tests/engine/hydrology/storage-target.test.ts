import { describe, expect, it } from 'vitest';
import {
  type CapacityTarget,
  dailyInflow,
  firmYield,
  type RoofTarget,
  reliability,
  roofAreaForTarget,
  simulateSteadyStorage,
  smallestCapacity,
  storageReliabilityCurve,
  summariseStorage,
} from '../../../shared/index.ts';
import { noaaRainMm } from '../../published/hydrology/noaa-rain.ts';
import { expectRefusal } from './refusal.ts';

const rain = noaaRainMm('seattle');
const dailyInflowL = rain.map((rainMm) => 40 * rainMm);
const seattle: CapacityTarget = {
  dailyInflowL,
  demandLPerDay: 100,
  operatingRule: 'yield-after-spillage',
  targetReliabilityRatio: 0.9,
  greatestCapacityL: 20_000,
};

describe('smallest capacity for a target', () => {
  it.each([
    ['yield-after-spillage', 'volumetric'],
    ['yield-after-spillage', 'days-met'],
    ['yield-before-spillage', 'volumetric'],
    ['yield-before-spillage', 'days-met'],
  ] as const)(
    'meets the target, and one litre less does not (%s, %s)',
    (operatingRule, measure) => {
      const input = { ...seattle, operatingRule, reliabilityMeasure: measure };
      const found = smallestCapacity(input);
      expect(found.status).toBe('found');
      const { capacityL } = found.summary;
      const [below, at] = summariseStorage({ ...input, capacitiesL: [capacityL - 1, capacityL] });
      const key = measure === 'volumetric' ? 'volumetricReliabilityRatio' : 'daysMetRatio';
      expect(at?.[key]).toBeGreaterThanOrEqual(0.9);
      expect(below?.[key]).toBeLessThan(0.9);
    },
  );

  // storage-exact-reference: 5000 L supply 123 956 L of 146 100 L asked.
  it('finds 5000 L back from the reliability of 5000 L', () => {
    const target = { ...seattle, targetReliabilityRatio: 123_956 / 146_100 };
    expect(smallestCapacity(target).summary.capacityL).toBe(5000);
    const coarse = smallestCapacity({ ...target, stepL: 400 });
    expect(coarse.summary.capacityL).toBe(5200);
  });

  it('says when the largest capacity is not enough', () => {
    const found = smallestCapacity({ ...seattle, targetReliabilityRatio: 0.999 });
    expect(found).toMatchObject({ status: 'target-not-reachable', summary: { capacityL: 20_000 } });
  });

  it('needs one step for a target of zero, and refuses less than one step', () => {
    expect(smallestCapacity({ ...seattle, targetReliabilityRatio: 0 }).summary.capacityL).toBe(1);
    const tiny = { ...seattle, greatestCapacityL: 0.5 };
    expectRefusal(() => smallestCapacity(tiny), 'out-of-range', 'greatestCapacityL');
    const over = { ...seattle, targetReliabilityRatio: 1.1 };
    expectRefusal(() => smallestCapacity(over), 'out-of-range', 'targetReliabilityRatio');
    expectRefusal(() => smallestCapacity({ ...seattle, stepL: 0 }), 'out-of-range', 'stepL');
  });
});

describe('reliability against storage', () => {
  it('spaces the capacities evenly up to the largest', () => {
    const curve = storageReliabilityCurve({ ...seattle, pointCount: 4 });
    expect(curve.map((one) => one.capacityL)).toEqual([5000, 10_000, 15_000, 20_000]);
    expect(curve[0]?.totalYieldL).toBeCloseTo(123_956, 6);
    const points = (pointCount: number) => () =>
      storageReliabilityCurve({ ...seattle, pointCount });
    expectRefusal(points(1), 'out-of-range', 'pointCount');
    expectRefusal(points(501), 'out-of-range', 'pointCount');
  });
});

describe('roof area for a given tank', () => {
  const tank: RoofTarget = {
    dailyRainMm: rain,
    runoffCoefficient: 0.8,
    demandLPerDay: 100,
    capacityL: 5000,
    operatingRule: 'yield-after-spillage',
    targetReliabilityRatio: 123_956 / 146_100,
    greatestAreaM2: 200,
  };
  const reached = (planAreaM2: number) =>
    summariseStorage({
      ...tank,
      dailyInflowL: dailyInflow({
        roofs: [{ planAreaM2, runoffCoefficient: 0.8 }],
        dailyRainMm: rain,
      }),
      capacitiesL: [5000],
    })[0]?.volumetricReliabilityRatio ?? Number.NaN;

  // storage-exact-reference: 50 m² reach this target exactly.
  it('finds 50 m² back, and a tenth of a square metre less misses the target', () => {
    expect(roofAreaForTarget(tank)).toMatchObject({ status: 'found', planAreaM2: 50 });
    expect(reached(50)).toBeGreaterThanOrEqual(tank.targetReliabilityRatio - 1e-12);
    expect(reached(49.9)).toBeLessThan(tank.targetReliabilityRatio);
  });

  it('asks for more roof where the gutter loses water or the first flush is run off', () => {
    const leaky = roofAreaForTarget({ ...tank, gutterEfficiencyRatio: 0.8 });
    expect(leaky.planAreaM2).toBe(62.5);
    expect(roofAreaForTarget({ ...tank, firstFlushMm: 1 }).planAreaM2).toBeGreaterThan(50);
  });

  it('says when the largest roof is not enough', () => {
    const found = roofAreaForTarget({ ...tank, greatestAreaM2: 30 });
    expect(found).toMatchObject({ status: 'target-not-reachable', planAreaM2: 30 });
  });

  it('finds by days met only before spillage', () => {
    const byDays = {
      ...tank,
      reliabilityMeasure: 'days-met',
      targetReliabilityRatio: 0.8,
    } as const;
    expectRefusal(() => roofAreaForTarget(byDays), 'out-of-range', 'reliabilityMeasure');
    const before = roofAreaForTarget({ ...byDays, operatingRule: 'yield-before-spillage' });
    expect(before.status).toBe('found');
    expect(before.summary.daysMetRatio).toBeGreaterThanOrEqual(0.8);
  });

  it('needs a tenth of a square metre for a target of zero, and refuses less', () => {
    expect(roofAreaForTarget({ ...tank, targetReliabilityRatio: 0 }).planAreaM2).toBe(0.1);
    const none = { ...tank, greatestAreaM2: 0.05 };
    expectRefusal(() => roofAreaForTarget(none), 'out-of-range', 'greatestAreaM2');
  });
});

describe('cyclic state', () => {
  const run = { dailyInflowL, demandLPerDay: 100, operatingRule: 'yield-after-spillage' } as const;

  it('starts the second pass with what the first left, and repeats', () => {
    // storage-exact-reference: a first pass of 5000 L from empty ends with 4560 L.
    const { trace, isSteady } = simulateSteadyStorage({ ...run, capacityL: 5000 });
    expect(trace.initialVolumeL).toBeCloseTo(4560, 6);
    expect(isSteady).toBe(true);
    expect(reliability(trace).volumetricReliabilityRatio).toBeGreaterThan(0.848433);
  });

  it('says so when the water still gathers', () => {
    const idle = { dailyInflowL: [1, 1], demandLPerDay: 0, operatingRule: run.operatingRule };
    expect(simulateSteadyStorage({ ...idle, capacityL: 100 }).isSteady).toBe(false);
  });
});

describe('firm yield', () => {
  it('is the least inflow of a day without a tank, and the mean with a large one', () => {
    const inflow = { dailyInflowL: [4, 8, 3, 5] };
    expect(firmYield({ ...inflow, capacityL: 0 })).toEqual({
      firmYieldLPerDay: 3,
      isLimitedByInflow: false,
    });
    expect(firmYield({ ...inflow, capacityL: 100 })).toEqual({
      firmYieldLPerDay: 5,
      isLimitedByInflow: true,
    });
    expectRefusal(() => firmYield({ ...inflow, capacityL: -1 }), 'out-of-range', 'capacityL');
    expectRefusal(
      () => firmYield({ dailyInflowL: [], capacityL: 1 }),
      'out-of-range',
      'dailyInflowL',
    );
  });

  // Loucks and van Beek, sequent peak table [memory]: 7.5 of storage for a release of 3.5.
  it('gives the release of the textbook table back from its storage', () => {
    const inflow = { dailyInflowL: [1, 3, 3, 5, 8, 6, 7, 2, 1] };
    expect(firmYield({ ...inflow, capacityL: 7.5 }).firmYieldLPerDay).toBeCloseTo(3.5, 12);
  });
});
