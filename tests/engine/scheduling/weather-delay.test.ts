import { describe, expect, it } from 'vitest';
import { weatherDelay } from '../../../shared/index.ts';

const LEVELS = [0.5, 0.8, 0.9];
const daysOf = (delay: ReturnType<typeof weatherDelay>) =>
  delay.quantileDays.map(({ days }) => days);

describe('calendar days for so many dry days', () => {
  // worked out for the project by another program; mean N/(1−p), sd √(N·p)/(1−p) by hand
  it.each([
    [10, 0.2, '12.500', '1.768', [12, 14, 15]],
    [20, 0.3, '28.571', '3.499', [28, 31, 33]],
    [30, 0.4, '50.000', '5.774', [50, 55, 58]],
    [60, 0.25, '80.000', '5.164', [80, 84, 87]],
  ])('%i at a wet chance of %f', (dryDays, wetRatio, mean, deviation, quantiles) => {
    const delay = weatherDelay(dryDays, { kind: 'independent', wetRatio }, LEVELS);
    expect(delay.meanDays.toFixed(3)).toBe(mean);
    expect(delay.standardDeviationDays.toFixed(3)).toBe(deviation);
    expect(daysOf(delay)).toEqual(quantiles);
  });

  // the same program, and 200,000 runs of a simulation: mean 28.74, sd 4.72
  it('in a chain of wet and dry spells reach further into the tail', () => {
    const delay = weatherDelay(
      20,
      { kind: 'chain', wetAfterWetRatio: 0.5, wetAfterDryRatio: 3 / 14 },
      LEVELS,
    );
    expect(daysOf(delay)).toEqual([28, 32, 35]);
    // a simulated mean of so many runs errs by 4.72/√200000 ≈ 0.01 and is given to 0.01
    expect(Math.abs(delay.meanDays - 28.74)).toBeLessThan(0.04);
    expect(Math.abs(delay.standardDeviationDays - 4.72)).toBeLessThan(0.04);
  });

  it('are refused where the recursion does not hold, naming the field', () => {
    const dry = { kind: 'independent', wetRatio: 0 } as const;
    expect(() => weatherDelay(1.5, dry, LEVELS)).toThrow('dryDays = 1.5');
    expect(() => weatherDelay(0, dry, LEVELS)).toThrow('dryDays = 0');
    expect(() => weatherDelay(5, dry, [1])).toThrow('levelRatios[0] = 1');
    expect(() => weatherDelay(5, { ...dry, wetRatio: 1 }, LEVELS)).toThrow('wetRatio = 1');
    expect(() =>
      weatherDelay(5, { kind: 'chain', wetAfterWetRatio: 0.99, wetAfterDryRatio: 0.1 }, LEVELS),
    ).toThrow('wetAfterWetRatio = 0.99');
  });
});
