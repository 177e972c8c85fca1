import { describe, expect, it } from 'vitest';
import {
  aggregateOrders,
  BAMBOO_BAND_MORTAR_RECIPE,
  bandMassKgPerM,
  type ConcreteMixName,
  cementByVolumeRuleKgPerM3,
  cementStrengthLeftRatio,
  coatingL,
  coatMortarM3PerM2,
  concreteMaterials,
  culmWoodM3,
  cylinderCapacityL,
  flattenedBoardWidthM,
  LABOUR_CONSTANTS,
  learningFactor,
  type MortarMixName,
  materialTotals,
  mortarMaterials,
  packRounded,
  scaleBill,
  stripsPerCulm,
  takeoffTank,
  tankMeasures,
  wireMassKgPerM,
} from '../../../shared/index.ts';
import published from './coefficients.json' with { type: 'json' };
import { expectPrinted } from './printed.ts';

const LOOSE_CEMENT_KG_PER_M3 = 1440;

// cpwd-dsr-2018, quoted; sand of 1:2 [memory]
describe('mortar per m³ from public-works coefficients', () => {
  it.each(published.mortar.rows)('prints the row of %s', (...row) => {
    const [mix, parts, cement, sand, cementM3, ruleKg, bags50, bags42, bags40] = row;
    const found = mortarMaterials(mix as MortarMixName, 1);
    expectPrinted(found.cementKg, String(cement));
    expectPrinted(found.sandM3, String(sand));
    expectPrinted(found.cementKg / LOOSE_CEMENT_KG_PER_M3, String(cementM3));
    const rule = cementByVolumeRuleKgPerM3({ dryVolumeRatio: 1.33, sandParts: Number(parts) });
    expectPrinted(rule, String(ruleKg));
    expectPrinted(found.cementKg / 50, String(bags50));
    expectPrinted(found.cementKg / 42.5, String(bags42));
    expectPrinted(found.cementKg / 40, String(bags40));
  });

  it('does not use the 1.33 rule, which is 6 % short for 1:3', () => {
    const rule = cementByVolumeRuleKgPerM3({ dryVolumeRatio: 1.33, sandParts: 3 });
    expect(1 - rule / mortarMaterials('1:3', 1).cementKg).toBeCloseTo(0.061, 3);
  });
});

// cpwd-dsr-2018, quoted, for the first two; the rest [memory]
describe('concrete per m³', () => {
  it.each(published.concrete.rows)('prints the row of %s', (...row) => {
    const [mix, sandParts, coarseParts, cement, ruleKg, sand, stone, bags] = row;
    const found = concreteMaterials(mix as ConcreteMixName, 1);
    expectPrinted(found.cementKg, String(cement));
    expectPrinted(found.sandM3, String(sand));
    expectPrinted(found.coarseAggregateM3, String(stone));
    expectPrinted(found.cementKg / 50, String(bags));
    const rule = cementByVolumeRuleKgPerM3({
      dryVolumeRatio: 1.54,
      sandParts: Number(sandParts),
      coarseParts: Number(coarseParts),
    });
    expectPrinted(rule, String(ruleKg));
  });
});

// cpwd-plaster-analysis and plaster-rate-analysis, quoted; 15 mm [memory]
describe('plaster', () => {
  it.each(published.plaster.mortarRows)('needs the mortar printed for %s mm', (...row) => {
    const [, thicknessM, allowanceRatio, printed] = row;
    const mortar = coatMortarM3PerM2({
      thicknessM: Number(thicknessM),
      allowanceRatio: Number(allowanceRatio),
    });
    expectPrinted(mortar, String(printed));
  });

  it.each(published.plaster.cementRows)('needs the cement printed for %s at %s m', (...row) => {
    const [mix, thicknessM, allowanceRatio, printed] = row;
    const mortar = coatMortarM3PerM2({
      thicknessM: Number(thicknessM),
      allowanceRatio: Number(allowanceRatio),
    });
    expectPrinted(mortarMaterials(mix as MortarMixName, mortar).cementKg, String(printed));
  });
});

