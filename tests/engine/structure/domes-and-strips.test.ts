import { describe, expect, it } from 'vitest';
import { sphericalCap } from '../../../shared/geometry/spherical-cap.ts';
import { stripGrid } from '../../../shared/geometry/strip-grid.ts';
import { domeBuckling } from '../../../shared/structure/dome-buckling.ts';
import { domeEdge, domeForcesAt } from '../../../shared/structure/dome-membrane.ts';
import {
  domePointLoadForces,
  domeRingTensionN,
} from '../../../shared/structure/dome-point-load.ts';
import { stripBendingStrain } from '../../../shared/structure/strip-bending.ts';
import { tankDome } from '../../../shared/structure/tank-dome.ts';
import published from '../../published/structure/dome-examples.json' with { type: 'json' };
import grids from '../../published/structure/strip-grid.json' with { type: 'json' };
import { expectPrinted, expectPrintedRow } from './printed-number.ts';

const DEG = Math.PI / 180;

// the forces scale with length times load, so feet and pounds serve as well as metres and newtons
const capOfAngle = (sphereRadius: number, angle: number) =>
  sphericalCap(sphereRadius * Math.sin(angle), sphereRadius * (1 - Math.cos(angle)));

describe('published domes', () => {
  // garlock-domes, as quoted
  it('reproduces the dome of 641 ft span under its own weight', () => {
    const { input, printed, ringTolerance } = published.selfWeightDome;
    const cap = capOfAngle(input.sphereRadiusFt, input.edgeAngleDeg * DEG);
    const edge = domeEdge(cap, { selfWeightPa: input.weightLbPerFt2, liveLoadPa: 0 });
    expectPrinted(2 * cap.planRadiusM, printed.spanFt);
    expectPrinted(cap.riseM, printed.riseFt);
    expectPrinted(cap.surfaceAreaM2, printed.areaFt2);
    expectPrinted(edge.verticalReactionNPerM, printed.verticalLbPerFt);
    expectPrinted(edge.thrustNPerM, printed.thrustLbPerFt);
    expect(Math.abs(edge.ringTensionN - printed.ringLb)).toBeLessThan(ringTolerance);
  });

  // garlock-domes, as quoted
  it.each(published.membraneAtAngles.rows)('reproduces the forces at $angleDeg degrees', (row) => {
    const { input } = published.membraneAtAngles;
    const cap = capOfAngle(input.sphereRadiusFt, 45 * DEG);
    const loads = { selfWeightPa: input.weightLbPerFt2, liveLoadPa: 0 };
    const forces = domeForcesAt(cap, loads, row.angleDeg * DEG);
    expectPrinted(forces.meridionalForceNPerM, row.meridional);
    expectPrinted(forces.hoopForceNPerM, row.hoop);
  });

  // punmia-intze [memory]
  it('reproduces the top dome of an Intze tank', () => {
    const { input, printed, toleranceRatio } = published.tankDome;
    const cap = capOfAngle(input.sphereRadiusM, Math.asin(input.spanM / 2 / input.sphereRadiusM));
    const edge = domeEdge(cap, { selfWeightPa: input.totalPa, liveLoadPa: 0 });
    expect(Math.abs(-edge.meridionalForceNPerM / printed.thrustNPerM - 1)).toBeLessThan(
      toleranceRatio,
    );
    expect(Math.abs(edge.ringTensionN / printed.ringN - 1)).toBeLessThan(toleranceRatio);
  });

  it('turns the hoop force of self weight to tension at 51.83 degrees', () => {
    const cap = capOfAngle(1, 60 * DEG);
    const hoop = (degrees: number) =>
      domeForcesAt(cap, { selfWeightPa: 1, liveLoadPa: 0 }, degrees * DEG).hoopForceNPerM;
    expect(hoop(51.82)).toBeLessThan(0);
    expect(hoop(51.83)).toBeGreaterThan(0);
  });

  it('refuses angles, loads and places outside the dome', () => {
    const cap = sphericalCap(0.95, 0.3);
    const loads = { selfWeightPa: 960, liveLoadPa: 0 };
    expect(() => domeForcesAt(cap, loads, 0.7)).toThrow('angleRad = 0.7');
    expect(() => domeEdge(cap, { ...loads, liveLoadPa: -1 })).toThrow('liveLoadPa = -1');
    expect(() => domePointLoadForces(cap, 1000, 1)).toThrow('distanceFromCrownM = 1');
    expect(() => domePointLoadForces(cap, 1000, 0)).toThrow('distanceFromCrownM = 0');
    expect(() => domeRingTensionN(cap, Number.NaN)).toThrow('loadN = NaN');
    expect(() => domeBuckling(20e9, 0, 1)).toThrow('thicknessM = 0');
  });
});

