import { describe, expect, it } from 'vitest';
import {
  dryMonths,
  type OperatingRule,
  peopleDays,
  reliability,
  reliabilityByMonth,
  reliabilityByYear,
  sequentPeak,
  simulateStorage,
  spillageTheta,
  storageReliability,
  summariseStorage,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const AFTER = 'yield-after-spillage';
const run = { dailyInflowL: [0, 250, 0, 600], demandLPerDay: 100, operatingRule: AFTER } as const;

describe('storage balance', () => {
  it('names θ by its operating rule', () => {
    expect(spillageTheta(AFTER)).toBe(0);
    expect(spillageTheta('yield-before-spillage')).toBe(1);
    expect(spillageTheta({ thetaRatio: 0.3 })).toBe(0.3);
    expectRefusal(
      () => spillageTheta({ thetaRatio: 1.1 }),
      'out-of-range',
      'operatingRule.thetaRatio',
    );
    const unknown = 'yield-sideways' as OperatingRule;
    expectRefusal(() => spillageTheta(unknown), 'out-of-range', 'operatingRule');
  });

  it('starts full on request, and refuses more than the tank holds', () => {
    expect(simulateStorage({ ...run, capacityL: 500, initialVolumeL: 'full' }).initialVolumeL).toBe(
      500,
    );
    const over = { ...run, initialVolumeL: 501 };
    expectRefusal(
      () => simulateStorage({ ...over, capacityL: 500 }),
      'out-of-range',
      'initialVolumeL',
    );
    const several = { ...over, capacitiesL: [1000, 500] };
    expectRefusal(() => summariseStorage(several), 'out-of-range', 'initialVolumeL');
    const negative = { ...run, capacityL: 500, initialVolumeL: -1 };
    expectRefusal(() => simulateStorage(negative), 'out-of-range', 'initialVolumeL');
  });

  it('takes a demand that differs from day to day', () => {
    const demand = { ...run, dailyInflowL: [50, 50, 50, 50], demandLPerDay: [0, 80, 0, 80] };
    const trace = simulateStorage({ ...demand, capacityL: 500 });
    expect([...trace.dailyYieldL]).toEqual([0, 50, 0, 80]);
    const found = reliability(trace);
    expect(found).toMatchObject({ daysMetCount: 3, zeroYieldDayCount: 0, totalDemandL: 160 });
    expect(found.volumetricReliabilityRatio).toBe(130 / 160);
  });

  it.each([AFTER, 'yield-before-spillage'] as const)(
    'gives the very same for one demand a day and for a list of equal demands under %s',
    (operatingRule) => {
      const dailyInflowL = Array.from({ length: 400 }, (_, day) => (day % 7 < 3 ? 0 : day * 0.7));
      for (const demand of [0, 0.1, 99.9, 150]) {
        const input = { dailyInflowL, operatingRule, capacitiesL: [333.3, 1_000, 5_000] };
        const demands = dailyInflowL.map(() => demand);
        expect(summariseStorage({ ...input, demandLPerDay: demand })).toEqual(
          summariseStorage({ ...input, demandLPerDay: demands }),
        );
      }
    },
  );

  it('neither alters a record nor lets a trace change with it', () => {
    const dailyInflowL = new Float64Array([0, 250, 0, 600]);
    const trace = simulateStorage({ ...run, dailyInflowL, capacityL: 500 });
    summariseStorage({ ...run, dailyInflowL, capacitiesL: [100, 500] });
    expect([...dailyInflowL]).toEqual(run.dailyInflowL);
    dailyInflowL[1] = 0;
    expect(trace.dailyInflowL[1]).toBe(250);
  });

  it('counts nothing asked as met, and shares of no inflow as unknown', () => {
    const idle = { dailyInflowL: [0, 0], demandLPerDay: 0, operatingRule: AFTER } as const;
    expect(reliability(simulateStorage({ ...idle, capacityL: 10 }))).toMatchObject({
      volumetricReliabilityRatio: 1,
      daysMetRatio: 1,
      zeroYieldDayCount: 0,
      rainwaterUseEfficiencyRatio: null,
      overflowRatio: null,
    });
    expect(summariseStorage({ ...idle, capacitiesL: [10] })[0]?.volumetricReliabilityRatio).toBe(1);
  });

  it('shares out the inflow between use and overflow', () => {
    const found = reliability(simulateStorage({ ...run, capacityL: 500, initialVolumeL: 100 }));
    // Days 1 to 4 of the ten-day hand example: yields 100, 0, 100, 100; overflow 250; left 400.
    expect(found.rainwaterUseEfficiencyRatio).toBeCloseTo(300 / 850, 12);
    expect(found.overflowRatio).toBeCloseTo(250 / 850, 12);
    expect(found.balanceErrorL).toBe(0);
  });

  it('never lets the volume fall below zero under the general rule', () => {
    const big = { dailyInflowL: [0, 100], demandLPerDay: 100, operatingRule: { thetaRatio: 0.5 } };
    const trace = simulateStorage({ ...big, capacityL: 1 });
    expect([...trace.dailyYieldL]).toEqual([0, 50]);
    expect([...trace.endOfDayVolumeL]).toEqual([0, 0]);
    expect(reliability(trace).totalOverflowL).toBe(50);
  });

  it('rations only on days that begin below the threshold', () => {
    const trace = simulateStorage({
      dailyInflowL: [0, 0, 0],
      demandLPerDay: 40,
      operatingRule: AFTER,
      capacityL: 100,
      initialVolumeL: 'full',
      rationing: { belowVolumeRatio: 0.6, demandRatio: 0.5 },
    });
    expect([...trace.dailyYieldL]).toEqual([40, 40, 20]);
    expect(trace.rationedDayCount).toBe(1);
    expect(reliability(trace).daysMetCount).toBe(2);
  });

  it('refuses malformed records, naming the day', () => {
    const tank = { capacityL: 500 };
    const inflow = (dailyInflowL: number[]) => () =>
      simulateStorage({ ...run, ...tank, dailyInflowL });
    expectRefusal(inflow([]), 'out-of-range', 'dailyInflowL');
    expectRefusal(inflow([1, -1]), 'out-of-range', 'dailyInflowL[1]');
    expectRefusal(inflow([1, 2, Number.NaN]), 'not-finite', 'dailyInflowL[2]');
    expectRefusal(inflow([1, null as unknown as number]), 'not-finite', 'dailyInflowL[1]');
    const demand = (demandLPerDay: number | number[]) => () =>
      simulateStorage({ ...run, ...tank, demandLPerDay });
    expectRefusal(demand(-1), 'out-of-range', 'demandLPerDay');
    expectRefusal(demand([1, 2, 3]), 'inconsistent', 'demandLPerDay.length');
    expectRefusal(demand([1, 2, 3, Infinity]), 'not-finite', 'demandLPerDay[3]');
    expectRefusal(() => simulateStorage({ ...run, capacityL: 0 }), 'out-of-range', 'capacityL');
    expectRefusal(
      () => summariseStorage({ ...run, capacitiesL: [] }),
      'out-of-range',
      'capacitiesL',
    );
    const ration = (belowVolumeRatio: number, demandRatio: number) => () =>
      simulateStorage({ ...run, ...tank, rationing: { belowVolumeRatio, demandRatio } });
    expectRefusal(ration(2, 0.5), 'out-of-range', 'rationing.belowVolumeRatio');
    expectRefusal(ration(0.2, -0.5), 'out-of-range', 'rationing.demandRatio');
    expectRefusal(ration(0.2, 1.5), 'out-of-range', 'rationing.demandRatio');
  });

  it('keeps the order of the capacities, odd in number, and repeats equal ones alike', () => {
    const capacitiesL = [500, 200, 500];
    const results = summariseStorage({ ...run, capacitiesL });
    expect(results.map((one) => one.capacityL)).toEqual(capacitiesL);
    expect(results[2]).toEqual(results[0]);
    expect(results[1]?.totalOverflowL).toBeGreaterThan(results[0]?.totalOverflowL ?? Infinity);
  });
});

describe('supply by month and year', () => {
  const trace = simulateStorage({ ...run, capacityL: 500, initialVolumeL: 100 });

  it('splits the record at the turn of the year', () => {
    expect(reliabilityByMonth(trace, '2023-12-30')).toMatchObject([
      { year: 2023, month: 12, dayCount: 2, yieldL: 100, deficitDayCount: 1, zeroYieldDayCount: 1 },
      { year: 2024, month: 1, dayCount: 2, yieldL: 200, deficitDayCount: 0, overflowL: 250 },
    ]);
    const years = reliabilityByYear(trace, '2023-12-30');
    expect(years.map((one) => [one.year, one.inflowL])).toEqual([
      [2023, 250],
      [2024, 600],
    ]);
    expectRefusal(() => reliabilityByMonth(trace, 'soon'), 'out-of-range', 'startsOn');
  });

  it('calls a month dry when more than the given share of its days was short', () => {
    const months = reliabilityByMonth(trace, '2023-12-30');
    expect(dryMonths(months, 0.4)[11]).toMatchObject({
      month: 12,
      deficitShareRatio: 0.5,
      isDry: true,
    });
    expect(dryMonths(months, 0.5)[11]?.isDry).toBe(false);
    expect(dryMonths(months, 0.4)[0]?.isDry).toBe(false);
    expect(dryMonths(months, 0.4)[6]).toMatchObject({
      dayCount: 0,
      deficitShareRatio: null,
      isDry: false,
    });
    expectRefusal(() => dryMonths(months, 1.5), 'out-of-range', 'moreThanShareRatio');
  });

  it('refuses people-days that cannot be', () => {
    const input = {
      people: 5,
      litresPerPersonPerDay: 20,
      dayCount: 4,
      daysMetCount: 3,
      totalYieldL: 300,
    };
    expect(peopleDays(input)).toEqual({
      fullServicePeopleDays: 15,
      volumeEquivalentPeopleDays: 15,
      potentialPeopleDays: 20,
    });
    const dry = { ...input, daysMetCount: 0, totalYieldL: 0 };
    expect(peopleDays(dry).volumeEquivalentPeopleDays).toBe(0);
    expectRefusal(() => peopleDays({ ...input, people: 1.5 }), 'out-of-range', 'people');
    expectRefusal(() => peopleDays({ ...input, daysMetCount: 5 }), 'out-of-range', 'daysMetCount');
    const nothing = { ...input, litresPerPersonPerDay: 0 };
    expectRefusal(() => peopleDays(nothing), 'out-of-range', 'litresPerPersonPerDay');
  });
});

describe('served storage reliability', () => {
  it('has no cyclic storage where the roof yields less than is asked', () => {
    const served = storageReliability({
      roofAreaM2: 10,
      runoffCoefficient: 0.8,
      dailyRainMm: [10, 0, 0, 0],
      demandLPerDay: 25,
      capacitiesL: [50],
      operatingRule: AFTER,
    });
    expect(served.sequentPeak).toEqual({ onePassL: 75, cyclicL: null });
    expect(served.results[0]).toMatchObject({
      daysMetCount: 2,
      totalYieldL: 50,
      finalVolumeL: 0,
      totalOverflowL: 30,
    });
  });

  it('needs no storage where every day brings enough', () => {
    const found = sequentPeak({ dailyInflowL: [5, 5], demandLPerDay: 5 });
    expect(found).toMatchObject({ onePassL: 0, cyclicL: 0, criticalPeriod: null });
  });

  it('finds a critical period that runs over the end of the record', () => {
    const found = sequentPeak({ dailyInflowL: [0, 9, 0], demandLPerDay: 3 });
    expect(found).toMatchObject({ onePassL: 3, cyclicL: 6 });
    expect(found.cyclicCriticalPeriod).toEqual({ firstDayIndex: 2, lastDayIndex: 3, dayCount: 2 });
  });
});
