import { describe, expect, it } from 'vitest';
import { EngineError } from '../../../shared/errors.ts';
import {
  BAMBOO_BAND_MORTAR_MATERIALS,
  BAMBOO_BAND_MORTAR_RECIPE,
  BAMBOO_BAND_MORTAR_STAGES,
  materialTotals,
  type TakeoffGeometry,
  takeoffTank,
  tankMeasures,
} from '../../../shared/index.ts';

const FIVE_THOUSAND_L: TakeoffGeometry = {
  insideDiameterM: 1.9,
  waterDepthM: 1.8,
  wallThicknessM: 0.055,
  bands: { widthMm: 25, thicknessMm: 2, count: 4 },
  dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
  slab: { diameterM: 2.31, thicknessM: 0.1 },
};
const recipe = BAMBOO_BAND_MORTAR_RECIPE;
const bill = takeoffTank(FIVE_THOUSAND_L, recipe);
const net = (lineCode: string): number => {
  const line = bill.find((candidate) => candidate.lineCode === lineCode);
  if (line === undefined) throw new Error(`no line ${lineCode}`);
  return Number(line.netQuantity);
};

function refusedField(act: () => unknown): string {
  try {
    act();
  } catch (error) {
    if (error instanceof EngineError) return error.parameter;
    throw error;
  }
  return 'nothing refused';
}

