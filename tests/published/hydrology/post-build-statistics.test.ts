import { describe, expect, it } from 'vitest';
import {
  chanceToMissAllFaults,
  designEffect,
  faultRatioBoundWithoutFaults,
  lotDecisionErrors,
  type ObservedLife,
  smallLotDecisionErrors,
  survivalCurve,
  visitSampleSize,
  wilsonInterval,
} from '../../../shared/index.ts';
import { expectPrinted } from './printed.ts';

describe('Wilson interval', () => {
  // Newcombe (1998), Table I, score method without continuity correction [memory], to 4 figures.
  it.each([
    [81, 263, '0.2553', '0.3662'],
    [15, 148, '0.0624', '0.1605'],
    [0, 20, '0', '0.1611'],
    [1, 29, '0.0061', '0.1718'],
  ])('gives the table for %i of %i', (x, n, low, high) => {
    expectPrinted(wilsonInterval(x, n)?.lowRatio ?? null, low, 'low');
    expectPrinted(wilsonInterval(x, n)?.highRatio ?? null, high, 'high');
  });

  // Computed from the formula apart from this engine.
  it.each([
    [81, 263, '0.255289', '0.366210'],
    [15, 148, '0.062386', '0.160487'],
    [0, 20, '0', '0.161125'],
    [1, 29, '0.006113', '0.171755'],
    [42, 50, '0.714858', '0.916626'],
    [20, 20, '0.838875', '1'],
    [29, 29, '0.883030', '1'],
  ])('gives six digits for %i of %i', (x, n, low, high) => {
    expectPrinted(wilsonInterval(x, n)?.lowRatio ?? null, low, 'low');
    expectPrinted(wilsonInterval(x, n)?.highRatio ?? null, high, 'high');
  });

  it('has a design effect of 1.45 for ten visits a village at ρ = 0.05', () => {
    expectPrinted(designEffect(10, 0.05), '1.45', 'design effect');
  });
});

describe('Kaplan–Meier curve', () => {
  // Freireich and others (freireich-1963), 6-MP and placebo arms, weeks, as printed in Le, Example 11.1.
  const failed = (times: number[]): ObservedLife[] =>
    times.map((time) => ({ time, hasFailed: true }));
  const left = (times: number[]): ObservedLife[] =>
    times.map((time) => ({ time, hasFailed: false }));
  const treated = [
    ...left([6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]),
    ...failed([6, 6, 6, 7, 10, 13, 16, 22, 23]),
  ];
  const placebo = failed([1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]);

  // S, standard error and log-log interval: the same in R survival 3.5-3.
  const PRINTED = [
    [6, 21, 3, '0.857143', '0.076360', '0.619718', '0.951552'],
    [7, 17, 1, '0.806723', '0.086935', '0.563147', '0.922809'],
    [10, 15, 1, '0.752941', '0.096350', '0.503200', '0.889362'],
    [13, 12, 1, '0.690196', '0.106815', '0.431610', '0.849066'],
    [16, 11, 1, '0.627451', '0.114054', '0.367511', '0.804912'],
    [22, 7, 1, '0.537815', '0.128234', '0.267779', '0.746791'],
    [23, 6, 1, '0.448179', '0.134591', '0.188052', '0.680143'],
  ] as const;

  it('gives every step of the treated arm', () => {
    const { steps } = survivalCurve(treated);
    expect(steps).toHaveLength(PRINTED.length);
    PRINTED.forEach(([time, atRisk, events, survival, error, low, high], index) => {
      const step = steps[index];
      expect(step).toMatchObject({ time, atRiskCount: atRisk, failedCount: events, isThin: false });
      expectPrinted(step?.survivalRatio ?? null, survival, `S(${time})`);
      expectPrinted(step?.standardError ?? null, error, `SE(${time})`);
      expectPrinted(step?.interval?.lowRatio ?? null, low, `low(${time})`);
      expectPrinted(step?.interval?.highRatio ?? null, high, `high(${time})`);
    });
  });

  it('gives the medians, the events and the time at risk', () => {
    const { medianTime, failedCount, totalTime } = survivalCurve(treated);
    expect(medianTime).toBe(23);
    expect(failedCount).toBe(9);
    expect(totalTime).toBe(359);
    expectPrinted(failedCount / totalTime, '0.0250696', 'events a week');
    expect(survivalCurve(placebo).medianTime).toBe(8);
  });
});

describe('sample sizes', () => {
  // Cochran (1977) chapter 4 [memory]: t = 2, p = 0.5, e = 0.05, N = 3200 gives 356.
  it('gives the worked example', () => {
    const example = { marginRatio: 0.05, z: 2 };
    expect(visitSampleSize({ ...example, populationCount: null })).toBe(400);
    expect(visitSampleSize({ ...example, populationCount: 3200 })).toBe(356);
  });

  // Computed apart from this engine with z = 1.959964; krejcie-morgan-1970 print 80 for 100.
  it.each([
    [50, 45],
    [100, 80],
    [200, 132],
    [500, 218],
    [1000, 278],
    [10_000, 370],
  ])('for %i tanks asks %i visits', (populationCount, visits) => {
    expect(visitSampleSize({ populationCount, marginRatio: 0.05 })).toBe(visits);
  });
});

describe('lot quality', () => {
  // Rules for n = 19 [memory of the manuals]; errors computed apart from this engine.
  it.each([
    [0.95, 0.65, 16, '0.013236', '0.059140'],
    [0.9, 0.6, 15, '0.035194', '0.069614'],
    [0.85, 0.55, 14, '0.053696', '0.077714'],
    [0.8, 0.5, 13, '0.067600', '0.083534'],
    [0.7, 0.4, 11, '0.083915', '0.088474'],
    [0.6, 0.3, 9, '0.088474', '0.083915'],
    [0.5, 0.2, 7, '0.083534', '0.067600'],
  ])('errs as computed for %d against %d, at least %i of 19', (high, low, least, alpha, beta) => {
    const found = lotDecisionErrors(19, least, high, low);
    expectPrinted(found.targetRejectedRatio, alpha, 'alpha');
    expectPrinted(found.thresholdAcceptedRatio, beta, 'beta');
  });

  it('errs less in small groups', () => {
    const forty = smallLotDecisionErrors(40, 19, 13, 32, 20);
    expectPrinted(forty.targetRejectedRatio, '0.014742', 'alpha of 40');
    expectPrinted(forty.thresholdAcceptedRatio, '0.028080', 'beta of 40');
    const hundred = smallLotDecisionErrors(100, 19, 13, 80, 50);
    expectPrinted(hundred.targetRejectedRatio, '0.047716', 'alpha of 100');
    expectPrinted(hundred.thresholdAcceptedRatio, '0.062368', 'beta of 100');
  });

  it('misses every faulty tank as seldom as computed', () => {
    expectPrinted(chanceToMissAllFaults(60, 6, 23), '0.046436', '6 of 60');
    expectPrinted(chanceToMissAllFaults(100, 5, 45), '0.046206', '5 of 100');
    expectPrinted(faultRatioBoundWithoutFaults(20), '0.139108', 'no fault in 20');
  });
});
