import { describe, expect, it } from 'vitest';
import { reachesTarget, type StorageSummary, summariseStorage } from '../../../shared/index.ts';

describe('reaching a target', () => {
  // ten days by hand: 100 L asked a day, 100 L come on seven of them, nothing is kept
  const [summary] = summariseStorage({
    dailyInflowL: [100, 100, 0, 100, 100, 50, 100, 100, 0, 100],
    demandLPerDay: 100,
    operatingRule: 'yield-before-spillage',
    capacitiesL: [1],
  });
  const ten = summary as StorageSummary;

  it.each([
    ['volumetric', 0.75, true],
    ['volumetric', 0.752, false],
    ['days-met', 0.7, true],
    ['days-met', 0.701, false],
    ['days-met', 0, true],
  ] as const)('by %s of %d is %s', (measure, target, expected) => {
    expect(reachesTarget(ten, measure, target)).toBe(expected);
  });

  it('takes a tie of floating-point sums as reached', () => {
    const tie = { ...ten, volumetricReliabilityRatio: 0.1 + 0.7 };
    expect(0.1 + 0.7).toBeLessThan(0.8);
    expect(reachesTarget(tie, 'volumetric', 0.8)).toBe(true);
    expect(reachesTarget(tie, 'volumetric', 0.8 + 1e-9)).toBe(false);
  });
});
