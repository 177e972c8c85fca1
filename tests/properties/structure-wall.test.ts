import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type CylinderWallInput,
  cylinderWall,
  cylinderWallAt,
} from '../../shared/structure/cylinder-wall.ts';
import { longWall } from '../../shared/structure/long-wall.ts';
import {
  type WallBase,
  wallCoefficients,
  wallCoefficientsAt,
} from '../../shared/structure/wall-coefficients.ts';

const walls: fc.Arbitrary<CylinderWallInput> = fc
  .record({
    insideDiameterM: fc.double({ min: 0.6, max: 4, noNaN: true }),
    waterDepthM: fc.double({ min: 0.5, max: 3, noNaN: true }),
    thicknessRatio: fc.double({ min: 0.02, max: 0.2, noNaN: true }),
    poissonRatio: fc.double({ min: 0, max: 0.35, noNaN: true }),
  })
  .map(({ thicknessRatio, ...wall }) => ({
    ...wall,
    wallThicknessM: (thicknessRatio * wall.insideDiameterM) / 2,
    mortarModulusPa: 20e9,
  }))
  .filter((wall) => wall.waterDepthM ** 2 / (wall.insideDiameterM * wall.wallThicknessM) > 0.5);

const bases = fc.constantFrom<WallBase>('fixed', 'hinged', 'free');

const runs = { numRuns: 40 };

describe('exact wall', () => {
  it('holds a hoop force that sums to R (γH²/2 − V)', () => {
    fc.assert(
      fc.property(walls, bases, (wall, base) => {
        const { baseShearNPerM, totalHoopForceN } = cylinderWall(wall, base);
        const radiusM = wall.insideDiameterM / 2;
        let sum = 0;
        const steps = 600;
        for (let i = 0; i < steps; i += 1) {
          const depthM = (wall.waterDepthM * (i + 0.5)) / steps;
          sum += cylinderWallAt(wall, base, depthM).hoopForceNPerM * (wall.waterDepthM / steps);
        }
        const statics = radiusM * ((9810 * wall.waterDepthM ** 2) / 2 - baseShearNPerM);
        expect(Math.abs(sum / statics - 1)).toBeLessThan(1e-4);
        expect(Math.abs(totalHoopForceN / statics - 1)).toBeLessThan(1e-9);
      }),
      runs,
    );
  });

  it('balances moments about the floor', () => {
    fc.assert(
      fc.property(walls, bases, (wall, base) => {
        // ∫ (p − N/R)(H − z) dz is the moment that the shear of the wall brings to the floor
        const steps = 800;
        let sum = 0;
        for (let i = 0; i < steps; i += 1) {
          const depthM = (wall.waterDepthM * (i + 0.5)) / steps;
          const hoop = cylinderWallAt(wall, base, depthM).hoopForceNPerM;
          const net = 9810 * depthM - hoop / (wall.insideDiameterM / 2);
          sum += net * (wall.waterDepthM - depthM) * (wall.waterDepthM / steps);
        }
        const { baseMomentNmPerM } = cylinderWall(wall, base);
        const scale = 9810 * wall.waterDepthM ** 3;
        expect(Math.abs(sum + baseMomentNmPerM) / scale).toBeLessThan(5e-6);
      }),
      runs,
    );
  });

  it('obeys B·w⁗ + k·w = p at every depth, by finite differences of its own moment', () => {
    fc.assert(
      fc.property(
        walls,
        bases,
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        (wall, base, depthRatio) => {
          const at = (ratio: number) => cylinderWallAt(wall, base, ratio * wall.waterDepthM);
          const step = 1e-3;
          const h = step * wall.waterDepthM;
          const here = at(depthRatio);
          const momentCurvature =
            (at(depthRatio + step).momentNmPerM -
              2 * here.momentNmPerM +
              at(depthRatio - step).momentNmPerM) /
            h ** 2;
          const depthM = depthRatio * wall.waterDepthM;
          const residual =
            -momentCurvature + here.hoopForceNPerM / (wall.insideDiameterM / 2) - 9810 * depthM;
          expect(Math.abs(residual)).toBeLessThan(9810 * wall.waterDepthM * 2e-3);
        },
      ),
      runs,
    );
  });

  it('scales with the unit weight, and with all lengths by the dimension of each result', () => {
    fc.assert(
      fc.property(walls, bases, fc.double({ min: 0.5, max: 2, noNaN: true }), (wall, base, f) => {
        const one = cylinderWall(wall, base);
        const scaled = cylinderWall(
          {
            ...wall,
            insideDiameterM: wall.insideDiameterM * f,
            waterDepthM: wall.waterDepthM * f,
            wallThicknessM: wall.wallThicknessM * f,
          },
          base,
        );
        const heavy = cylinderWall({ ...wall, unitWeightNPerM3: 2 * 9810 }, base);
        const near = (a: number, b: number, size: number) =>
          expect(Math.abs(a - b)).toBeLessThanOrEqual(1e-6 * Math.abs(size) + 1e-9);
        near(scaled.maxHoopForceNPerM, one.maxHoopForceNPerM * f ** 2, one.maxHoopForceNPerM);
        near(scaled.baseMomentNmPerM, one.baseMomentNmPerM * f ** 3, one.baseMomentNmPerM * 8);
        near(scaled.baseShearNPerM, one.baseShearNPerM * f ** 2, one.baseShearNPerM * 4);
        near(scaled.totalHoopForceN, one.totalHoopForceN * f ** 3, one.totalHoopForceN * 8);
        near(heavy.maxHoopForceNPerM, 2 * one.maxHoopForceNPerM, one.maxHoopForceNPerM);
        near(heavy.baseMomentNmPerM, 2 * one.baseMomentNmPerM, one.baseMomentNmPerM);
      }),
      runs,
    );
  });

  it('is held more by a fixed base than by a hinge, and not at all by a free one', () => {
    fc.assert(
      fc.property(walls, (wall) => {
        const fixed = cylinderWall(wall, 'fixed');
        const hinged = cylinderWall(wall, 'hinged');
        const free = cylinderWall(wall, 'free');
        expect(fixed.baseShearNPerM).toBeGreaterThan(hinged.baseShearNPerM);
        expect(fixed.totalHoopForceN).toBeLessThan(hinged.totalHoopForceN);
        expect(hinged.totalHoopForceN).toBeLessThan(free.totalHoopForceN);
        expect(free.maxHoopForceNPerM).toBeCloseTo(
          (9810 * wall.waterDepthM * wall.insideDiameterM) / 2,
          6,
        );
        expect(fixed.baseMomentNmPerM).toBeLessThan(0);
      }),
      runs,
    );
  });

  it('agrees with the long wall wherever the wall is long', () => {
    fc.assert(
      fc.property(walls, (wall) => {
        const long = longWall(wall);
        fc.pre(long.decayLengths > 6);
        const fixed = cylinderWall(wall, 'fixed');
        const hinged = cylinderWall(wall, 'hinged');
        const gap = (a: number, b: number) => Math.abs(a / b - 1);
        expect(gap(long.fixedBaseMomentNmPerM, fixed.baseMomentNmPerM)).toBeLessThan(1e-3);
        expect(gap(long.fixedBaseShearNPerM, fixed.baseShearNPerM)).toBeLessThan(1e-3);
        expect(gap(long.hingedBaseShearNPerM, hinged.baseShearNPerM)).toBeLessThan(1e-3);
      }),
      runs,
    );
  });

  it('adds up: water and an even pressure together are the sum of the two', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 30, noNaN: true }),
        fc.constantFrom<WallBase>('fixed', 'hinged'),
        (lambda, base) => {
          // a triangle and its mirror image make a rectangle: n(ξ) + n_rect − n = n_rect
          const water = wallCoefficients(lambda, base, 'triangular');
          const even = wallCoefficients(lambda, base, 'rectangular');
          const top = wallCoefficientsAt(even, 0);
          expect(top.moment).toBeCloseTo(0, 12);
          expect(top.shear).toBeCloseTo(0, 12);
          const foot = wallCoefficientsAt(even, 1);
          expect(foot.hoop).toBeCloseTo(0, 12);
          // an even pressure everywhere presses harder than water does
          expect(foot.shear).toBeGreaterThanOrEqual(wallCoefficientsAt(water, 1).shear - 1e-12);
        },
      ),
      runs,
    );
  });
});

