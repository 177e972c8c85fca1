import { describe, expect, it } from 'vitest';
import { EngineError } from '../../../shared/errors.ts';
import {
  borateSalts,
  cementByVolumeRuleKgPerM3,
  cementStrengthLeftRatio,
  coatingL,
  coatMortarM3PerM2,
  compareQuantities,
  crewDays,
  culmWoodM3,
  dampSandM3,
  gridCrossingCount,
  labourDays,
  learningCurveDays,
  learningFactor,
  mixingWaterL,
  mortarMaterials,
  packRounded,
  piecesPerLength,
  scaleQuantity,
  stripHoop,
  stripsPerCulm,
  sumQuantities,
  tieWireKg,
  toQuantity,
  usableCulmLengthM,
  withWasteQuantity,
} from '../../../shared/index.ts';

describe('quantities as text', () => {
  it.each([
    [0, '0'],
    [0.1 + 0.2, '0.3'],
    [12.5, '12.5'],
    [1e-7, '0'],
    [0.0000014, '0.000001'],
    [123456789.123457, '123456789.123457'],
    [-2.5, '-2.5'],
  ])('writes %s as %s', (value, text) => {
    expect(toQuantity(value)).toBe(text);
  });

  it('reads the trailing zeros of a database and drops them', () => {
    expect(sumQuantities(['1.500000', '2.000000'])).toBe('3.5');
    expect(sumQuantities([])).toBe('0');
    expect(compareQuantities('1.0', '1')).toBe(0);
    expect(compareQuantities('-1', '1')).toBe(-1);
  });

  it('rounds waste half to even', () => {
    // 0.000001 · 1.5 = 0.0000015 → even 0.000002; 0.000003 · 1.5 = 0.0000045 → even 0.000004
    expect(withWasteQuantity('0.000001', '0.5')).toBe('0.000002');
    expect(withWasteQuantity('0.000003', '0.5')).toBe('0.000004');
    expect(withWasteQuantity('188.191', '0.1')).toBe('207.0101');
  });

  it('buys no pack for nothing and no more than the need asks', () => {
    expect(packRounded('0', '50').packCount).toBe(0);
    expect(packRounded('100', '50').packCount).toBe(2);
    expect(packRounded('100.000001', '50')).toEqual({
      packCount: 3,
      orderedQuantity: '150',
      roundingQuantity: '49.999999',
    });
  });

  it.each([
    ['quantity', () => toQuantity(Number.POSITIVE_INFINITY)],
    ['quantity', () => toQuantity(1e15)],
    ['quantity', () => sumQuantities(['1,5'])],
    ['quantity', () => sumQuantities(['1.1234567'])],
    ['quantity', () => packRounded('-1', '50')],
    ['packContent', () => packRounded('1', '0')],
    ['quantity', () => packRounded('999999999999999', '0.000001')],
    ['count', () => scaleQuantity('1', 1.5)],
    ['count', () => scaleQuantity('1', -1)],
    ['netQuantity', () => withWasteQuantity('-1', '0')],
    ['wasteRatio', () => withWasteQuantity('1', '-0.1')],
    ['volumeM3', () => mortarMaterials('1:3', -1)],
    ['bulkingRatio', () => dampSandM3(1, 0.6)],
    ['waterCementRatio', () => mixingWaterL(50, 0.9)],
    ['sandParts', () => cementByVolumeRuleKgPerM3({ dryVolumeRatio: 1.33, sandParts: 0 })],
    ['thicknessM', () => coatMortarM3PerM2({ thicknessM: 0, allowanceRatio: 0 })],
    ['coverageM2PerL', () => coatingL({ areaM2: 1, coatCount: 1, coverageM2PerL: 0 })],
    [
      'culmDiameterMm',
      () => stripsPerCulm({ culmDiameterMm: 7, stripWidthMm: 25, splittingLossMm: 2 }),
    ],
    ['culmWallMm', () => culmWoodM3({ culmDiameterMm: 80, culmWallMm: 41, lengthM: 6 })],
    ['culmLengthM', () => usableCulmLengthM({ culmLengthM: 2, buttTrimM: 1, topCutM: 1 })],
    ['pieceLengthM', () => piecesPerLength({ usableLengthM: 6, pieceLengthM: 6.1, kerfM: 0 })],
    ['lapM', () => stripHoop({ diameterM: 2, usableLengthM: 1, lapM: 1 })],
    ['spacingM', () => gridCrossingCount({ radiusM: 2, spacingM: 0.001 })],
    ['efficiencyRatio', () => labourDays({ quantity: 1, daysPerUnit: 1, efficiencyRatio: 0 })],
    ['crewSize', () => crewDays(1, 0)],
    ['tankNumber', () => learningFactor({ tankNumber: 0, learningRatio: 0.9 })],
    ['learningRatio', () => learningFactor({ tankNumber: 1, learningRatio: 1.1 })],
    [
      'tankCount',
      () => learningCurveDays({ firstTankDays: 9, tankCount: 100_001, learningRatio: 0.9 }),
    ],
    ['storedMonths', () => cementStrengthLeftRatio(25)],
    ['storedMonths', () => cementStrengthLeftRatio(-1)],
  ])('refuses a wrong %s', (parameter, act) => {
    expect(act).toThrow(EngineError);
    expect(act).toThrow(new RegExp(`^${parameter.replace('.', '\\.')} `));
  });
});

