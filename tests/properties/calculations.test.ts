import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { z } from 'zod';
import {
  costSensitivityInput,
  costSensitivityResult,
} from '../../shared/contract/calculation-cost-sensitivity.ts';
import {
  disinfectionDoseInput,
  disinfectionDoseResult,
} from '../../shared/contract/calculation-disinfection-dose.ts';
import {
  lifeCycleCostInput,
  lifeCycleCostResult,
} from '../../shared/contract/calculation-life-cycle-cost.ts';
import {
  storageReliabilityInput,
  storageReliabilityResult,
} from '../../shared/contract/calculation-storage-reliability.ts';
import { tankCheckInput, tankCheckResult } from '../../shared/contract/calculation-tank-check.ts';
import {
  watertightnessInput,
  watertightnessResult,
} from '../../shared/contract/calculation-watertightness.ts';
import { SOIL_CLASSES } from '../../shared/structure/soil-bearing.ts';
import { calculations } from '../../src/modules/calculations/use-cases.ts';
import { answered, oddly, PROPERTY_RUNS } from '../support/answered.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });

const storage = fc.record({
  roofAreaM2: between(1, 500),
  runoffCoefficient: between(0, 1),
  firstFlushMm: maybe(between(0, 5)),
  dailyRainMm: fc.array(fc.oneof(fc.constant(0), between(0, 200)), { minLength: 1, maxLength: 60 }),
  demandLPerDay: between(0, 1_000),
  capacitiesL: fc.array(between(1, 20_000), { minLength: 1, maxLength: 5 }),
  operatingRule: fc.constantFrom('yield-after-spillage', 'yield-before-spillage'),
  initialVolumeL: maybe(between(0, 500)),
});

const bands = fc.oneof(
  fc.record({
    spacing: fc.constantFrom('even', 'equal-load'),
    count: fc.integer({ min: 1, max: 12 }),
  }),
  fc.record({
    spacing: fc.constant('given'),
    levelsBelowWaterM: fc
      .array(between(0.05, 1.2), { minLength: 1, maxLength: 5 })
      .map((levels) => levels.sort((a, b) => a - b)),
  }),
);

const design = fc
  .record({
    insideDiameterM: between(0.9, 3.2),
    waterDepthM: between(1.2, 2.6),
    wallThicknessM: between(0.03, 0.09),
    section: fc.record({
      widthMm: between(10, 60),
      thicknessMm: between(0.5, 5),
      yieldStrengthMPa: between(200, 400),
      jointEfficiencyRatio: between(0.3, 1),
    }),
    bands,
    dome: fc.record({
      riseM: between(0.1, 0.45),
      thicknessM: between(0.02, 0.1),
      gridSpacingM: between(0.1, 0.4),
    }),
    slab: fc.record({ diameterM: between(3.4, 4.5), thicknessM: between(0.06, 0.2) }),
    soilClass: maybe(fc.constantFrom(...SOIL_CLASSES)),
    windSpeedMPerS: maybe(between(0, 60)),
    seismic: maybe(
      fc.record({ impulsiveCoefficient: between(0, 0.6), convectiveCoefficient: between(0, 0.2) }),
    ),
  })
  .map(({ section, ...rest }) => ({ ...rest, bands: { ...section, ...rest.bands } }));

const watertightness = fc.record({
  startReadingMm: between(0, 500),
  endReadingMm: between(0, 500),
  testDays: fc.constantFrom(7, 7, 7, 6),
  soakDays: fc.integer({ min: 0, max: 30 }),
  correction: fc.oneof(
    fc.constant({ kind: 'covered' }),
    fc.record({
      kind: fc.constant('control-pan'),
      startReadingMm: between(0, 100),
      endReadingMm: between(0, 100),
    }),
    fc.record({
      kind: fc.constant('estimate'),
      evaporationMm: between(0, 50),
      rainMm: between(0, 50),
    }),
  ),
  averageDepthM: between(0.3, 4),
  waterSurfaceAreaM2: between(0.1, 30),
  readingErrorMm: between(0, 3),
  hasVisibleLeak: fc.boolean(),
});

const dose = fc.record({
  waterVolumeL: between(1, 22_000),
  doseMgPerL: between(0.1, 60),
  product: fc.oneof(
    fc.record({ kind: fc.constant('powder'), availableChlorineRatio: between(0.2, 0.9) }),
    fc.record({ kind: fc.constant('liquid'), chlorineGPerMl: between(0.01, 0.15) }),
  ),
  isStabilised: fc.oneof(
    { weight: 9, arbitrary: fc.constant(false) },
    { weight: 1, arbitrary: fc.constant(true) },
  ),
  productAgeDays: between(0, 1_000),
  purpose: fc.constantFrom('drinking', 'shock', 'shock'),
});

const amount = fc.integer({ min: 0, max: 100_000_000 }).map((cents) => ({
  amount: (cents / 100).toFixed(2),
  currency: 'EUR',
}));

