import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandOptions } from '../../shared/structure/band-choice.ts';
import { corrodedBand } from '../../shared/structure/band-corrosion.ts';
import {
  equalLoadBandZones,
  evenBandZones,
  midpointBandZones,
} from '../../shared/structure/band-levels.ts';
import { bandTensionsN } from '../../shared/structure/band-loads.ts';
import { bandStress } from '../../shared/structure/band-stress.ts';
import { totalHoopForceN } from '../../shared/structure/hydrostatic.ts';
import { lostBandLoads } from '../../shared/structure/lost-band.ts';
import { restrainedBandZones } from '../../shared/structure/restrained-band-levels.ts';

const depths = fc.double({ min: 0.3, max: 4, noNaN: true });
const radii = fc.double({ min: 0.3, max: 3, noNaN: true });
const counts = fc.integer({ min: 1, max: 30 });
const levelRatios = fc
  .uniqueArray(fc.integer({ min: 1, max: 999 }), { minLength: 1, maxLength: 20 })
  .map((values) => values.sort((a, b) => a - b).map((value) => value / 1000));

const sum = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);

describe('band loads', () => {
  it('sum to γRH²/2 whatever the levels', () => {
    fc.assert(
      fc.property(depths, radii, counts, levelRatios, (depth, radius, count, ratios) => {
        const total = totalHoopForceN(depth, radius);
        const given = ratios.map((ratio) => ratio * depth);
        for (const zones of [
          evenBandZones(depth, count),
          equalLoadBandZones(depth, count),
          midpointBandZones(depth, given),
        ]) {
          expect(sum(bandTensionsN(zones, radius)) / total).toBeCloseTo(1, 9);
        }
      }),
    );
  });

  it('are equal in equal-load zones, each band at the centre of its pressure', () => {
    fc.assert(
      fc.property(depths, radii, counts, (depth, radius, count) => {
        const zones = equalLoadBandZones(depth, count);
        const each = totalHoopForceN(depth, radius) / count;
        for (const load of bandTensionsN(zones, radius)) expect(load / each).toBeCloseTo(1, 9);
        for (const { fromDepthM: a, toDepthM: b, levelBelowWaterM } of zones) {
          const centroid = ((2 / 3) * (b ** 3 - a ** 3)) / (b ** 2 - a ** 2);
          expect(levelBelowWaterM).toBeCloseTo(centroid, 9);
        }
      }),
    );
  });

  it('scale with the radius and with the square of the depth', () => {
    fc.assert(
      fc.property(depths, radii, levelRatios, (depth, radius, ratios) => {
        const loads = (h: number, r: number) =>
          bandTensionsN(
            midpointBandZones(
              h,
              ratios.map((ratio) => ratio * h),
            ),
            r,
          );
        const one = loads(depth, radius);
        loads(2 * depth, radius).forEach((load, i) => {
          expect(load / (one[i] ?? 0)).toBeCloseTo(4, 6);
        });
        loads(depth, 3 * radius).forEach((load, i) => {
          expect(load / (one[i] ?? 0)).toBeCloseTo(3, 6);
        });
      }),
    );
  });

  it('grow downward when bands are evenly apart', () => {
    fc.assert(
      fc.property(depths, radii, counts, (depth, radius, count) => {
        const loads = bandTensionsN(evenBandZones(depth, count), radius);
        loads.slice(1).forEach((load, i) => {
          expect(load).toBeGreaterThan(loads[i] ?? 0);
        });
      }),
    );
  });

  it('stay whole when any one band is lost, and no other band is relieved', () => {
    const section = {
      widthMm: 25,
      thicknessMm: 2,
      yieldStrengthMPa: 250,
      jointEfficiencyRatio: 0.7,
    };
    fc.assert(
      fc.property(depths, radii, levelRatios, (depth, radius, ratios) => {
        fc.pre(ratios.length > 1);
        const levels = ratios.map((ratio) => ratio * depth);
        const before = bandTensionsN(midpointBandZones(depth, levels), radius);
        const total = totalHoopForceN(depth, radius);
        const input = { insideDiameterM: 2 * radius, waterDepthM: depth, wallThicknessM: 0.05 };
        const cases = lostBandLoads({ ...input, levelsBelowWaterM: levels, section });
        cases.forEach((lost, i) => {
          expect(sum(lost.loadsN) / total).toBeCloseTo(1, 9);
          const kept = before.filter((_, k) => k !== i);
          lost.loadsN.forEach((load, k) => {
            expect(load).toBeGreaterThanOrEqual((kept[k] ?? 0) * (1 - 1e-12));
          });
        });
      }),
    );
  });
});

