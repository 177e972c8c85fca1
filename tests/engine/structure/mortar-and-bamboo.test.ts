import { describe, expect, it } from 'vitest';
import {
  BAMBOO_HOOP_BUILDING_STRESS_PA,
  BAMBOO_HOOP_LONG_TERM_CREDIT_RATIO,
  bambooHoopBuildingStressPa,
  bambooStripStressMPa,
} from '../../../shared/structure/bamboo-hoop.ts';
import { crackWidthLimitMm, leakTestMaxFallMm } from '../../../shared/structure/crack-limit.ts';
import {
  meshChecks,
  meshContent,
  meshStressLimitMPa,
} from '../../../shared/structure/ferrocement-mesh.ts';
import { freeRingHoopForceNPerM } from '../../../shared/structure/hydrostatic.ts';
import {
  CONCRETE_TENSION_LIMITS,
  MORTAR_BENDING_TENSION_LIMIT_PA,
  MORTAR_DIRECT_TENSION_LIMIT_PA,
  mortarModulusPa,
  wallTensionWithShrinkagePa,
} from '../../../shared/structure/mortar-limits.ts';
import {
  leastWetCuringDays,
  type MortarMix,
  mortarRemarks,
} from '../../../shared/structure/mortar-mix.ts';
import published from '../../published/structure/mortar.json' with { type: 'json' };
import { expectPrinted } from './printed-number.ts';

describe('mortar of the wall', () => {
  // pca-1993 section 4 [memory]; values by an independent script
  it.each(published.shrinkage.rows)('with bonded steel and shrinkage at $hoopNPerM N/m', (row) => {
    const { wallThicknessM, steelMm2PerM, modularRatio } = published.shrinkage;
    const stress = wallTensionWithShrinkagePa(
      row.hoopNPerM,
      wallThicknessM,
      steelMm2PerM,
      modularRatio,
    );
    expectPrinted(stress / 1e6, row.stressMPa);
  });

  it('with bands outside the mortar is force over thickness', () => {
    expect(wallTensionWithShrinkagePa(13_050, 0.055, 0)).toBeCloseTo(13_050 / 0.055, 6);
  });

  // wedc-36, as quoted: below 1,000 litres plain mortar is said to be strong enough
  it('of a 1,000 litre tank is an order below the code limit', () => {
    const { smallTank } = published;
    const hoop = freeRingHoopForceNPerM(smallTank.depthM, smallTank.diameterM / 2);
    expectPrinted(hoop / 1000, smallTank.hoopKNPerM);
    const stressMPa = hoop / smallTank.wallThicknessM / 1e6;
    expectPrinted(stressMPa, smallTank.stressMPa);
    expect(stressMPa).toBeLessThan((CONCRETE_TENSION_LIMITS[0]?.directMPa ?? 0) / 8);
  });

  it('is allowed half of what the code allows M20, which no limit here exceeds', () => {
    const [m20] = CONCRETE_TENSION_LIMITS;
    expect(MORTAR_DIRECT_TENSION_LIMIT_PA).toBe(((m20?.directMPa ?? 0) * 1e6) / 2);
    expect(MORTAR_BENDING_TENSION_LIMIT_PA).toBe(((m20?.bendingMPa ?? 0) * 1e6) / 2);
  });

  // is-456 [memory]: E = 5000 √fck
  it('has the modulus of the code', () => {
    expect(mortarModulusPa(16)).toBe(20e9);
    expect(() => mortarModulusPa(0)).toThrow('strengthMPa = 0');
  });

  // en-1992-3 clause 7.3.1 [memory]
  it.each(published.crackLimits.rows)('may crack by its gradient $gradient', (row) => {
    expect(crackWidthLimitMm(row.gradient * 0.05, 0.05)).toBeCloseTo(row.widthMm, 12);
  });

  // bs-8007 clause 9.2 [memory]: depth/500, at most 10 mm
  it('may lose depth/500 in seven days, at most 10 mm', () => {
    expect(leakTestMaxFallMm(1.8)).toBeCloseTo(3.6, 12);
    expect(leakTestMaxFallMm(8)).toBe(10);
  });

  const good: MortarMix = {
    sandToCementRatio: 2.5,
    waterToCementRatio: 0.45,
    isBlendedCement: false,
    isHotDryWeather: false,
    wetCuringDays: 14,
  };
  const remarks = (change: Partial<MortarMix>) =>
    mortarRemarks({ ...good, ...change }).map((remark) => remark.id);

  // aci-549-1r chapter 3 [memory], is-456 clause 13.5 [memory]
  it('is remarked on where mix or curing departs', () => {
    expect(remarks({})).toEqual([]);
    expect(remarks({ sandToCementRatio: 4 })).toEqual(['sand-rich']);
    expect(remarks({ sandToCementRatio: 1 })).toEqual(['cement-rich']);
    expect(remarks({ waterToCementRatio: 0.6 })).toEqual(['too-wet']);
    expect(remarks({ waterToCementRatio: 0.3 })).toEqual(['too-dry']);
    expect(remarks({ wetCuringDays: 6 })).toEqual(['short-curing']);
    expect(remarks({ wetCuringDays: 7 })).toEqual(['below-programme-curing']);
    expect(remarks({ isBlendedCement: true, wetCuringDays: 9 })).toEqual([
      'slow-strength',
      'short-curing',
    ]);
    expect(leastWetCuringDays(false, false)).toBe(7);
    expect(leastWetCuringDays(false, true)).toBe(10);
    expect(() => mortarRemarks({ ...good, wetCuringDays: -1 })).toThrow('wetCuringDays = -1');
  });
});

