import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sphericalCap } from '../../shared/geometry/spherical-cap.ts';
import { stripGrid } from '../../shared/geometry/strip-grid.ts';
import { domeEdge, domeForcesAt } from '../../shared/structure/dome-membrane.ts';
import { domePointLoadForces, domeRingTensionN } from '../../shared/structure/dome-point-load.ts';

const caps = fc
  .record({
    radiusM: fc.double({ min: 0.3, max: 3, noNaN: true }),
    riseRatio: fc.double({ min: 0.1, max: 1, noNaN: true }),
  })
  .map(({ radiusM, riseRatio }) => sphericalCap(radiusM, riseRatio * radiusM));

const loads = fc.record({
  selfWeightPa: fc.double({ min: 100, max: 3000, noNaN: true }),
  liveLoadPa: fc.double({ min: 0, max: 3000, noNaN: true }),
});

describe('dome', () => {
  it('has a ring tension of W cot φ₀ / 2π', () => {
    fc.assert(
      fc.property(caps, loads, (cap, load) => {
        const edge = domeEdge(cap, load);
        const statics = domeRingTensionN(cap, edge.totalLoadN);
        expect(Math.abs(edge.ringTensionN - statics)).toBeLessThan(1e-9 * edge.totalLoadN);
      }),
    );
  });

  it('stands on its springing with its whole weight', () => {
    fc.assert(
      fc.property(caps, loads, (cap, load) => {
        const edge = domeEdge(cap, load);
        const standing = edge.verticalReactionNPerM * 2 * Math.PI * cap.planRadiusM;
        expect(standing / edge.totalLoadN).toBeCloseTo(1, 9);
      }),
    );
  });

  it('balances the load across the shell: N_φ + N_θ = −Rs · p_n', () => {
    fc.assert(
      fc.property(caps, loads, fc.double({ min: 0, max: 1, noNaN: true }), (cap, load, share) => {
        const angle = share * cap.edgeAngleRad;
        const forces = domeForcesAt(cap, load, angle);
        const cosine = Math.cos(angle);
        const normal = load.selfWeightPa * cosine + load.liveLoadPa * cosine ** 2;
        const balance = forces.meridionalForceNPerM + forces.hoopForceNPerM;
        const size = (load.selfWeightPa + load.liveLoadPa) * cap.sphereRadiusM;
        expect(Math.abs(balance + cap.sphereRadiusM * normal)).toBeLessThan(1e-9 * size);
      }),
    );
  });

  it('carries a load at the crown down every ring', () => {
    fc.assert(
      fc.property(caps, fc.double({ min: 0.05, max: 1, noNaN: true }), (cap, share) => {
        const distance = share * cap.planRadiusM;
        const forces = domePointLoadForces(cap, 1000, distance);
        const sine = distance / cap.sphereRadiusM;
        const carried = -forces.meridionalForceNPerM * sine * 2 * Math.PI * distance;
        expect(carried / 1000).toBeCloseTo(1, 9);
        expect(forces.hoopForceNPerM).toBe(-forces.meridionalForceNPerM);
      }),
    );
  });

  it('pushes outward less as it rises', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 2, noNaN: true }),
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        (radius, ratio) => {
          const thrust = (r: number) => domeRingTensionN(sphericalCap(radius, r * radius), 1000);
          expect(thrust(ratio + 0.1)).toBeLessThan(thrust(ratio));
        },
      ),
    );
  });
});

describe('strip grid', () => {
  const roofs = fc
    .record({
      planRadiusM: fc.double({ min: 0.3, max: 2, noNaN: true }),
      riseRatio: fc.double({ min: 0.1, max: 1, noNaN: true }),
      spacingRatio: fc.double({ min: 0.05, max: 0.95, noNaN: true }),
      stripThicknessM: fc.double({ min: 0, max: 0.02, noNaN: true }),
    })
    .map(({ riseRatio, spacingRatio, ...roof }) => ({
      ...roof,
      riseM: riseRatio * roof.planRadiusM,
      spacingM: spacingRatio * roof.planRadiusM,
    }));

  it('keeps c² + d² = ρ² and lengths between chord and half a circle', () => {
    fc.assert(
      fc.property(roofs, (roof) => {
        const cap = sphericalCap(roof.planRadiusM, roof.riseM);
        for (const strip of stripGrid(roof).strips) {
          const sum = strip.chordHalfLengthM ** 2 + cap.centreDepthM ** 2;
          expect(sum / strip.arcRadiusM ** 2).toBeCloseTo(1, 9);
          expect(strip.bottomLayerLengthM).toBeGreaterThanOrEqual(2 * strip.chordHalfLengthM);
          const half = Math.PI * strip.arcRadiusM * (1 + 1e-12);
          expect(strip.bottomLayerLengthM).toBeLessThanOrEqual(half);
          expect(strip.topLayerLengthM).toBeGreaterThanOrEqual(strip.bottomLayerLengthM - 1e-12);
        }
      }),
    );
  });

  it('shortens strips outward and counts 2m + 1 of them', () => {
    fc.assert(
      fc.property(roofs, (roof) => {
        const grid = stripGrid(roof);
        const lengths = grid.strips.map((strip) => strip.bottomLayerLengthM);
        lengths.slice(1).forEach((length, i) => {
          expect(length).toBeLessThan(lengths[i] ?? 0);
        });
        const counted = grid.strips.reduce((sum, strip) => sum + strip.countPerLayer, 0);
        expect(counted).toBe(grid.stripsPerLayer);
        const last = grid.strips[grid.strips.length - 1]?.offsetM ?? 0;
        expect(last).toBeLessThan(roof.planRadiusM);
        expect(last + roof.spacingM).toBeGreaterThanOrEqual(roof.planRadiusM * (1 - 1e-8));
      }),
    );
  });
});