describe('bands with the base credited', () => {
  it('share less than the whole load and sit in their zones', () => {
    const tanks = fc.record({
      insideDiameterM: fc.double({ min: 1, max: 3.5, noNaN: true }),
      waterDepthM: fc.double({ min: 1, max: 2.5, noNaN: true }),
      wallThicknessM: fc.double({ min: 0.04, max: 0.08, noNaN: true }),
    });
    fc.assert(
      fc.property(
        tanks,
        fc.constantFrom('fixed', 'hinged'),
        fc.integer({ min: 1, max: 8 }),
        (tank, base, count) => {
          const zones = restrainedBandZones({ ...tank, poissonRatio: 0.2 }, base, count);
          expect(zones[0]?.fromDepthM).toBe(0);
          expect(zones[count - 1]?.toDepthM).toBe(tank.waterDepthM);
          for (const zone of zones) {
            expect(zone.levelBelowWaterM).toBeGreaterThan(zone.fromDepthM);
            expect(zone.levelBelowWaterM).toBeLessThan(zone.toDepthM);
          }
        },
      ),
      { numRuns: 40 },
    );
  });
});

describe('band choice', () => {
  it('finds no option that one band fewer would also satisfy', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 3, noNaN: true }),
        fc.double({ min: 0.8, max: 2.2, noNaN: true }),
        fc.constantFrom<'even' | 'equal-load'>('even', 'equal-load'),
        fc.integer({ min: 20, max: 50 }),
        (insideDiameterM, waterDepthM, spacing, widthMm) => {
          const steel = { yieldStrengthMPa: 250, jointEfficiencyRatio: 0.66 };
          const size = { widthMm, thicknessMm: 2 };
          const tank = { insideDiameterM, waterDepthM, wallThicknessM: 0.06 };
          const { options, refused } = bandOptions({ ...tank, ...steel, spacing, sizes: [size] });
          expect(options.length + refused.length).toBe(1);
          const [option] = options;
          if (option === undefined) return;
          expect(option.maxUtilisationRatio).toBeLessThanOrEqual(1 + 1e-9);
          if (option.count < 2) return;
          const zonesOf = spacing === 'even' ? evenBandZones : equalLoadBandZones;
          const fewer = zonesOf(waterDepthM, option.count - 1);
          const loads = bandTensionsN(fewer, insideDiameterM / 2);
          const worst = Math.max(
            ...loads.map((load) => bandStress(load, { ...size, ...steel }).utilisationRatio),
          );
          const levels = fewer.map((zone) => zone.levelBelowWaterM);
          // springing and floor count as neighbours
          const ends = [0, ...levels, waterDepthM];
          const gaps = ends.slice(1).map((end, i) => end - (ends[i] ?? 0));
          const widest = fewer.length === 1 ? waterDepthM : Math.max(...gaps);
          expect(worst > 1 || widest > 0.6).toBe(true);
        },
      ),
    );
  });
});

describe('corrosion', () => {
  it('never gives steel back and never takes more than there is', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.3, max: 10, noNaN: true }),
        fc.double({ min: 0, max: 0.5, noNaN: true }),
        fc.constantFrom(0, 1, 2),
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.double({ min: 0, max: 50, noNaN: true }),
        (thickness, rate, faces, years, more) => {
          const exposure = { ratePerFaceMmPerYear: rate, exposedFaces: faces };
          const now = corrodedBand(thickness, exposure, years);
          const later = corrodedBand(thickness, exposure, years + more);
          expect(later.remainingThicknessMm).toBeLessThanOrEqual(now.remainingThicknessMm);
          expect(later.remainingThicknessMm).toBeGreaterThanOrEqual(0);
          expect(now.sectionLossRatio).toBeLessThanOrEqual(1);
          expect(now.lostThicknessMm + now.remainingThicknessMm).toBeCloseTo(thickness, 12);
        },
      ),
    );
  });
});