describe('single formulas', () => {
  // borax-boric-recipe, quoted: 0.9 kg and 0.6 kg in 13.5 L is 10.0 % by mass, 1.5 : 1
  it('splits the borate salts 1.5 : 1', () => {
    const { boraxKg, boricAcidKg } = borateSalts({ woodM3: 0.06, retentionKgPerM3: 25 });
    expect(boraxKg).toBeCloseTo(0.9, 12);
    expect(boricAcidKg).toBeCloseTo(0.6, 12);
    expect((100 * 1.5) / (1.5 + 13.5)).toBeCloseTo(10, 12);
  });

  it('loses one kerf less than there are pieces', () => {
    expect(piecesPerLength({ usableLengthM: 6, pieceLengthM: 2, kerfM: 0 })).toBe(3);
    expect(piecesPerLength({ usableLengthM: 6.004, pieceLengthM: 2, kerfM: 0.002 })).toBe(3);
    expect(piecesPerLength({ usableLengthM: 6.003, pieceLengthM: 2, kerfM: 0.002 })).toBe(2);
  });

  it('trims a culm', () => {
    const usable = usableCulmLengthM({ culmLengthM: 8, buttTrimM: 0.5, topCutM: 1.5 });
    expect(usable).toBe(6);
  });

  it('ties 100 knots of 0.30 m in 1.22 mm wire with 275 g', () => {
    const kg = tieWireKg({ tieCount: 100, tieLengthM: 0.3, wireDiameterMm: 1.22 });
    expect(kg).toBeCloseTo((30 * 9.18) / 1000, 3);
  });

  it('bulks sand and wets mortar', () => {
    expect(dampSandM3(1, 0.25)).toBe(1.25);
    expect(mixingWaterL(50, 0.5)).toBe(25);
  });

  it('adds the days of a crew that learns', () => {
    // n = 1, 2, 4 at r = 0.9 are 1, 0.9, 0.81; n = 3 by the power law
    const days = learningCurveDays({ firstTankDays: 10, tankCount: 4, learningRatio: 0.9 });
    expect(days).toBeCloseTo(10 * (1 + 0.9 + 3 ** Math.log2(0.9) + 0.81), 9);
    const later = learningCurveDays({
      firstTankDays: 10,
      tankCount: 1,
      learningRatio: 0.9,
      firstTankNumber: 8,
    });
    expect(later).toBeCloseTo(7.29, 9);
    expect(crewDays(12, 4)).toBe(3);
  });

  it('keeps full strength of fresh cement', () => {
    expect(cementStrengthLeftRatio(0)).toBe(1);
  });
});
