import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type OperatingRule,
  reliability,
  sequentPeak,
  simulateStorage,
  summariseStorage,
} from '../../shared/index.ts';

const AFTER = 'yield-after-spillage';
const BEFORE = 'yield-before-spillage';
const RUNS = { numRuns: 500 };

const days = fc.integer({ min: 1, max: 60 });
const litres = (max: number) => fc.integer({ min: 0, max });
/** Whole litres, constant demand, and a tank that holds at least one day's demand. */
const wholeCase = fc
  .tuple(days, fc.integer({ min: 1, max: 30 }), litres(80), litres(40))
  .chain(([count, demandLPerDay, spare, more]) =>
    fc.record({
      dailyInflowL: fc.array(fc.oneof(fc.constant(0), litres(60)), {
        minLength: count,
        maxLength: count,
      }),
      demandLPerDay: fc.constant(demandLPerDay),
      capacityL: fc.constant(demandLPerDay + spare),
      largerL: fc.constant(demandLPerDay + spare + more),
    }),
  );

const ratio = fc.double({ min: 0, max: 1, noNaN: true });
const amount = (max: number) => fc.double({ min: 0, max, noNaN: true });
const realCase = days.chain((count) =>
  fc.record({
    dailyInflowL: fc.array(fc.oneof(fc.constant(0), amount(60)), {
      minLength: count,
      maxLength: count,
    }),
    demandLPerDay: fc.array(amount(30), { minLength: count, maxLength: count }),
    capacityL: fc.double({ min: 0.5, max: 120, noNaN: true }),
    startRatio: ratio,
    operatingRule: fc.oneof(
      fc.constantFrom<OperatingRule>(AFTER, BEFORE),
      ratio.map((thetaRatio) => ({ thetaRatio })),
    ),
  }),
);

const measures = (
  one: { dailyInflowL: number[]; demandLPerDay: number | number[]; capacityL: number },
  operatingRule: OperatingRule,
  initialVolumeL = 0,
) => reliability(simulateStorage({ ...one, operatingRule, initialVolumeL }));

describe('laws of the storage balance', { timeout: 60_000 }, () => {
  it('closes: start + inflow = yield + overflow + end, every part not negative', () => {
    fc.assert(
      fc.property(realCase, ({ startRatio, ...run }) => {
        const initialVolumeL = startRatio * run.capacityL;
        const trace = simulateStorage({ ...run, initialVolumeL });
        expect(Math.abs(reliability(trace).balanceErrorL)).toBeLessThan(1e-9);
        for (const part of [trace.dailyYieldL, trace.dailyOverflowL, trace.endOfDayVolumeL]) {
          expect(Math.min(...part)).toBeGreaterThanOrEqual(0);
        }
        expect(Math.max(...trace.endOfDayVolumeL)).toBeLessThanOrEqual(run.capacityL);
        trace.dailyYieldL.forEach((yieldL, day) => {
          expect(yieldL).toBeLessThanOrEqual(run.demandLPerDay[day] as number);
        });
      }),
      RUNS,
    );
  });

  it('keeps every ratio between 0 and 1', () => {
    fc.assert(
      fc.property(realCase, ({ startRatio, ...run }) => {
        const found = measures(run, run.operatingRule, startRatio * run.capacityL);
        for (const value of [found.volumetricReliabilityRatio, found.daysMetRatio]) {
          expect(value).toBeGreaterThanOrEqual(0);
          expect(value).toBeLessThanOrEqual(1 + 1e-12);
        }
        expect(found.daysMetCount + found.deficitDayCount).toBe(run.dailyInflowL.length);
        expect(found.zeroYieldDayCount).toBeLessThanOrEqual(found.deficitDayCount);
        expect(found.longestDeficitRunDays).toBeLessThanOrEqual(found.deficitDayCount);
      }),
      RUNS,
    );
  });

  it('yields no more, and meets no more days, after spillage than before it', () => {
    fc.assert(
      fc.property(wholeCase, (one) => {
        const after = measures(one, AFTER);
        const before = measures(one, BEFORE);
        expect(after.totalYieldL).toBeLessThanOrEqual(before.totalYieldL);
        expect(after.daysMetCount).toBeLessThanOrEqual(before.daysMetCount);
      }),
      RUNS,
    );
  });

  it('never yields less, nor meets fewer days, from a larger tank', () => {
    fc.assert(
      fc.property(wholeCase, fc.constantFrom(AFTER, BEFORE), (one, rule) => {
        const small = measures(one, rule);
        const large = measures({ ...one, capacityL: one.largerL }, rule);
        expect(small.totalYieldL).toBeLessThanOrEqual(large.totalYieldL);
        expect(small.daysMetCount).toBeLessThanOrEqual(large.daysMetCount);
      }),
      RUNS,
    );
  });

  it('never yields less from a fuller start', () => {
    fc.assert(
      fc.property(wholeCase, ratio, ratio, fc.constantFrom(AFTER, BEFORE), (one, p, q, rule) => {
        const low = Math.floor(Math.min(p, q) * one.capacityL);
        const high = Math.floor(Math.max(p, q) * one.capacityL);
        const emptier = measures(one, rule, low).totalYieldL;
        expect(emptier).toBeLessThanOrEqual(measures(one, rule, high).totalYieldL);
      }),
      RUNS,
    );
  });

  it('may meet fewer days from a fuller start after spillage, so no law says otherwise', () => {
    const storm = { dailyInflowL: [12, 0], demandLPerDay: 3, capacityL: 4 };
    expect(measures(storm, AFTER, 0).daysMetCount).toBe(1);
    expect(measures(storm, AFTER, 2).daysMetCount).toBe(0);
  });
});

