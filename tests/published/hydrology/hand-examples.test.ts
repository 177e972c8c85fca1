import { describe, expect, it } from 'vitest';
import {
  type NamedOperatingRule,
  reliability,
  sequentPeak,
  simulateStorage,
  summariseStorage,
} from '../../../shared/index.ts';
import examples from './hand-examples.json' with { type: 'json' };

describe('ten-day example, by hand', () => {
  const { capacityL, demandLPerDay, initialVolumeL, dailyInflowL, rules } = examples.tenDays;
  it.each(rules)('matches every day under $rule', (expected) => {
    const input = {
      dailyInflowL,
      demandLPerDay,
      initialVolumeL,
      operatingRule: expected.rule as NamedOperatingRule,
    };
    const trace = simulateStorage({ ...input, capacityL });
    expect([...trace.dailyYieldL]).toEqual(expected.yieldL);
    expect([...trace.dailyOverflowL]).toEqual(expected.overflowL);
    expect([...trace.endOfDayVolumeL]).toEqual(expected.volumeL);
    const [fast] = summariseStorage({ ...input, capacitiesL: [capacityL] });
    for (const found of [reliability(trace), fast]) {
      expect(found?.volumetricReliabilityRatio).toBeCloseTo(
        expected.volumetricReliabilityRatio,
        12,
      );
      expect(found?.daysMetCount).toBe(expected.daysMetCount);
    }
  });
});

// Loucks and van Beek, sequent peak table: inflows and release [memory], storages recomputed.
describe('sequent peak table of a textbook', () => {
  const { inflows, releases } = examples.sequentPeakTable;
  it.each(releases)('needs $cyclic at a release of $release', ({ release, cyclic, onePass }) => {
    const found = sequentPeak({ dailyInflowL: inflows, demandLPerDay: release });
    expect(found.cyclicL).toBe(cyclic);
    if (onePass !== undefined) expect(found.onePassL).toBe(onePass);
  });

  it('has no cyclic answer when more is released than flows in', () => {
    const found = sequentPeak({ dailyInflowL: inflows, demandLPerDay: 4.1 });
    expect(found.cyclicL).toBeNull();
    expect(found.cyclicCriticalPeriod).toBeNull();
  });
});
