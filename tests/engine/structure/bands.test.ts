import { describe, expect, it } from 'vitest';
import { EngineError } from '../../../shared/errors.ts';
import { bandOptions, fewestEqualLoadBands } from '../../../shared/structure/band-choice.ts';
import {
  bandLifeYears,
  corrodedBand,
  thicknessWithAllowanceMm,
} from '../../../shared/structure/band-corrosion.ts';
import { farthestBandDistanceM } from '../../../shared/structure/band-distances.ts';
import {
  equalLoadBandZones,
  evenBandZones,
  midpointBandZones,
  midpointEqualBandLevels,
  requireBandLevels,
} from '../../../shared/structure/band-levels.ts';
import { bandTensionN, bandTensionsN } from '../../../shared/structure/band-loads.ts';
import {
  bandLimits,
  bandStress,
  jointEfficiencyRatio,
} from '../../../shared/structure/band-stress.ts';
import { cylinderWall } from '../../../shared/structure/cylinder-wall.ts';
import { totalHoopForceN } from '../../../shared/structure/hydrostatic.ts';
import { lostBandLoads } from '../../../shared/structure/lost-band.ts';
import { restrainedBandZones } from '../../../shared/structure/restrained-band-levels.ts';
import { bandZones } from '../../../shared/structure/tank-bands.ts';
import { maxBandSpacingM, verticalSpan } from '../../../shared/structure/vertical-span.ts';
import published from '../../published/structure/bands.json' with { type: 'json' };
import example from '../../published/structure/worked-example-5000-l.json' with { type: 'json' };
import { expectPrinted, expectPrintedRow } from './printed-number.ts';

const section = { widthMm: 25, thicknessMm: 2, yieldStrengthMPa: 250, jointEfficiencyRatio: 0.66 };
const tank = { insideDiameterM: 1.9, waterDepthM: 1.8, wallThicknessM: 0.055, poissonRatio: 0.2 };

describe('band levels', () => {
  // lock-gate-girders [memory] for 2 and 3, independent script for the others
  it.each(published.equalLoadLevels.rows)('of equal load, $count bands', ({ count, levels }) => {
    const zones = equalLoadBandZones(1, count);
    expectPrintedRow(
      zones.map((zone) => zone.levelBelowWaterM),
      levels,
    );
  });

  it.each(published.equalLoadLevels.textbook)(
    'are those of the gate of $count girders',
    ({ count, levels }) => {
      const zones = equalLoadBandZones(1, count);
      expectPrintedRow(
        zones.map((zone) => zone.levelBelowWaterM),
        levels,
      );
    },
  );

  // worked-example-5000-l: independent script
  it('of equal load under the midpoint rule, four bands', () => {
    expectPrintedRow(midpointEqualBandLevels(1, 4) ?? [], published.equalLoadLevels.midpointEqual4);
  });

  it('of equal load under the midpoint rule are given only while they keep their order', () => {
    const found = Array.from({ length: 60 }, (_, i) => midpointEqualBandLevels(1, i + 1));
    expect(found.filter((levels) => levels !== null).length).toBeGreaterThan(0);
    for (const levels of found) {
      if (levels === null) continue;
      const loads = bandTensionsN(midpointBandZones(1, levels), 1);
      const mean = totalHoopForceN(1, 1) / levels.length;
      for (const load of loads) expect(load / mean).toBeCloseTo(1, 9);
    }
  });

  // worked-example-5000-l: independent script
  it.each(published.evenLowestToMean.rows)(
    'evenly apart load the lowest of $count bands $ratio of the mean',
    ({ count, ratio }) => {
      const loads = bandTensionsN(evenBandZones(1, count), 1);
      const mean = loads.reduce((a, b) => a + b) / count;
      expectPrinted((loads[count - 1] ?? 0) / mean, ratio);
      loads.forEach((load, i) => {
        expect(load / (loads[0] ?? 0)).toBeCloseTo(2 * i + 1, 9);
      });
    },
  );

  // worked-example-5000-l: independent script
  it.each(['fixed', 'hinged'] as const)('with the %s base credited', (base) => {
    const printed = published.restrained[base];
    const zones = restrainedBandZones(tank, base, 4);
    expectPrintedRow(
      zones.map((zone) => zone.levelBelowWaterM),
      printed.levels,
    );
    const wall = cylinderWall({ ...tank, mortarModulusPa: 20e9 }, base);
    expectPrinted(wall.totalHoopForceN / (9810 * 1.8 ** 2 * 0.95), printed.totalCoefficient);
  });

  it('with a free base credited are the levels of equal load', () => {
    const free = restrainedBandZones(tank, 'free', 5);
    equalLoadBandZones(1.8, 5).forEach((zone, i) => {
      expect(free[i]?.levelBelowWaterM).toBeCloseTo(zone.levelBelowWaterM, 9);
      expect(free[i]?.toDepthM).toBeCloseTo(zone.toDepthM, 9);
    });
  });

  it('refuse counts and levels that cannot be', () => {
    expect(() => evenBandZones(1.8, 0)).toThrow('count = 0');
    expect(() => equalLoadBandZones(1.8, 61)).toThrow('count = 61');
    expect(() => evenBandZones(1.8, 1.5)).toThrow('count = 1.5');
    expect(() => restrainedBandZones(tank, 'fixed', 0)).toThrow('count = 0');
    expect(() => restrainedBandZones(tank, 'fixed', 2.5)).toThrow('count = 2.5');
    expect(() => midpointBandZones(1.8, [])).toThrow('needs at least one level');
    const many = Array.from({ length: 61 }, (_, i) => i / 100);
    expect(() => midpointBandZones(1.8, many)).toThrow('must hold at most 60 levels');
    expect(() => bandTensionN({ fromDepthM: 1, toDepthM: 0.5 }, 1)).toThrow('toDepthM = 0.5');
    expect(() => bandZones(1.8, { ...section, spacing: 'even' })).toThrow('count = NaN');
    expect(() => bandZones(1.8, { ...section, spacing: 'given' })).toThrow('at least one level');
  });
});

