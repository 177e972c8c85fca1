import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkTank } from '../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { EngineError } from '../../shared/errors.ts';
import { SOIL_CLASSES } from '../../shared/structure/soil-bearing.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Numbers that a careless client may send, beside the sensible ones. */
const wild = (sensible: fc.Arbitrary<number>) =>
  fc.oneof(
    { weight: 40, arbitrary: sensible },
    { weight: 1, arbitrary: fc.double() },
    { weight: 1, arbitrary: fc.constantFrom(0, -1, 1e-300, 1e300, Number.NaN, -0) },
  );

const bands = fc.record({
  widthMm: wild(between(5, 200)),
  thicknessMm: wild(between(0.3, 10)),
  yieldStrengthMPa: wild(between(150, 700)),
  jointEfficiencyRatio: wild(between(0.1, 1)),
});

const arrangements = fc.oneof(
  fc.record({
    spacing: fc.constantFrom<'even' | 'equal-load'>('even', 'equal-load'),
    count: wild(fc.integer({ min: 1, max: 12 })),
  }),
  fc.record({
    spacing: fc.constant<'given'>('given'),
    levelsBelowWaterM: fc
      .array(wild(between(0, 2.5)), { minLength: 0, maxLength: 6 })
      .map((levels) => levels.sort((a, b) => a - b)),
  }),
);

const designs: fc.Arbitrary<TankDesignInput> = fc
  .record({
    insideDiameterM: wild(between(0.6, 3.4)),
    waterDepthM: wild(between(0.6, 2.6)),
    wallThicknessM: wild(between(0.03, 0.09)),
    poissonRatio: fc.option(wild(between(0, 0.4)), { nil: undefined }),
    mortarModulusPa: fc.option(wild(between(1e9, 60e9)), { nil: undefined }),
    bands,
    arrangement: arrangements,
    dome: fc.record({
      riseM: wild(between(0.1, 0.8)),
      thicknessM: wild(between(0.02, 0.1)),
      gridSpacingM: wild(between(0.05, 0.29)),
      stripThicknessMm: fc.option(wild(between(0, 10)), { nil: undefined }),
      liveLoadPa: fc.option(wild(between(0, 3000)), { nil: undefined }),
    }),
    slab: fc.record({ diameterM: wild(between(3.4, 4.5)), thicknessM: wild(between(0.05, 0.2)) }),
    soilClass: fc.option(fc.constantFrom(...SOIL_CLASSES), { nil: undefined }),
    windSpeedMPerS: fc.option(wild(between(0, 60)), { nil: undefined }),
    seismic: fc.option(
      fc.record({
        impulsiveCoefficient: wild(between(0, 0.6)),
        convectiveCoefficient: wild(between(0, 0.2)),
      }),
      { nil: undefined },
    ),
  })
  .map(({ arrangement, ...design }) => ({
    ...design,
    bands: { ...design.bands, ...arrangement },
  }));

function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} = ${value}`];
  if (value === undefined) return [`${path} undefined`];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => notFinite(inner, `${path}.${key}`));
}

/** More with HOOPWRIGHT_PROPERTY_RUNS; 100,000 were run once with no number that is not finite. */
const numRuns = Number(process.env.HOOPWRIGHT_PROPERTY_RUNS ?? 1500);

describe('checkTank', () => {
  it('gives finite numbers or an error that names parameter, value and limit', () => {
    let judged = 0;
    let refused = 0;
    fc.assert(
      fc.property(designs, (design) => {
        try {
          expect(notFinite(checkTank(design))).toEqual([]);
          judged += 1;
        } catch (error) {
          if (!(error instanceof EngineError)) throw error;
          expect(error.parameter.length).toBeGreaterThan(0);
          expect(error.limit.length).toBeGreaterThan(0);
          refused += 1;
        }
      }),
      { numRuns },
    );
    // a generator that is always refused would prove nothing
    expect(judged).toBeGreaterThan(numRuns / 10);
    expect(refused).toBeGreaterThan(numRuns / 100);
  });

  const sensible: fc.Arbitrary<TankDesignInput> = fc
    .record({
      insideDiameterM: between(1.2, 2.6),
      waterDepthM: between(0.9, 2),
      wallThicknessM: between(0.045, 0.08),
      count: fc.integer({ min: 2, max: 6 }),
      spacing: fc.constantFrom<'even' | 'equal-load'>('even', 'equal-load'),
    })
    .map(({ count, spacing, ...tank }) => ({
      ...tank,
      bands: {
        widthMm: 25,
        thicknessMm: 2,
        yieldStrengthMPa: 250,
        jointEfficiencyRatio: 0.66,
        spacing,
        count,
      },
      dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
      slab: { diameterM: tank.insideDiameterM + 0.5, thicknessM: 0.1 },
      soilClass: 'firm-clay',
    }));

  const worst = (design: TankDesignInput, id: string) =>
    checkTank(design).checks.find((check) => check.id === id)?.utilisationRatio ?? Number.NaN;

  it('asks no less of bands and ground when the water is deeper', () => {
    fc.assert(
      fc.property(sensible, between(1.01, 1.3), (design, factor) => {
        const deeper = { ...design, waterDepthM: design.waterDepthM * factor };
        for (const id of [
          'band-gross-stress',
          'band-net-stress',
          'bearing-full',
          'wall-hoop-stress',
        ]) {
          expect(worst(deeper, id)).toBeGreaterThan(worst(design, id));
        }
      }),
      { numRuns: 40 },
    );
  });

  it('asks less of thicker bands, in proportion', () => {
    fc.assert(
      fc.property(sensible, (design) => {
        const thicker = { ...design, bands: { ...design.bands, thicknessMm: 4 } };
        const ratio = worst(design, 'band-net-stress') / worst(thicker, 'band-net-stress');
        expect(ratio).toBeCloseTo(2, 9);
      }),
      { numRuns: 40 },
    );
  });

  it('asks less of the lowest band when bands share the load equally', () => {
    fc.assert(
      fc.property(sensible, (design) => {
        const of = (spacing: 'even' | 'equal-load') =>
          worst({ ...design, bands: { ...design.bands, spacing } }, 'band-gross-stress');
        expect(of('equal-load')).toBeLessThan(of('even'));
      }),
      { numRuns: 40 },
    );
  });

  it('calls the engineer exactly when a check is above 0.9 or fails', () => {
    fc.assert(
      fc.property(sensible, (design) => {
        const result = checkTank(design);
        const called = result.reviewTriggers.some((trigger) => trigger.id === 'utilisation');
        expect(called).toBe(result.outcome !== 'pass');
        // a rule of detailing that is kept, up to its limit, uses up no strength
        const ratios = result.checks
          .filter(({ id, outcome }) => id !== 'band-spacing' || outcome === 'fail')
          .map((check) => check.utilisationRatio);
        expect(result.maxUtilisationRatio).toBe(Math.max(...ratios));
      }),
      { numRuns: 60 },
    );
  });
});