describe('the summary without a trace', { timeout: 60_000 }, () => {
  const keys = [
    'daysMetCount',
    'deficitDayCount',
    'zeroYieldDayCount',
    'longestDeficitRunDays',
  ] as const;
  const volumes = ['totalYieldL', 'totalOverflowL', 'finalVolumeL'] as const;

  it('equals the trace exactly on whole litres', () => {
    fc.assert(
      fc.property(wholeCase, fc.constantFrom(AFTER, BEFORE), (one, operatingRule) => {
        const { capacityL, largerL, ...run } = one;
        const capacitiesL = [capacityL, largerL, capacityL];
        const fast = summariseStorage({ ...run, operatingRule, capacitiesL });
        capacitiesL.forEach((size, index) => {
          const traced = measures({ ...run, capacityL: size }, operatingRule);
          for (const key of [...keys, ...volumes]) expect(fast[index]?.[key]).toBe(traced[key]);
        });
      }),
      RUNS,
    );
  });

  it('equals the trace to rounding on any inflow, demand and rule', () => {
    fc.assert(
      fc.property(realCase, ({ startRatio, capacityL, ...run }) => {
        const initialVolumeL = startRatio * capacityL;
        const [fast] = summariseStorage({ ...run, initialVolumeL, capacitiesL: [capacityL] });
        const traced = measures({ ...run, capacityL }, run.operatingRule, initialVolumeL);
        for (const key of volumes) expect(fast?.[key]).toBeCloseTo(traced[key], 9);
        expect(fast?.volumetricReliabilityRatio).toBeCloseTo(traced.volumetricReliabilityRatio, 9);
      }),
      RUNS,
    );
  });
});

describe('sequent peak', { timeout: 60_000 }, () => {
  it('is the greatest running deficit, as the mass curve has it', () => {
    fc.assert(
      fc.property(wholeCase, ({ dailyInflowL, demandLPerDay }) => {
        let greatest = 0;
        for (let from = 0; from < dailyInflowL.length; from += 1) {
          let deficit = 0;
          for (const inflow of dailyInflowL.slice(from)) {
            deficit += demandLPerDay - inflow;
            greatest = Math.max(greatest, deficit);
          }
        }
        expect(sequentPeak({ dailyInflowL, demandLPerDay }).onePassL).toBe(greatest);
      }),
      RUNS,
    );
  });

  it('is the smallest full tank without failure before spillage, and S + 2D after it', () => {
    fc.assert(
      fc.property(wholeCase, ({ dailyInflowL, demandLPerDay }) => {
        const run = { dailyInflowL, demandLPerDay };
        const peak = sequentPeak(run).onePassL;
        const fails = (rule: OperatingRule, capacityL: number, initialVolumeL: number) =>
          measures({ ...run, capacityL }, rule, initialVolumeL).deficitDayCount;
        if (peak > 0) expect(fails(BEFORE, peak, peak)).toBe(0);
        if (peak > 1) expect(fails(BEFORE, peak - 1, peak - 1)).toBeGreaterThan(0);
        const after = peak + 2 * demandLPerDay;
        expect(fails(AFTER, after, after - demandLPerDay)).toBe(0);
      }),
      RUNS,
    );
  });
});