describe('band section', () => {
  it('limits the gross section to 0.6 fy when that is below 115 MPa', () => {
    expect(bandLimits({ ...section, yieldStrengthMPa: 160 }).permittedGrossStressPa).toBeCloseTo(
      96e6,
      3,
    );
    expect(bandLimits(section).permittedGrossStressPa).toBe(115e6);
  });

  it('carries the lesser of gross and net section', () => {
    // 50 mm² × 115 MPa = 5.75 kN; 33 mm² × 150 MPa = 4.95 kN
    expect(bandLimits(section).capacityN).toBeCloseTo(4950, 9);
    expect(bandLimits({ ...section, jointEfficiencyRatio: 0.9 }).capacityN).toBeCloseTo(5750, 9);
    const stress = bandStress(4950, section);
    expect(stress.utilisationRatio).toBeCloseTo(1, 12);
  });

  it('refuses a joint stronger than the band and holes that leave no metal', () => {
    expect(() => bandLimits({ ...section, jointEfficiencyRatio: 1.01 })).toThrow(EngineError);
    expect(() => jointEfficiencyRatio(25, 8.5, 3)).toThrow('holeDiameterMm = 8.5');
    expect(() => bandStress(-1, section)).toThrow('tensionN = -1');
  });
});

describe('fewest bands', () => {
  // worked-example-5000-l: 15.10 kN over 5.750 kN gross is 3 bands, over 3.795 kN net is 4
  it('of the worked example are three gross and four net', () => {
    const { fewest } = example.bands;
    const totalN = totalHoopForceN(1.8, 0.95);
    expectPrinted(50 * 0.115, fewest.grossCapacityKN);
    expectPrinted(33 * 0.115, fewest.netCapacityKN);
    expect(fewestEqualLoadBands(totalN, 5750)).toBe(fewest.grossCount);
    expect(fewestEqualLoadBands(totalN, 3795)).toBe(fewest.netCount);
    expect(fewestEqualLoadBands(100, 100)).toBe(1);
    expect(fewestEqualLoadBands(1, 100)).toBe(1);
  });

  const choice = {
    ...tank,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 0.66,
    sizes: [
      { widthMm: 25, thicknessMm: 2 },
      { widthMm: 25, thicknessMm: 3 },
      { widthMm: 5, thicknessMm: 0.3 },
    ],
  };

  it('of each size agree with a count by hand and put the lightest first', () => {
    const { options, refused } = bandOptions({ ...choice, spacing: 'equal-load' });
    // 15.098 kN over 4.95 kN is 3.05, so 4; over 7.425 kN is 2.03, so 3, but the first of three
    // lies 0.385 H = 0.693 m under the springing, and the first of four 0.600 m
    expect(options.map((option) => [option.thicknessMm, option.count])).toEqual([
      [2, 4],
      [3, 4],
    ]);
    const mass = 4 * Math.PI * 2.01 * 50e-6 * 7850;
    expect(options[0]?.steelMassKg).toBeCloseTo(mass, 9);
    expect(refused).toEqual([
      { widthMm: 5, thicknessMm: 0.3, reason: expect.stringContaining('overlap') },
    ]);
  });

  it('need more bands when they are evenly apart', () => {
    const even = bandOptions({ ...choice, spacing: 'even' }).options;
    // lowest of n: 15.098 (2n - 1)/n² ≤ 4.95 first at n = 6
    expect(even.find((option) => option.thicknessMm === 2)?.count).toBe(6);
  });

  it('keep bands within the distance the wall can span', () => {
    const strong = { ...choice, sizes: [{ widthMm: 60, thicknessMm: 8 }] };
    const [option] = bandOptions({ ...strong, spacing: 'even' }).options;
    expect(option?.count).toBe(3);
    expect(maxBandSpacingM(0.055)).toBe(0.6);
    expect(maxBandSpacingM(0.04)).toBeCloseTo(0.48, 12);
  });
});

