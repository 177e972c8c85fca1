import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  BAMBOO_BAND_MORTAR_RECIPE,
  compareQuantities,
  gridCrossingCount,
  materialTotals,
  packRounded,
  scaleBill,
  scaleQuantity,
  stripHoop,
  subtractQuantities,
  sumQuantities,
  type TakeoffGeometry,
  takeoffTank,
  toQuantity,
  withWasteQuantity,
} from '../../shared/index.ts';

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const micro = (max: number) =>
  fc.integer({ min: 0, max }).map((value) => toQuantity(value / 1_000_000));

const geometry: fc.Arbitrary<TakeoffGeometry> = fc
  .record({
    insideDiameterM: fc.double({ min: 0.7, max: 3.2, noNaN: true }),
    waterDepthM: fc.double({ min: 0.5, max: 2.4, noNaN: true }),
    wallThicknessM: fc.double({ min: 0.03, max: 0.1, noNaN: true }),
    count: fc.integer({ min: 1, max: 12 }),
    riseRatio: fc.double({ min: 0.15, max: 0.9, noNaN: true }),
    gridSpacingM: fc.double({ min: 0.1, max: 0.3, noNaN: true }),
  })
  .map(({ insideDiameterM, waterDepthM, wallThicknessM, count, riseRatio, gridSpacingM }) => ({
    insideDiameterM,
    waterDepthM,
    wallThicknessM,
    bands: { widthMm: 25, thicknessMm: 2, count },
    dome: { riseM: (riseRatio * insideDiameterM) / 2, thicknessM: 0.04, gridSpacingM },
    slab: { diameterM: insideDiameterM + 2 * wallThicknessM + 0.3, thicknessM: 0.1 },
  }));