describe('ferrocement mesh', () => {
  // by hand: 1 mm wire at 12.5 mm, 4 layers in 25 mm: 2·4·π·1/(12.5·25) = 0.08042 /mm
  it('has the surface and volume of its wires', () => {
    const mesh = { wireDiameterMm: 1, wireSpacingMm: 12.5, layers: 4, mortarThicknessMm: 25 };
    const content = meshContent(mesh);
    expectPrinted(content.specificSurfacePerMm, '0.08042');
    const wiresPerMm = (2 * 4) / 12.5;
    expect(content.volumeFractionRatio).toBeCloseTo((wiresPerMm * Math.PI) / 4 / 25, 12);
    expect(meshChecks(mesh).map((check) => check.outcome)).toEqual(['fail', 'fail']);
    const dense = { ...mesh, layers: 10, wireDiameterMm: 1.2 };
    expect(meshChecks(dense).map((check) => check.outcome)).toEqual(['pass', 'pass']);
  });

  // aci-549-1r section 4.3 [memory]
  it('may be stressed to 0.6 fy, at most 207 MPa', () => {
    expect(meshStressLimitMPa(250)).toBe(150);
    expect(meshStressLimitMPa(450)).toBe(207);
  });
});

describe('bamboo hoops', () => {
  it('carry nothing in the long term', () => {
    expect(BAMBOO_HOOP_LONG_TERM_CREDIT_RATIO).toBe(0);
  });

  // iso-22156 factors [memory], salzer-2018 strength as quoted
  it('may bear 10 MPa while building, rounded down from 10.7', () => {
    const stress = bambooStripStressMPa({
      characteristicTensionMPa: 95,
      nodeRatio: 0.5,
      redundancyRatio: 0.9,
      durationAndMoistureRatio: 0.5,
      safetyFactor: 2,
    });
    expectPrinted(stress, published.bamboo.stressMPa);
    expect(BAMBOO_HOOP_BUILDING_STRESS_PA / 1e6).toBeLessThan(stress);
  });

  it('hold the water of building, never above a third of the wall', () => {
    // 9810 × 0.6 × 0.95 × 0.15 / 150 mm²
    expect(bambooHoopBuildingStressPa(0.6, 1.8, 0.95, 0.15, 150)).toBeCloseTo(5_591_700, 3);
    expect(() => bambooHoopBuildingStressPa(0.7, 1.8, 0.95, 0.15, 150)).toThrow(
      'waterDepthM = 0.7',
    );
  });
});
