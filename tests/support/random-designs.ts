import fc from 'fast-check';
import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { SOIL_CLASSES } from '../../shared/structure/soils.ts';

const rounded = (value: number, step: number) => Math.round(value / step) * step;

const between = (low: number, high: number) =>
  fc.double({ min: low, max: high, noNaN: true, noDefaultInfinity: true });

const bands = fc.record({
  widthMm: fc.integer({ min: 15, max: 60 }),
  thicknessMm: between(0.5, 5),
  yieldStrengthMPa: fc.constantFrom(235, 250, 275, 355),
  jointEfficiencyRatio: between(0.4, 1),
  spacing: fc.constantFrom('even', 'equal-load', 'given'),
  count: fc.integer({ min: 2, max: 14 }),
});

const shape = fc.record({
  insideDiameterM: between(0.8, 3.2),
  waterDepthM: between(0.7, 2.4),
  wallThicknessM: between(0.03, 0.09),
  bands,
  riseRatio: between(0.12, 0.4),
  domeThicknessM: between(0.03, 0.08),
  gridSpacingM: between(0.08, 0.3),
  overhangM: between(0.1, 0.5),
  slabThicknessM: between(0.08, 0.25),
  soilClass: fc.constantFrom(...SOIL_CLASSES),
  windSpeedMPerS: between(0, 70),
  hasSeismic: fc.boolean(),
  impulsiveCoefficient: between(0, 0.8),
  convectiveCoefficient: between(0, 0.4),
});

/** Designs all over the range of the engine, alike in every run; some fail, some are refused. */
export function randomDesigns(count: number, seed: number): TankDesignInput[] {
  return fc.sample(shape, { numRuns: count, seed }).map((made) => {
    const { bands: section, insideDiameterM, waterDepthM } = made;
    const { spacing, count: bandCount, ...steel } = section;
    const levels = Array.from({ length: bandCount }, (_, index) =>
      rounded((waterDepthM * (index + 0.7)) / bandCount, 0.001),
    );
    return {
      insideDiameterM,
      waterDepthM,
      wallThicknessM: made.wallThicknessM,
      bands:
        spacing === 'given'
          ? { ...steel, spacing, levelsBelowWaterM: levels }
          : { ...steel, spacing: spacing as 'even' | 'equal-load', count: bandCount },
      dome: {
        riseM: insideDiameterM * made.riseRatio,
        thicknessM: made.domeThicknessM,
        gridSpacingM: made.gridSpacingM,
      },
      slab: {
        diameterM: insideDiameterM + 2 * made.wallThicknessM + made.overhangM,
        thicknessM: made.slabThicknessM,
      },
      soilClass: made.soilClass,
      windSpeedMPerS: made.windSpeedMPerS,
      ...(made.hasSeismic
        ? {
            seismic: {
              impulsiveCoefficient: made.impulsiveCoefficient,
              convectiveCoefficient: made.convectiveCoefficient,
            },
          }
        : {}),
    };
  });
}