describe('worked tank of 1.6 m by 1.6 m', () => {
  const tank = published.workedTank;
  const geometry = {
    insideDiameterM: 1.6,
    waterDepthM: 1.6,
    wallThicknessM: 0.03,
    bands: { widthMm: 25, thicknessMm: 2, count: 0 },
    dome: { riseM: 0.25, thicknessM: 0.04, gridSpacingM: 0.15 },
    slab: { diameterM: 1.8, thicknessM: 0.08 },
  };
  // A second kind of tank: no boards, no bamboo, one coat and a slab. Only the data differ.
  const recipe = {
    ...BAMBOO_BAND_MORTAR_RECIPE,
    tankKindCode: 'plain-mortar',
    boardThicknessM: 0,
    bamboo: null,
    mixWasteRatios: { cement: 0.1, sand: 0, coarseAggregate: 0, water: 0 },
    works: [
      {
        kind: 'mix',
        lineCode: 'wall',
        stageCode: 'wall',
        part: 'wall',
        measure: 'insideWallAreaM2',
        mix: '1:3',
        layer: { shareOfWallMortar: 1 },
      },
      {
        kind: 'mix',
        lineCode: 'floor',
        stageCode: 'floor',
        part: 'floor',
        measure: 'slabVolumeM3',
        mix: '1:2:4',
      },
    ],
  } as const;
  const bill = takeoffTank(geometry, recipe);
  const net = (lineCode: string): number =>
    Number(bill.find((line) => line.lineCode === lineCode)?.netQuantity);
  const total = (code: string) => materialTotals(bill).find((m) => m.materialCode === code);

  it('matches every printed quantity', () => {
    expectPrinted(cylinderCapacityL(1.6, 1.6) / 1000, tank.volumeM3);
    const measures = tankMeasures(geometry, recipe);
    expectPrinted(measures.insideWallAreaM2, tank.wallAreaM2);
    expectPrinted(measures.insideWallAreaM2 * 0.03, tank.mortarM3);
    expectPrinted(net('wall-cement'), tank.wallCementKg);
    expectPrinted(measures.slabVolumeM3, tank.floorM3);
    expectPrinted(net('floor-cement'), tank.floorCementKg);
    expectPrinted(Number(total('cement')?.netQuantity), tank.totalCementKg);
    expectPrinted(Number(total('cement')?.withWasteQuantity), tank.withWasteKg);
    expectPrinted(Number(total('cement')?.withWasteQuantity) / 50, tank.bags);
    expectPrinted(Number(total('sand')?.netQuantity), tank.sandM3);
  });

  it('buys 497 bags for 120 tanks rounded once, 600 rounded tank by tank', () => {
    const oneTank = total('cement')?.withWasteQuantity ?? '';
    expect(packRounded(oneTank, '50').packCount * 120).toBe(tank.bagsRoundedPerTankFor120);
    const all = materialTotals(scaleBill(bill, 120)).find((m) => m.materialCode === 'cement');
    expect(packRounded(all?.withWasteQuantity ?? '', '50').packCount).toBe(
      tank.bagsRoundedOnceFor120,
    );
  });

  it('keeps the trap in sight in an order proposal', () => {
    const needs = Array.from({ length: 120 }, (_, index) => ({
      buildId: `build-${index}`,
      materialCode: 'cement',
      unitCode: 'KGM',
      quantity: total('cement')?.withWasteQuantity ?? '',
      deliveryVillageId: 'village-1',
    }));
    const offer = {
      offerId: 'offer-1',
      supplierId: 'supplier-1',
      materialCode: 'cement',
      unitCode: 'KGM',
      packContent: '50',
      packPrice: { amount: '8.00', currency: 'EUR' },
      validFrom: '2026-01-01',
    };
    const order = aggregateOrders(needs, [offer], '2026-02-01', 'EUR');
    expect(order.totalPackCount).toBe(497);
    expect(order.perBuildTotalPackCount).toBe(600);
    expect(order.totalAmount).toEqual({ amount: '3976.00', currency: 'EUR' });
    expect(order.perBuildTotalAmount).toEqual({ amount: '4800.00', currency: 'EUR' });
  });
});