describe('strip grid', () => {
  // worked-example-5000-l: independent script
  it.each(grids.domes)('reproduces the strips of the roof of $diameterM m', (row) => {
    const planRadiusM = row.diameterM / 2;
    const { riseM, spacingM, stripThicknessM } = grids;
    const cap = sphericalCap(planRadiusM, riseM);
    const grid = stripGrid({ planRadiusM, riseM, spacingM, stripThicknessM });
    expectPrinted(cap.sphereRadiusM, row.sphereRadiusM);
    expectPrinted(cap.edgeAngleRad / DEG, row.edgeAngleDeg);
    expect(grid.stripsPerLayer).toBe(row.stripsPerLayer);
    const of = (length: 'bottomLayerLengthM' | 'topLayerLengthM') =>
      grid.strips.map((strip) => strip[length]);
    expectPrintedRow(of('bottomLayerLengthM'), row.bottom, 'bottom');
    expectPrintedRow(of('topLayerLengthM'), row.top, 'top');
    expectPrinted(grid.bottomLayerTotalM, row.total, 'total');
    expectPrinted(grid.chordTotalM, row.chords, 'chords');
    expectPrinted(grid.topLayerSameAngleTotalM - grid.bottomLayerTotalM, row.sameAngleGain);
  });

  it('reproduces chords and radii of the roof of 1.9 m', () => {
    const { riseM, spacingM, stripThicknessM } = grids;
    const { strips } = stripGrid({ planRadiusM: 0.95, riseM, spacingM, stripThicknessM });
    expectPrintedRow(
      strips.map((strip) => strip.chordHalfLengthM),
      grids.chordHalfLengths19,
    );
    expectPrintedRow(
      strips.map((strip) => strip.arcRadiusM),
      grids.arcRadii19,
    );
  });

  it('agrees with a summation of short chords along the sphere', () => {
    const grid = stripGrid({
      planRadiusM: 0.95,
      riseM: 0.3,
      spacingM: 0.15,
      stripThicknessM: 0.005,
    });
    const sphere = 0.95 ** 2 / 0.6 + 0.15;
    for (const strip of grid.strips) {
      const heightAt = (x: number) => Math.sqrt(sphere ** 2 - strip.offsetM ** 2 - x ** 2);
      let length = 0;
      const steps = 4000;
      for (let i = 0; i < steps; i += 1) {
        const from = strip.chordHalfLengthM * (-1 + (2 * i) / steps);
        const to = strip.chordHalfLengthM * (-1 + (2 * (i + 1)) / steps);
        length += Math.hypot(to - from, heightAt(to) - heightAt(from));
      }
      expect(strip.bottomLayerLengthM).toBeCloseTo(length, 6);
    }
  });

  it('leaves out a strip without a chord', () => {
    const grid = stripGrid({ planRadiusM: 0.6, riseM: 0.3, spacingM: 0.15, stripThicknessM: 0 });
    expect(grid.strips).toHaveLength(4);
    expect(grid.topLayerTotalM).toBeCloseTo(grid.bottomLayerTotalM, 12);
  });

  it('refuses a spacing as wide as the roof, and one of a hair', () => {
    const roof = { planRadiusM: 0.95, riseM: 0.3, stripThicknessM: 0.005 };
    expect(() => stripGrid({ ...roof, spacingM: 0.95 })).toThrow('spacingM = 0.95');
    expect(() => stripGrid({ ...roof, spacingM: 0.002 })).toThrow('spacingM = 0.002');
    expect(() => stripGrid({ ...roof, spacingM: 0 })).toThrow('spacingM = 0');
    expect(() => stripGrid({ ...roof, spacingM: 0.15, stripThicknessM: -1 })).toThrow(
      'stripThicknessM = -1',
    );
  });

  // worked-example-5000-l: 5 mm on 1.654 m 0.15 %, on 0.75 m 0.33 %
  it('gives the strain of a strip bent to the roof', () => {
    expectPrinted(stripBendingStrain(0.005, 1.6541667) * 100, '0.15');
    expectPrinted(stripBendingStrain(0.005, 0.75) * 100, '0.33');
  });
});

describe('tank dome', () => {
  it('adds edge tension only past the angle of no hoop tension', () => {
    const dome = {
      thicknessM: 0.04,
      gridSpacingM: 0.15,
      stripThicknessMm: 5,
      mortarModulusPa: 20e9,
      springingBand: {
        widthMm: 25,
        thicknessMm: 2,
        yieldStrengthMPa: 250,
        jointEfficiencyRatio: 0.66,
      },
    };
    const shallow = tankDome({ ...dome, insideDiameterM: 1.9, riseM: 0.3, liveLoadPa: 0 });
    const steep = tankDome({ ...dome, insideDiameterM: 1.2, riseM: 0.3, liveLoadPa: 0 });
    expect(shallow.edgeTensionPa).toBe(0);
    expect(steep.edgeTensionPa).toBeGreaterThan(0);
    const tiny = tankDome({
      ...dome,
      insideDiameterM: 0.28,
      gridSpacingM: 0.1,
      riseM: 0.05,
      liveLoadPa: 0,
    });
    expect(tiny.personTensionPa).toBeGreaterThan(shallow.personTensionPa / 10);
    expect(tiny.cap.planRadiusM).toBeCloseTo(0.14, 12);
  });
});