const lifeCycle = fc.record({
  capitalCost: amount,
  yearlyOperatingCost: amount,
  majorCosts: fc.array(fc.record({ year: fc.integer({ min: 0, max: 20 }), cost: amount }), {
    maxLength: 4,
  }),
  years: fc.integer({ min: 10, max: 200 }),
  yearlyRateRatio: fc.oneof(fc.constant(0), between(0, 1)),
  usableCapacityL: maybe(between(1, 20_000)),
  personsServed: maybe(fc.integer({ min: 0, max: 500 })),
});

const costLine = fc.record({
  kind: fc.constantFrom('material', 'labour', 'transport', 'equipment', 'other'),
  quantity: fc.oneof(
    { weight: 8, arbitrary: between(1e-3, 1e4) },
    { weight: 1, arbitrary: between(0, 1e-3) },
  ),
  wasteRatio: maybe(between(0, 2)),
  unitPrice: fc.record({
    amount: fc.integer({ min: 0, max: 1_000_000 }).map((cents) => (cents / 100).toFixed(2)),
    currency: fc.constantFrom('EUR', 'EUR', 'USD'),
  }),
});

const sensitivity = fc
  .record({
    lines: fc.array(costLine, { minLength: 1, maxLength: 6 }),
    contingencyRatio: maybe(between(0, 1)),
    capacityL: between(1, 20_000),
    usableRatio: maybe(between(0.01, 1)),
    lifeCycle: maybe(
      fc.record({
        serviceLifeYears: fc.integer({ min: 1, max: 200 }),
        yearlyRateRatio: fc.oneof(fc.constant(0), between(0, 1)),
        yearlyMaintenance: amount,
        litresPerYear: between(1, 1e6),
        majorCosts: fc.array(fc.record({ year: fc.integer({ min: 0, max: 12 }), cost: amount }), {
          maxLength: 3,
        }),
      }),
    ),
    rangeRatio: maybe(between(0, 0.9)),
    ranges: fc.constantFrom<object[][]>(
      [],
      [{ kind: 'capacity', standardDeviation: 50 }],
      [{ kind: 'unit-price', code: 'line 0', low: 0, high: 1e6, standardDeviation: 2 }],
    ),
  })
  .map(({ lines, ...rest }) => ({
    ...rest,
    currency: 'EUR',
    lines: lines.map((line, index) => ({ ...line, code: `line ${index}` })),
    exchangeRates: [{ currency: 'USD', rate: 0.93 }],
  }));

interface Tried {
  readonly input: z.ZodType<never>;
  readonly output: z.ZodType;
  run(body: never): unknown;
  readonly bodies: fc.Arbitrary<unknown>;
  /** Fields without which there is no answer, each with at least one entry. */
  readonly carries: readonly string[];
}

const CALCULATIONS: Readonly<Record<string, Tried>> = {
  'storage-reliability': {
    input: storageReliabilityInput as never,
    output: storageReliabilityResult,
    run: calculations.storageReliability,
    bodies: storage,
    carries: ['results', 'cautions'],
  },
  'tank-check': {
    input: tankCheckInput as never,
    output: tankCheckResult,
    run: calculations.tankCheck,
    bodies: design,
    carries: ['checks', 'bands', 'cautions', 'standingSentence'],
  },
  watertightness: {
    input: watertightnessInput as never,
    output: watertightnessResult,
    run: calculations.watertightness,
    bodies: watertightness,
    carries: ['outcome', 'reason', 'volumeRateLimits', 'cautions'],
  },
  'disinfection-dose': {
    input: disinfectionDoseInput as never,
    output: disinfectionDoseResult,
    run: calculations.disinfectionDose,
    bodies: dose,
    carries: ['cautions'],
  },
  'life-cycle-cost': {
    input: lifeCycleCostInput as never,
    output: lifeCycleCostResult,
    run: calculations.lifeCycleCost,
    bodies: lifeCycle,
    carries: ['cautions'],
  },
  'cost-sensitivity': {
    input: costSensitivityInput as never,
    output: costSensitivityResult,
    run: calculations.costSensitivity,
    bodies: sensitivity,
    carries: ['factors', 'cautions'],
  },
};

describe('whatever is asked, an answer is finite and carries its checks', () => {
  it.each(Object.entries(CALCULATIONS))('%s', { timeout: 600_000 }, async (_name, calculation) => {
    let answerCount = 0;
    await fc.assert(
      fc.asyncProperty(oddly(calculation.bodies), async (body) => {
        const answer = (await answered(calculation, body)) as Record<string, unknown[]> | null;
        if (answer === null) return;
        answerCount += 1;
        for (const field of calculation.carries) {
          expect(answer[field]?.length, field).toBeGreaterThan(0);
        }
      }),
      { numRuns: PROPERTY_RUNS },
    );
    expect(answerCount).toBeGreaterThan(PROPERTY_RUNS / 3);
  });
});
