import { describe, expect, it } from 'vitest';
import {
  circleAreaM2,
  cylinderCapacityL,
  cylinderWallVolumes,
  depthForCapacityM,
} from '../../../shared/geometry/cylinder.ts';
import { sphericalCap } from '../../../shared/geometry/spherical-cap.ts';

describe('cylinder', () => {
  it('holds a thousand litres in a cubic metre of circle times depth', () => {
    expect(cylinderCapacityL(2, 1)).toBeCloseTo(3141.5926535898, 9);
    expect(depthForCapacityM(2, 3141.5926535898)).toBeCloseTo(1, 12);
  });

  it('has a wall volume of the outer less the inner cylinder', () => {
    const wall = cylinderWallVolumes(1.9, 1.8, 0.055);
    const ring = (circleAreaM2(2.01) - circleAreaM2(1.9)) * 1.8;
    expect(wall.wallVolumeM3).toBeCloseTo(ring, 12);
    expect(wall.outsideDiameterM).toBeCloseTo(2.01, 12);
    expect(wall.meanDiameterM).toBeCloseTo(1.955, 12);
    expect(wall.insideAreaM2).toBeCloseTo(Math.PI * 1.9 * 1.8, 12);
    expect(wall.outsideAreaM2).toBeCloseTo(Math.PI * 2.01 * 1.8, 12);
    expect(wall.floorAreaM2).toBeCloseTo(circleAreaM2(1.9), 12);
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('refuses a diameter of %s', (diameter) => {
    expect(() => cylinderCapacityL(diameter, 1)).toThrow('insideDiameterM');
    expect(() => depthForCapacityM(diameter, 1)).toThrow('insideDiameterM');
    expect(() => cylinderWallVolumes(diameter, 1, 0.05)).toThrow('insideDiameterM');
    expect(() => circleAreaM2(diameter)).toThrow('diameterM');
  });
});

describe('spherical cap', () => {
  it('of half a sphere is half a sphere', () => {
    const cap = sphericalCap(1, 1);
    expect(cap.sphereRadiusM).toBe(1);
    expect(cap.edgeAngleRad).toBeCloseTo(Math.PI / 2, 12);
    expect(cap.surfaceAreaM2).toBeCloseTo(2 * Math.PI, 12);
    expect(cap.volumeM3).toBeCloseTo((2 / 3) * Math.PI, 12);
  });

  it('agrees with a summation over thin rings', () => {
    const cap = sphericalCap(0.95, 0.3);
    let volume = 0;
    let surface = 0;
    const steps = 20_000;
    for (let i = 0; i < steps; i += 1) {
      const height = cap.centreDepthM + (0.3 * (i + 0.5)) / steps;
      const radius = Math.sqrt(cap.sphereRadiusM ** 2 - height ** 2);
      const slope = height / radius;
      volume += Math.PI * radius ** 2 * (0.3 / steps);
      surface += 2 * Math.PI * radius * Math.hypot(1, slope) * (0.3 / steps);
    }
    expect(cap.volumeM3).toBeCloseTo(volume, 6);
    expect(cap.surfaceAreaM2).toBeCloseTo(surface, 3);
  });

  it('refuses a rise above the radius', () => {
    expect(() => sphericalCap(1, 1.01)).toThrow('riseM = 1.01');
    expect(() => sphericalCap(1, 0)).toThrow('riseM = 0');
  });
});