describe('farthest distance the wall spans', () => {
  it('counts the springing and the floor as neighbours, and one band as none', () => {
    expect(farthestBandDistanceM([0.5, 0.8, 1.2], 1.5)).toBe(0.5);
    expect(farthestBandDistanceM([0.3, 0.75, 1.125], 1.5)).toBeCloseTo(0.45, 12);
    expect(farthestBandDistanceM([0.25, 0.5, 0.875], 1.5)).toBe(0.625);
    expect(farthestBandDistanceM([0.75], 1.5)).toBe(1.5);
    expect(farthestBandDistanceM([0, 1.5], 1.5)).toBe(1.5);
  });

  it('is that of the worked example: 0.450 m evenly, 0.600 m with equal loads', () => {
    const even = evenBandZones(1.8, 4).map((zone) => zone.levelBelowWaterM);
    const equal = equalLoadBandZones(1.8, 4).map((zone) => zone.levelBelowWaterM);
    expect(farthestBandDistanceM(even, 1.8)).toBeCloseTo(0.45, 12);
    expect(farthestBandDistanceM(equal, 1.8)).toBeCloseTo(0.6, 12);
  });

  it('refuses levels that are no arrangement of bands, by the name they were given', () => {
    expect(() => farthestBandDistanceM([], 1.8)).toThrow('levelsBelowWaterM = []');
    expect(() => farthestBandDistanceM([0.5, 1.9], 1.8)).toThrow('levelsBelowWaterM[1] = 1.9');
    expect(() => requireBandLevels(1.8, [0.5, 0.4], 'levels')).toThrow('levels[1] = 0.4');
  });
});

describe('lost band', () => {
  it('passes its load on to the neighbours', () => {
    const levels = equalLoadBandZones(1.8, 4).map((zone) => zone.levelBelowWaterM);
    const lost = lostBandLoads({ ...tank, levelsBelowWaterM: levels, section });
    expect(lost).toHaveLength(4);
    for (const one of lost) {
      const sum = one.loadsN.reduce((a, b) => a + b);
      expect(sum).toBeCloseTo(totalHoopForceN(1.8, 0.95), 6);
      expect(one.remainingLevelsBelowWaterM).not.toContain(one.lostLevelBelowWaterM);
    }
    // third lost: zones 0, 0.8485, 1.3895, 1.8; lowest 9810 × 0.95 × (1.8² − 1.38948²)/2 N
    const upper = ((levels[1] ?? 0) + (levels[3] ?? 0)) / 2;
    expect(lost[2]?.loadsN[2]).toBeCloseTo((9810 * 0.95 * (1.8 ** 2 - upper ** 2)) / 2, 6);
    expect(lost[2]?.maxUtilisationRatio ?? 0).toBeGreaterThan(1);
  });

  it('leaves nothing when it was the only one', () => {
    const [only] = lostBandLoads({ ...tank, levelsBelowWaterM: [1.2], section });
    expect(only?.maxUtilisationRatio).toBeNull();
    expect(only?.loadsN).toEqual([]);
    expect(only?.wallBendingStressPa).toBe(verticalSpan(0, 1.8, 0.055).bendingStressPa);
  });

  it('counts a band at the surface or at the floor as no span of its own', () => {
    const lost = lostBandLoads({ ...tank, levelsBelowWaterM: [0, 0.9, 1.8], section });
    expect(lost[1]?.wallBendingStressPa).toBe(verticalSpan(0, 1.8, 0.055).bendingStressPa);
  });
});

describe('corrosion of bands', () => {
  const bare = { ratePerFaceMmPerYear: 0.05, exposedFaces: 2 };

  // iso-9223 [memory]
  it('takes half of a 2 mm band in ten years', () => {
    const band = corrodedBand(2, bare, 10);
    expect(band.lostThicknessMm).toBeCloseTo(published.corrosion.lostMm, 12);
    expect(band.sectionLossRatio).toBeCloseTo(published.corrosion.lossRatio, 12);
    expect(band.isSectionLossAcceptable).toBe(false);
    expect(corrodedBand(2, bare, 3).isSectionLossAcceptable).toBe(true);
    expect(corrodedBand(2, bare, 100).remainingThicknessMm).toBe(0);
  });

  it('asks for a thickness that leaves the needed one at the end', () => {
    const ordered = thicknessWithAllowanceMm(1.5, bare, 10);
    expect(corrodedBand(ordered, bare, 10).remainingThicknessMm).toBeCloseTo(1.5, 12);
  });

  it('ends the life of a band at the year its stress meets the limit', () => {
    const years = bandLifeYears(3774, section, bare) ?? 0;
    const left = corrodedBand(2, bare, years).remainingThicknessMm;
    expect(bandStress(3774, { ...section, thicknessMm: left }).utilisationRatio).toBeCloseTo(1, 9);
    expect(bandLifeYears(6605, section, bare)).toBe(0);
    expect(bandLifeYears(3774, section, { ...bare, exposedFaces: 0 })).toBeNull();
  });

  it('refuses a third face', () => {
    expect(() => corrodedBand(2, { ...bare, exposedFaces: 3 }, 1)).toThrow('exposedFaces = 3');
    expect(() => corrodedBand(2, bare, -1)).toThrow('years = -1');
  });
});