// Each expected value is worked here from the lengths alone, not from the engine's measures.
describe('bill of a 5,000 litre tank', () => {
  it('holds the mortar of four coats: 510 kg of cement per m³', () => {
    const outside = Math.PI * 2.01 * 1.8;
    const inside = Math.PI * 1.9 * 1.8;
    expect(net('outside-first-coat-cement')).toBeCloseTo(outside * 0.009 * 1.2 * 510, 4);
    expect(net('outside-final-coat-cement')).toBeCloseTo(outside * 0.0135 * 1.12 * 510, 4);
    expect(net('inside-first-coat-sand')).toBeCloseTo(inside * 0.009 * 1.2 * 1.07, 5);
    expect(net('inside-final-coat-cement')).toBeCloseTo(inside * 0.0135 * 1.12 * 510, 4);
  });

  it('fills the wall: coats and boards together are 55 mm', () => {
    const shares = recipe.works.flatMap((work) =>
      work.kind === 'mix' && work.layer !== undefined && 'shareOfWallMortar' in work.layer
        ? [work.layer.shareOfWallMortar]
        : [],
    );
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
    const roof = recipe.works.flatMap((work) =>
      work.kind === 'mix' && work.layer !== undefined && 'shareOfRoof' in work.layer
        ? [work.layer.shareOfRoof]
        : [],
    );
    expect(roof.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
  });

  it('cuts the bands over the boards: 4 of π·(1.965 + 0.002) + 0.15, and one at the springing', () => {
    const one = Math.PI * (1.9 + 2 * 0.0225 + 2 * 0.01 + 0.002) + 0.15;
    expect(net('wall-bands')).toBeCloseTo(4 * one, 5);
    expect(net('springing-band')).toBeCloseTo(one, 5);
    expect(bill.find((line) => line.lineCode === 'wall-bands')?.materialCode).toBe(
      'steel-band-25x2',
    );
  });

  it('bends four hoops beside each band in two lapped pieces each', () => {
    const { hoopStripLengthM, hoopCulms } = tankMeasures(FIVE_THOUSAND_L, recipe);
    const insideHoop = Math.PI * (1.945 - 0.01) + 2 * 0.3;
    const outsideHoop = Math.PI * (1.965 + 0.01) + 2 * 0.3;
    expect(hoopStripLengthM).toBeCloseTo(8 * insideHoop + 8 * outsideHoop, 9);
    // 32 pieces of about 3.3 m: one to a 6 m line, nine lines to a culm of 80 mm
    expect(hoopCulms).toBeCloseTo(32 / 9, 12);
  });

  it('anchors every roof strip with two tails and cuts them from a tenth over one culm', () => {
    const thin = { ...FIVE_THOUSAND_L.dome, stripThicknessMm: 5 };
    const measures = tankMeasures({ ...FIVE_THOUSAND_L, dome: thin }, recipe);
    // worked-example-5000-l: 20.057 m in the bottom layer, top strips as printed, tails of 0.15 m
    const top = 2.0442 + 2 * (2.0166 + 1.9319 + 1.7844 + 1.5608 + 1.2293 + 0.6669);
    expect(measures.roofStripLengthM).toBeCloseTo(20.057 + top + 26 * 2 * 0.15, 2);
    // by hand: lines of 6 m hold 2 strips for k = 0 to 3, 3 for k = 4 and 5, 6 for k = 6
    const lines = 2 / 2 + 3 * (4 / 2) + 2 * (4 / 3) + 4 / 6;
    expect(measures.roofStripCulms).toBeCloseTo(lines / 9, 12);
  });

  it('opens three boards from each culm of 6 m for a wall of 1.8 m', () => {
    const circumference = Math.PI * (1.945 + 0.01);
    const { boardCulms } = tankMeasures(FIVE_THOUSAND_L, recipe);
    expect(boardCulms).toBeCloseTo(circumference / (Math.PI * 0.08 * 3), 9);
  });

  it('places concrete of the slab and the tap stand at 320 kg/m³', () => {
    expect(net('slab-cement')).toBeCloseTo((Math.PI / 4) * 2.31 ** 2 * 0.1 * 320, 4);
    expect(net('tap-stand-cement')).toBeCloseTo(0.036 * 320, 6);
    expect(net('tap-stand-stone')).toBeCloseTo(0.036 * 0.89, 6);
  });

  it('needs near three bags of cement per m³ stored, as a published 10 m³ ferrocement bill', () => {
    // "Ferrocement Tank Construction Estimate", a public copy: over 30 bags for 10 m³
    const cement = materialTotals(bill).find((total) => total.materialCode === 'cement');
    const bagsPerM3 = Number(cement?.withWasteQuantity) / 50 / 5.104;
    expect(bagsPerM3).toBeGreaterThan(2);
    expect(bagsPerM3).toBeLessThan(4);
  });

  it('counts labour in days without waste, at an efficiency of 0.7', () => {
    const labour = bill.filter((line) => line.unitCode === 'DAY');
    expect(labour.length).toBeGreaterThan(15);
    for (const line of labour) {
      expect(line.materialCode).toMatch(/^labour-/);
      expect(line.withWasteQuantity).toBe(line.netQuantity);
    }
    expect(net('outside-final-coat-mason')).toBeCloseTo((Math.PI * 2.01 * 1.8 * 0.08125) / 0.7, 5);
  });

  it('names every stage of the template and no other', () => {
    const used = new Set(bill.map((line) => line.stageCode));
    expect([...used].sort()).toEqual(BAMBOO_BAND_MORTAR_STAGES.map((stage) => stage.code).sort());
  });

  it('names only materials of the catalogue, each in its unit', () => {
    const unitByCode = new Map(
      BAMBOO_BAND_MORTAR_MATERIALS.map((material) => [material.materialCode, material.unitCode]),
    );
    for (const line of bill) {
      const code = line.materialCode.replace(/-\d+(\.\d+)?x\d+(\.\d+)?$/, '');
      expect(unitByCode.get(code), line.materialCode).toBe(line.unitCode);
    }
  });

  it('writes quantities with at most six decimals', () => {
    for (const line of bill) {
      for (const quantity of [line.netQuantity, line.wasteRatio, line.withWasteQuantity]) {
        expect(quantity).toMatch(/^\d+(\.\d{1,6})?$/);
      }
    }
  });

  it('survives a trip through JSON: the recipe is data', () => {
    const stored = JSON.parse(JSON.stringify(recipe)) as typeof recipe;
    expect(takeoffTank(FIVE_THOUSAND_L, stored)).toEqual(bill);
  });

  it('takes the wall height where it stands above the water', () => {
    const higher = takeoffTank({ ...FIVE_THOUSAND_L, wallHeightM: 1.95 }, recipe);
    const line = higher.find((candidate) => candidate.lineCode === 'inside-final-coat-cement');
    expect(Number(line?.netQuantity) / net('inside-final-coat-cement')).toBeCloseTo(1.95 / 1.8, 6);
  });

  it('counts bands by their levels', () => {
    const levels = { widthMm: 25, thicknessMm: 2, levelsBelowWaterM: [0.6, 1.1, 1.4, 1.7] };
    expect(takeoffTank({ ...FIVE_THOUSAND_L, bands: levels }, recipe)).toEqual(bill);
  });
});

describe('a take-off refuses, naming the field', () => {
  const withBands = (bands: TakeoffGeometry['bands']) => ({ ...FIVE_THOUSAND_L, bands });
  it.each([
    ['insideDiameterM', { ...FIVE_THOUSAND_L, insideDiameterM: 0 }],
    ['waterDepthM', { ...FIVE_THOUSAND_L, waterDepthM: Number.NaN }],
    ['wallThicknessM', { ...FIVE_THOUSAND_L, wallThicknessM: 0.01 }],
    ['wallHeightM', { ...FIVE_THOUSAND_L, wallHeightM: 1.7 }],
    ['wallHeightM', { ...FIVE_THOUSAND_L, wallHeightM: -1 }],
    ['slab.diameterM', { ...FIVE_THOUSAND_L, slab: { diameterM: 2, thicknessM: 0.1 } }],
    ['bands.count', withBands({ widthMm: 25, thicknessMm: 2 })],
    ['bands.count', withBands({ widthMm: 25, thicknessMm: 2, count: 2.5 })],
    ['bands.count', withBands({ widthMm: 25, thicknessMm: 2, count: 3, levelsBelowWaterM: [1] })],
    ['bands.widthMm', withBands({ widthMm: -25, thicknessMm: 2, count: 4 })],
    [
      'dome.stripThicknessMm',
      { ...FIVE_THOUSAND_L, dome: { ...FIVE_THOUSAND_L.dome, stripThicknessMm: -5 } },
    ],
  ])('%s', (field, geometry) => {
    expect(refusedField(() => takeoffTank(geometry, recipe))).toBe(field);
  });

  it('a wall higher than a culm is long', () => {
    const tall = { ...FIVE_THOUSAND_L, waterDepthM: 6.2 };
    expect(refusedField(() => takeoffTank(tall, recipe))).toBe('pieceLengthM');
  });

  const one = {
    kind: 'material',
    lineCode: 'x',
    stageCode: 'frame',
    part: 'wall',
    measure: 'one',
    materialCode: 'cement',
    unitCode: 'KGM',
    quantityPerMeasure: 1,
    wasteRatio: 0,
  } as const;
  const mixOne = {
    kind: 'mix',
    lineCode: 'x',
    stageCode: 'frame',
    part: 'wall',
    measure: 'one',
    mix: '1:3',
  } as const;
  it.each([
    ['x.quantityPerMeasure', [{ ...one, quantityPerMeasure: -1 }]],
    ['x.wasteRatio', [{ ...one, wasteRatio: -0.1 }]],
    ['lineCode', [one, one]],
    ['x.measure', [{ ...one, measure: 'moonArea' as 'one' }]],
    ['x.mix', [{ ...mixOne, mix: '1:9' as '1:3' }]],
    ['x.layer', [{ ...mixOne, layer: { fixedM: 0.01 }, volumeM3PerMeasure: 1 }]],
    ['shareOfRoof', [{ ...mixOne, layer: { shareOfRoof: 1.5 } }]],
    ['shareOfWallMortar', [{ ...mixOne, layer: { shareOfWallMortar: -1 } }]],
    ['volumeM3', [{ ...mixOne, volumeM3PerMeasure: -1 }]],
  ])('a recipe line by %s', (field, works) => {
    expect(refusedField(() => takeoffTank(FIVE_THOUSAND_L, { ...recipe, works }))).toBe(field);
  });

  it('one material in two units', () => {
    const lines = takeoffTank(FIVE_THOUSAND_L, {
      ...recipe,
      works: [one, { ...one, lineCode: 'y', unitCode: 'MTQ' }],
    });
    expect(refusedField(() => materialTotals(lines))).toBe('y.unitCode');
  });
});
