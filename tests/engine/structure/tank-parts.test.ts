import { describe, expect, it } from 'vitest';
import { sphericalCap } from '../../../shared/geometry/spherical-cap.ts';
import { bandZones, tankBands } from '../../../shared/structure/tank-bands.ts';
import { tankMasses } from '../../../shared/structure/tank-masses.ts';
import {
  type TankStabilityInput,
  tankSeismic,
  tankWind,
} from '../../../shared/structure/tank-stability.ts';
import worked from '../../published/structure/worked-example-5000-l.json' with { type: 'json' };
import { expectPrinted, expectPrintedRow } from './printed-number.ts';

const { input } = worked;

const sizes = {
  insideDiameterM: input.insideDiameterM,
  waterDepthM: input.waterDepthM,
  wallThicknessM: input.wallThicknessM,
  slabDiameterM: input.slab.diameterM,
  slabThicknessM: input.slab.thicknessM,
};

/** The friction of the worked example, 0.35, is that of sandy gravel. */
const stability: TankStabilityInput = {
  ...sizes,
  mortarModulusPa: input.mortarModulusPa,
  domeRiseM: input.dome.riseM,
  soilClass: 'dense-gravel',
  masses: tankMasses({
    ...sizes,
    cap: sphericalCap(input.insideDiameterM / 2, input.dome.riseM),
    domeThicknessM: input.dome.thicknessM,
  }),
};

// worked-example-5000-l
describe('bands of the worked tank', () => {
  const section = {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 0.66,
  };
  const cases = [
    ['A', { spacing: 'even', count: 4 }],
    ['C', { spacing: 'equal-load', count: 4 }],
    ['D', { spacing: 'given', levelsBelowWaterM: [0.6, 1.097, 1.421, 1.682] }],
  ] as const;

  it.each(cases)('carry the loads of case %s', (name, arrangement) => {
    const printed = worked.bands.cases[name];
    const whole = { ...section, ...arrangement };
    const bands = tankBands(input.insideDiameterM, input.waterDepthM, whole);
    const kN = bands.map(({ loadN }) => loadN / 1000);
    const mPa = bands.map(({ grossStressPa }) => grossStressPa / 1e6);
    expectPrintedRow(
      bands.map((band) => band.levelBelowWaterM),
      printed.levels,
      'level',
    );
    // levels of case D are given to 1 mm, so that its loads are good to 1 N or so
    if (name === 'D') {
      printed.loadsKN.split(', ').forEach((load, index) => {
        expect(Math.abs((kN[index] ?? 0) - Number(load))).toBeLessThan(0.008);
      });
      return;
    }
    expectPrintedRow(kN, printed.loadsKN, 'load');
    expectPrintedRow(mPa, printed.stressMPa, 'stress');
    const edges = bandZones(input.waterDepthM, whole).map(({ toDepthM }) => toDepthM);
    expectPrintedRow([0, ...edges], printed.edges, 'edge');
  });
});

// worked-example-5000-l
describe('stability of the worked tank', () => {
  it.each(worked.wind.rows)('empty in wind of $speed m/s', (row) => {
    const wind = tankWind(stability, row.speed);
    expectPrinted(wind.pressurePa / 1000, row.pressure, 'pressure');
    expectPrinted(wind.forceN / 1000, row.force, 'force');
    expectPrinted(wind.momentNm / 1000, row.moment, 'moment');
    expectPrinted(wind.resistingMomentNm / 1000, worked.wind.resistingKNm, 'resistance');
    expectPrinted(wind.overturningSafetyFactor ?? 0, row.overturning, 'overturning');
    expectPrinted(wind.slidingSafetyFactor ?? 0, row.sliding, 'sliding');
  });

  it('has no factor of safety where no wind blows', () => {
    const still = tankWind(stability, 0);
    expect(still.overturningSafetyFactor).toBeNull();
    expect(still.slidingSafetyFactor).toBeNull();
  });

  it.each(worked.earthquake.cases)('full in an earthquake of $impulsive', (printed) => {
    const shaken = tankSeismic(stability, {
      impulsiveCoefficient: printed.impulsive,
      convectiveCoefficient: printed.convective,
    });
    const { impulsiveShearN, convectiveShearN, baseShearN } = shaken;
    const { impulsiveMomentNm, convectiveMomentNm, overturningMomentNm } = shaken;
    const kilo = (values: readonly number[]) => values.map((value) => value / 1000);
    expectPrintedRow(kilo([impulsiveShearN, convectiveShearN, baseShearN]), printed.shear);
    expectPrintedRow(
      kilo([impulsiveMomentNm, convectiveMomentNm, overturningMomentNm]),
      printed.moment,
    );
    expectPrinted(shaken.eccentricityM, printed.eccentricity, 'eccentricity');
    const { maxBearingPressurePa, minBearingPressurePa } = shaken;
    expectPrintedRow(
      kilo([maxBearingPressurePa ?? 0, minBearingPressurePa ?? 0]),
      printed.bearing,
      'bearing',
    );
    expectPrinted(shaken.overturningSafetyFactor ?? 0, printed.overturning, 'overturning');
    expectPrinted(shaken.slidingSafetyFactor ?? 0, printed.sliding, 'sliding');
    expectPrinted(shaken.impulsiveFloorPressurePa / 1000, printed.floorPressure, 'floor');
    expectPrinted(shaken.convectivePeriodS, worked.earthquake.convectivePeriodS, 'period');
  });
});
