import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { weatherDelay } from '../../shared/index.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';

const days = fc.integer({ min: 1, max: 60 });
const ratio = (max: number) => fc.double({ min: 0, max, noNaN: true });
const numRuns = Math.ceil(PROPERTY_RUNS / 4);

describe('delay by weather', { timeout: 1_200_000 }, () => {
  it('of independent days has the mean and deviation of the negative binomial count', () => {
    fc.assert(
      fc.property(days, ratio(0.9), (dryDays, wetRatio) => {
        const delay = weatherDelay(dryDays, { kind: 'independent', wetRatio }, [0.5]);
        expect(delay.meanDays).toBeCloseTo(dryDays / (1 - wetRatio), 6);
        const deviation = Math.sqrt(dryDays * wetRatio) / (1 - wetRatio);
        expect(Math.abs(delay.standardDeviationDays - deviation)).toBeLessThan(1e-3);
      }),
      { numRuns },
    );
  });

  it('of a chain without memory is that of independent days', () => {
    fc.assert(
      fc.property(days, ratio(0.9), (dryDays, wet) => {
        const chain = { kind: 'chain', wetAfterWetRatio: wet, wetAfterDryRatio: wet } as const;
        const levels = [0.2, 0.5, 0.8, 0.95];
        const one = weatherDelay(dryDays, chain, levels);
        const other = weatherDelay(dryDays, { kind: 'independent', wetRatio: wet }, levels);
        expect(one.quantileDays).toEqual(other.quantileDays);
        expect(one.meanDays).toBeCloseTo(other.meanDays, 6);
      }),
      { numRuns },
    );
  });

  it('grows with the work, the level asked and the chance of rain, and never undercuts the work', () => {
    fc.assert(
      fc.property(days, ratio(0.8), ratio(0.8), (dryDays, one, other) => {
        const levels = [0.1, 0.5, 0.8, 0.9, 0.99];
        const [low, high] = [Math.min(one, other), Math.max(one, other)];
        const of = (n: number, wetRatio: number) =>
          weatherDelay(n, { kind: 'independent', wetRatio }, levels).quantileDays.map(
            (q) => q.days,
          );
        const calm = of(dryDays, low);
        const wet = of(dryDays, high);
        const longer = of(dryDays + 1, low);
        for (const [at, count] of calm.entries()) {
          expect(count).toBeGreaterThanOrEqual(Math.max(dryDays, calm[at - 1] ?? 0));
          expect(wet[at]).toBeGreaterThanOrEqual(count);
          expect(longer[at]).toBeGreaterThan(count);
        }
      }),
      { numRuns },
    );
  });
});