describe('take-off of any tank', () => {
  it('of two builds is the sum of their take-offs, material by material', () => {
    fc.assert(
      fc.property(geometry, geometry, (first, second) => {
        const one = takeoffTank(first, BAMBOO_BAND_MORTAR_RECIPE);
        const two = takeoffTank(second, BAMBOO_BAND_MORTAR_RECIPE);
        const together = materialTotals([...one, ...two]);
        const apart = [...materialTotals(one), ...materialTotals(two)];
        for (const total of together) {
          const parts = apart.filter((part) => part.materialCode === total.materialCode);
          for (const field of ['netQuantity', 'withWasteQuantity'] as const) {
            expect(total[field]).toBe(sumQuantities(parts.map((part) => part[field])));
          }
          expect(total.withWasteQuantity).toBe(
            sumQuantities(total.withWasteByStage.map((stage) => stage.quantity)),
          );
        }
      }),
      { numRuns: 60 },
    );
  });

  it('of n equal builds is n times one', () => {
    fc.assert(
      fc.property(geometry, fc.integer({ min: 1, max: 40 }), (tank, count) => {
        const bill = takeoffTank(tank, BAMBOO_BAND_MORTAR_RECIPE);
        const many = materialTotals(Array.from({ length: count }, () => bill).flat());
        expect(materialTotals(scaleBill(bill, count))).toEqual(many);
      }),
      { numRuns: 40 },
    );
  });

  it('never needs less with waste than net, and no quantity is negative', () => {
    fc.assert(
      fc.property(geometry, (tank) => {
        for (const line of takeoffTank(tank, BAMBOO_BAND_MORTAR_RECIPE)) {
          expect(compareQuantities(line.netQuantity, '0')).toBeGreaterThanOrEqual(0);
          expect(
            compareQuantities(line.withWasteQuantity, line.netQuantity),
          ).toBeGreaterThanOrEqual(0);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('needs more mortar for a taller wall and nothing less of anything else', () => {
    fc.assert(
      fc.property(geometry, fc.double({ min: 0.01, max: 0.5, noNaN: true }), (tank, more) => {
        const low = takeoffTank(tank, BAMBOO_BAND_MORTAR_RECIPE);
        const taller = { ...tank, waterDepthM: tank.waterDepthM + more };
        const high = takeoffTank(taller, BAMBOO_BAND_MORTAR_RECIPE);
        for (const [index, line] of low.entries()) {
          const other = high[index];
          expect(other?.lineCode).toBe(line.lineCode);
          expect(
            compareQuantities(other?.netQuantity ?? '', line.netQuantity),
          ).toBeGreaterThanOrEqual(0);
          if (line.lineCode === 'inside-final-coat-cement') {
            expect(compareQuantities(other?.netQuantity ?? '', line.netQuantity)).toBe(1);
          }
        }
      }),
      { numRuns: 40 },
    );
  });
});

describe('exact quantities', () => {
  it('add up in any order and take apart again', () => {
    fc.assert(
      fc.property(fc.array(micro(2_000_000_000), { minLength: 1, maxLength: 20 }), (list) => {
        const sum = sumQuantities(list);
        expect(sumQuantities([...list].reverse())).toBe(sum);
        const [first = '0', ...rest] = list;
        expect(subtractQuantities(sum, first)).toBe(sumQuantities(rest));
      }),
    );
  });

  it('waste equals the rational number to half a millionth', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 1_000_000_000 }),
        fc.integer({ min: 0, max: 999_999 }),
        (netMicro, wasteMicro) => {
          const found = withWasteQuantity(
            toQuantity(netMicro / 1_000_000),
            toQuantity(wasteMicro / 1_000_000),
          );
          const foundMicro = BigInt(Math.round(Number(found) * 1_000_000));
          const exact = BigInt(netMicro) * (1_000_000n + BigInt(wasteMicro));
          const error = foundMicro * 1_000_000n - exact;
          expect(error <= 500_000n && error >= -500_000n).toBe(true);
        },
      ),
    );
  });

  it('packs cover the need with less than one pack to spare', () => {
    fc.assert(
      fc.property(micro(900_000_000), fc.integer({ min: 1, max: 90_000_000 }), (need, content) => {
        const pack = toQuantity(content / 1_000_000);
        const { packCount, orderedQuantity, roundingQuantity } = packRounded(need, pack);
        expect(orderedQuantity).toBe(scaleQuantity(pack, packCount));
        expect(sumQuantities([need, roundingQuantity])).toBe(orderedQuantity);
        expect(compareQuantities(roundingQuantity, '0')).toBeGreaterThanOrEqual(0);
        expect(compareQuantities(roundingQuantity, pack)).toBe(-1);
      }),
    );
  });
});

describe('strips and grids', () => {
  it('counts crossings as the chords do', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 300, max: 2000 }),
        fc.integer({ min: 70, max: 300 }),
        (radiusMm, spacingMm) => {
          // independent: each strip carries the crossings strictly within its own half chord
          let expected = 0;
          const last = Math.ceil(radiusMm / spacingMm);
          for (let k = -last; k <= last; k += 1) {
            const square = radiusMm ** 2 - (k * spacingMm) ** 2;
            if (square <= 0) continue;
            expected += 2 * (Math.ceil(Math.sqrt(square) / spacingMm) - 1) + 1;
          }
          const found = gridCrossingCount({
            radiusM: radiusMm / 1000,
            spacingM: spacingMm / 1000,
          });
          expect(found).toBe(expected);
        },
      ),
      { numRuns: 500 },
    );
  });

  it('closes every hoop with pieces that fit the culm', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 4, noNaN: true }),
        fc.double({ min: 1.5, max: 8, noNaN: true }),
        fc.double({ min: 0, max: 0.5, noNaN: true }),
        (diameterM, usableLengthM, lapM) => {
          const hoop = stripHoop({ diameterM, usableLengthM, lapM });
          expect(hoop.pieceLengthM).toBeLessThanOrEqual(usableLengthM + 1e-6);
          const covered = hoop.pieceCount * (hoop.pieceLengthM - lapM);
          expect(covered).toBeCloseTo(Math.PI * diameterM, 9);
          if (hoop.pieceCount > 1) {
            const fewer = (hoop.pieceCount - 1) * (usableLengthM - lapM);
            expect(fewer).toBeLessThan(Math.PI * diameterM + 1e-6);
          }
        },
      ),
    );
  });
});