describe('bamboo and steel', () => {
  it.each(published.bamboo.stripRows)('splits a culm of %s mm as printed', (...row) => {
    const [culmDiameterMm, girth, noLoss, withLoss] = row;
    const culm = { culmDiameterMm: Number(culmDiameterMm), stripWidthMm: 25 };
    expectPrinted(flattenedBoardWidthM(culm.culmDiameterMm) * 1000, String(girth));
    expect(stripsPerCulm({ ...culm, splittingLossMm: 0 })).toBe(noLoss);
    expect(stripsPerCulm({ ...culm, splittingLossMm: 2 })).toBe(withLoss);
  });

  it.each(published.bamboo.woodRows)('finds the wood of %s/%s mm over %s m', (...row) => {
    const [culmDiameterMm, culmWallMm, lengthM, printed] = row;
    const wood = culmWoodM3({
      culmDiameterMm: Number(culmDiameterMm),
      culmWallMm: Number(culmWallMm),
      lengthM: Number(lengthM),
    });
    expectPrinted(wood, String(printed));
  });

  it.each(published.steel.wireRows)('weighs wire of %s mm', (diameterMm, printed) => {
    expectPrinted(wireMassKgPerM(Number(diameterMm)) * 1000, String(printed));
  });

  it.each(published.steel.bandRows)('weighs a band of %s × %s mm', (width, thickness, printed) => {
    expectPrinted(bandMassKgPerM(Number(width), Number(thickness)) * 1000, String(printed));
  });
});

describe('coverage, storage and labour', () => {
  it('needs 7.5 L for 30 m² in two coats at 8 m²/L', () => {
    const litres = coatingL({ areaM2: 30, coatCount: 2, coverageM2PerL: 8 });
    expectPrinted(litres, published.coverage.litres);
  });

  it.each(published.cementAge.rows)(
    'keeps the strength printed after %s months',
    (months, left) => {
      expectPrinted(cementStrengthLeftRatio(Number(months)), String(left));
    },
  );

  it('carries the plaster constants of the sources', () => {
    const {
      mason,
      labourer,
      'water-carrier': water,
    } = LABOUR_CONSTANTS['plaster-13-mm'].daysByTrade;
    for (const [index, days] of [mason, labourer, water].entries()) {
      expectPrinted(days, published.labour.plasterDays[index] ?? '');
    }
    expectPrinted(
      LABOUR_CONSTANTS['plaster-12-mm-out-turn'].daysByTrade.mason,
      published.labour.outTurnDays,
    );
  });

  it('learns: the 8th tank at r = 0.9 takes 0.729 of the first', () => {
    const { ratio, tank, factor } = published.labour.learning;
    expectPrinted(learningFactor({ tankNumber: tank, learningRatio: ratio }), factor);
  });
});

describe('roof strips in the take-off', () => {
  it.each(published.roofStrips.rows)('counts the strips of a %s m tank', (...row) => {
    const [insideDiameterM, perLayer, bottomTotal, topLengths] = row;
    const bamboo = BAMBOO_BAND_MORTAR_RECIPE.bamboo;
    if (bamboo === null) throw new Error('the recipe has bamboo');
    const measures = tankMeasures(
      {
        insideDiameterM: Number(insideDiameterM),
        waterDepthM: 1.8,
        wallThicknessM: 0.055,
        bands: { widthMm: 25, thicknessMm: 2, count: 4 },
        dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15, stripThicknessMm: 5 },
        slab: { diameterM: Number(insideDiameterM) + 0.41, thicknessM: 0.1 },
      },
      { ...BAMBOO_BAND_MORTAR_RECIPE, bamboo: { ...bamboo, roofStripTailM: 0 } },
    );
    expect(measures.roofStripCount).toBe(2 * Number(perLayer));
    const top = String(topLengths).split(', ').map(Number);
    const topTotal = top.reduce((sum, length, k) => sum + (k === 0 ? 1 : 2) * length, 0);
    // each top strip is printed to 4 decimals: up to 15 strips, half a unit each
    const tolerance = 0.0005 + 15 * 0.00005;
    const expected = Number(bottomTotal) + topTotal;
    expect(Math.abs(measures.roofStripLengthM - expected)).toBeLessThan(tolerance);
  });
});