describe('independent solution by shooting', () => {
  // Runge-Kutta on n⁗ = 4λ⁴ (ξ − n), two trial solutions from the free top combined at the floor
  function shoot(lambda: number, base: 'fixed' | 'hinged') {
    type State = readonly [number, number, number, number];
    const run = (start: State, loaded: boolean): State => {
      const steps = 4000;
      const h = 1 / steps;
      const slope = (xi: number, s: State): State => [
        s[1],
        s[2],
        s[3],
        4 * lambda ** 4 * ((loaded ? xi : 0) - s[0]),
      ];
      const plus = (s: State, k: State, f: number): State => [
        s[0] + f * k[0],
        s[1] + f * k[1],
        s[2] + f * k[2],
        s[3] + f * k[3],
      ];
      let state = start;
      for (let i = 0; i < steps; i += 1) {
        const xi = i * h;
        const k1 = slope(xi, state);
        const k2 = slope(xi + h / 2, plus(state, k1, h / 2));
        const k3 = slope(xi + h / 2, plus(state, k2, h / 2));
        const k4 = slope(xi + h, plus(state, k3, h));
        state = plus(plus(plus(plus(state, k1, h / 6), k2, h / 3), k3, h / 3), k4, h / 6);
      }
      return state;
    };
    const load = run([0, 0, 0, 0], true);
    const lift = run([1, 0, 0, 0], false);
    const tilt = run([0, 1, 0, 0], false);
    const row = base === 'fixed' ? 1 : 2;
    const det = lift[0] * tilt[row] - tilt[0] * lift[row];
    const a = (-load[0] * tilt[row] + tilt[0] * load[row]) / det;
    const b = (-lift[0] * load[row] + load[0] * lift[row]) / det;
    const end = (i: 2 | 3) => load[i] + a * lift[i] + b * tilt[i];
    return { top: a, moment: -end(2) / (4 * lambda ** 4), shear: end(3) / (4 * lambda ** 4) };
  }

  it.each([0.4, 1, 2, 4, 7, 10])('agrees at βH = %s', (lambda) => {
    for (const base of ['fixed', 'hinged'] as const) {
      const solution = wallCoefficients(lambda, base);
      const shot = shoot(lambda, base);
      expect(wallCoefficientsAt(solution, 0).hoop).toBeCloseTo(shot.top, 6);
      expect(wallCoefficientsAt(solution, 1).moment).toBeCloseTo(shot.moment, 6);
      expect(wallCoefficientsAt(solution, 1).shear).toBeCloseTo(shot.shear, 5);
    }
  });
});
