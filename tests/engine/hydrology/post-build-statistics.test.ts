import { describe, expect, it } from 'vitest';
import {
  chanceToMissAllFaults,
  designEffect,
  faultRatioBoundWithoutFaults,
  lotDecisionErrors,
  smallLotDecisionErrors,
  survivalCurve,
  visitSampleSize,
  wilsonInterval,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

describe('Wilson interval', () => {
  it('has nothing to say about no visits', () => {
    expect(wilsonInterval(0, 0)).toBeNull();
  });

  it('widens with the design effect as with fewer visits', () => {
    const clustered = wilsonInterval(40, 50, undefined, 2);
    expect(clustered).toEqual({ ...wilsonInterval(20, 25), ratio: 0.8 });
  });

  it('refuses impossible counts', () => {
    expectRefusal(() => wilsonInterval(6, 5), 'out-of-range', 'foundCount');
    expectRefusal(() => wilsonInterval(1.5, 5), 'out-of-range', 'foundCount');
    expectRefusal(() => wilsonInterval(0, -1), 'out-of-range', 'sampleCount');
    expectRefusal(() => wilsonInterval(1, 5, 0), 'out-of-range', 'z');
    expectRefusal(() => wilsonInterval(1, 5, 2, 0.9), 'out-of-range', 'designEffect');
    expectRefusal(() => designEffect(0, 0.1), 'out-of-range', 'visitsPerCluster');
    expectRefusal(() => designEffect(10, 1.1), 'out-of-range', 'intraclassCorrelation');
  });
});

describe('survival of tanks', () => {
  it('falls to zero without an interval when the last tank at risk fails', () => {
    const lives = [1, 2].map((time) => ({ time, hasFailed: true }));
    const { steps, medianTime } = survivalCurve(lives);
    expect(steps.map((step) => step.survivalRatio)).toEqual([0.5, 0]);
    expect(steps[1]).toMatchObject({ interval: null, standardError: 0, isThin: true });
    expect(medianTime).toBe(1);
  });

  it('has no step and no median where nothing failed', () => {
    const found = survivalCurve([{ time: 5, hasFailed: false }]);
    expect(found).toEqual({ steps: [], medianTime: null, failedCount: 0, totalTime: 5 });
  });

  it('keeps a tank last seen at the time of a failure at risk', () => {
    const lives = [
      { time: 3, hasFailed: true },
      { time: 3, hasFailed: false },
    ];
    expect(survivalCurve(lives).steps[0]).toMatchObject({ atRiskCount: 2, survivalRatio: 0.5 });
  });

  it('refuses no tanks and times before the handover', () => {
    expectRefusal(() => survivalCurve([]), 'out-of-range', 'lives');
    const early = [{ time: -1, hasFailed: true }];
    expectRefusal(() => survivalCurve(early), 'out-of-range', 'lives[0].time');
  });
});

describe('samples and lots', () => {
  it('never visits more tanks than there are', () => {
    expect(visitSampleSize({ populationCount: 3, marginRatio: 0.001 })).toBe(3);
    expect(visitSampleSize({ populationCount: 0, marginRatio: 0.05 })).toBe(0);
    const shares = { populationCount: 10, marginRatio: 0.05, expectedRatio: 1.1 };
    expectRefusal(() => visitSampleSize(shares), 'out-of-range', 'expectedRatio');
    const none = { populationCount: 10, marginRatio: 0 };
    expectRefusal(() => visitSampleSize(none), 'out-of-range', 'marginRatio');
    const parts = { populationCount: 10.5, marginRatio: 0.05 };
    expectRefusal(() => visitSampleSize(parts), 'out-of-range', 'populationCount');
  });

  it('passes every group where none need be good', () => {
    expect(lotDecisionErrors(19, 0, 0.9, 0.6)).toEqual({
      targetRejectedRatio: 0,
      thresholdAcceptedRatio: 1,
    });
    expectRefusal(() => lotDecisionErrors(19, 20, 0.9, 0.6), 'out-of-range', 'leastGoodCount');
    expectRefusal(() => lotDecisionErrors(19, 13, 1.9, 0.6), 'out-of-range', 'targetRatio');
  });

  // Counted by hand: of the 6 pairs from 4 tanks of which 2 are good, 1 has none and 4 have one.
  it('counts the pairs of four tanks', () => {
    const found = smallLotDecisionErrors(4, 2, 2, 2, 2);
    expect(found.targetRejectedRatio).toBeCloseTo(5 / 6, 12);
    expect(found.thresholdAcceptedRatio).toBeCloseTo(1 / 6, 12);
    expect(chanceToMissAllFaults(4, 2, 2)).toBeCloseTo(1 / 6, 12);
    expect(chanceToMissAllFaults(4, 3, 2)).toBe(0);
    expectRefusal(() => smallLotDecisionErrors(4, 2, 1, 5, 2), 'out-of-range', 'goodAtTargetCount');
    expectRefusal(() => smallLotDecisionErrors(4, 5, 1, 2, 2), 'out-of-range', 'sampleCount');
    expectRefusal(() => chanceToMissAllFaults(4, 5, 2), 'out-of-range', 'faultyCount');
    expectRefusal(() => faultRatioBoundWithoutFaults(0), 'out-of-range', 'sampleCount');
  });
});
