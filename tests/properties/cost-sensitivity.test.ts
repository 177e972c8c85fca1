import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { builtUpCost, COST_KINDS, type CostBuildUp } from '../../shared/costing/cost-build-up.ts';
import { withFactor } from '../../shared/costing/cost-factor.ts';
import { type CostSensitivity, costSensitivity } from '../../shared/costing/cost-sensitivity.ts';
import { costSlopes } from '../../shared/costing/cost-slope.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const buildUps: fc.Arbitrary<CostBuildUp> = fc
  .record({
    lines: fc.array(
      fc.record({
        kind: fc.constantFrom(...COST_KINDS),
        quantity: between(0.01, 1_000),
        wasteRatio: fc.oneof(fc.constant(0), between(0.01, 0.5)),
        unitPrice: between(0.01, 500),
        isForeign: fc.boolean(),
      }),
      { minLength: 1, maxLength: 8 },
    ),
    rate: between(0.01, 2_000),
    contingencyRatio: fc.oneof(fc.constant(0), between(0.01, 0.4)),
    capacityL: between(200, 20_000),
    usableRatio: between(0.5, 1),
    serviceLifeYears: fc.integer({ min: 1, max: 60 }),
    yearlyRateRatio: fc.oneof(fc.constant(0), between(0.001, 0.3)),
    yearlyMaintenance: between(0, 100),
    litresPerYear: between(100, 100_000),
    repair: between(0, 300),
  })
  .map(({ lines, rate, serviceLifeYears, repair, ...one }) => ({
    lines: lines.map(({ isForeign, ...line }, index) => ({
      ...line,
      code: `line ${index}`,
      ...(isForeign ? { exchangeCode: 'X' } : {}),
    })),
    exchangeRates: [{ code: 'X', rate }],
    contingencyRatio: one.contingencyRatio,
    capacityL: one.capacityL,
    usableRatio: one.usableRatio,
    lifeCycle: {
      serviceLifeYears,
      yearlyRateRatio: one.yearlyRateRatio,
      yearlyMaintenance: one.yearlyMaintenance,
      litresPerYear: one.litresPerYear,
      majorCosts: [{ year: Math.ceil(serviceLifeYears / 2), cost: repair }],
    },
  }));

/** The same tank with its money counted in another unit. */
function inOtherMoney(buildUp: CostBuildUp, times: number): CostBuildUp {
  const { lifeCycle } = buildUp;
  return {
    ...buildUp,
    lines: buildUp.lines.map((line) =>
      line.exchangeCode === undefined ? { ...line, unitPrice: line.unitPrice * times } : line,
    ),
    exchangeRates: (buildUp.exchangeRates ?? []).map(({ code, rate }) => ({
      code,
      rate: rate * times,
    })),
    lifeCycle: lifeCycle && {
      ...lifeCycle,
      yearlyMaintenance: lifeCycle.yearlyMaintenance * times,
      majorCosts: lifeCycle.majorCosts.map(({ year, cost }) => ({ year, cost: cost * times })),
    },
  };
}

const ranking = ({ factors }: CostSensitivity) =>
  factors.map(({ kind, code, costPerUsableL, costPerDeliveredL }) => [
    kind,
    code,
    costPerUsableL.rank,
    costPerDeliveredL?.rank,
  ]);

describe('cost sensitivity', { timeout: 60_000 }, () => {
  it('ranks alike in any currency', () => {
    fc.assert(
      fc.property(buildUps, fc.integer({ min: -10, max: 14 }), (buildUp, power) => {
        // powers of two are exact, so that near ties stay as they are
        const other = inOtherMoney(buildUp, 2 ** power);
        expect(ranking(costSensitivity({ buildUp: other }))).toEqual(
          ranking(costSensitivity({ buildUp })),
        );
      }),
    );
  });

  it('has elasticities of prices that sum to 1, with maintenance and repairs over the life', () => {
    fc.assert(
      fc.property(buildUps, (buildUp) => {
        const { factors } = costSensitivity({ buildUp });
        let capital = 0;
        let life = 0;
        for (const { kind, costPerUsableL, costPerDeliveredL } of factors) {
          if (kind === 'unit-price') capital += costPerUsableL.elasticity ?? Number.NaN;
          if (['unit-price', 'maintenance', 'major-cost'].includes(kind)) {
            life += costPerDeliveredL?.elasticity ?? Number.NaN;
          }
        }
        expect(capital).toBeCloseTo(1, 10);
        expect(life).toBeCloseTo(1, 10);
      }),
    );
  });

  it('gives a factor without a range no swing, and a wider range no smaller one', () => {
    fc.assert(
      fc.property(buildUps, between(0, 0.4), (buildUp, rangeRatio) => {
        for (const { costPerUsableL, costPerDeliveredL } of costSensitivity({
          buildUp,
          rangeRatio: 0,
        }).factors) {
          expect(costPerUsableL.swing).toBe(0);
          expect(costPerDeliveredL?.swing).toBe(0);
        }
        const wide = costSensitivity({ buildUp, rangeRatio: 2 * rangeRatio });
        for (const { kind, code, costPerUsableL } of costSensitivity({ buildUp, rangeRatio })
          .factors) {
          const same = wide.factors.find((one) => one.kind === kind && one.code === code);
          expect(same?.costPerUsableL.swingRatio).toBeGreaterThanOrEqual(
            costPerUsableL.swingRatio - 1e-12,
          );
        }
      }),
    );
  });

  it('has the slopes that small steps show', () => {
    fc.assert(
      fc.property(buildUps, (buildUp) => {
        for (const factor of costSensitivity({ buildUp, rangeRatio: 0 }).factors) {
          if (factor.kind === 'service-life' || factor.base === 0) continue;
          const step = factor.base * 1e-4;
          // a share of the capacity ends at 1
          const top =
            factor.kind === 'usable-ratio' ? Math.min(1, factor.base + step) : factor.base + step;
          const at = (value: number) => builtUpCost(withFactor(buildUp, factor, value));
          const [low, high] = [at(factor.base - step), at(top)];
          const width = top - (factor.base - step);
          const slopes = costSlopes(buildUp, factor);
          const near = (slope: number | null, atLow: number, atHigh: number) =>
            expect(
              Math.abs(((slope ?? Number.NaN) * width - (atHigh - atLow)) / atHigh),
            ).toBeLessThan(1e-7);
          near(slopes.costPerUsableL, low.costPerUsableL, high.costPerUsableL);
          near(
            slopes.costPerDeliveredL,
            low.lifeCycle?.costPerDeliveredL ?? Number.NaN,
            high.lifeCycle?.costPerDeliveredL ?? Number.NaN,
          );
        }
      }),
    );
  });

  it('shares out the whole variance where a spread is given', () => {
    fc.assert(
      fc.property(buildUps, between(0.01, 0.3), (buildUp, spread) => {
        const all = costSensitivity({ buildUp }).factors;
        const { factors } = costSensitivity({
          buildUp,
          ranges: all.map(({ kind, code, base }) => ({
            kind,
            code,
            standardDeviation: base * spread,
          })),
        });
        const sum = (of: (one: (typeof factors)[number]) => number | null | undefined) =>
          factors.reduce((total, one) => total + (of(one) ?? Number.NaN), 0);
        expect(sum(({ costPerUsableL }) => costPerUsableL.varianceShareRatio)).toBeCloseTo(1, 10);
        expect(sum(({ costPerDeliveredL }) => costPerDeliveredL?.varianceShareRatio)).toBeCloseTo(
          1,
          10,
        );
      }),
    );
  });
});
