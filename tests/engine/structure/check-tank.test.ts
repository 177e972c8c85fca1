import { describe, expect, it } from 'vitest';
import { checkTank, type TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { EngineError } from '../../../shared/errors.ts';
import published from '../../published/structure/worked-example-5000-l.json' with { type: 'json' };
import { expectPrinted, expectPrintedRow } from './printed-number.ts';

const example: TankDesignInput = {
  ...published.input,
  bands: {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 0.66,
    spacing: 'equal-load',
    count: 4,
  },
  soilClass: 'firm-clay',
  windSpeedMPerS: 39,
};

const even: TankDesignInput = { ...example, bands: { ...example.bands, spacing: 'even' } };

function check(result: TankCheck, id: string) {
  const found = result.checks.find((one) => one.id === id);
  if (found === undefined) throw new Error(`no check ${id}`);
  return found;
}

function refusal(change: Partial<TankDesignInput>): EngineError {
  try {
    checkTank({ ...example, ...change });
  } catch (error) {
    if (error instanceof EngineError) return error;
    throw error;
  }
  throw new Error('was not refused');
}

// printed numbers: source worked-example-5000-l
describe('checkTank', () => {
  it('passes the equal-load bands of the worked example at 0.656 of 115 MPa', () => {
    const result = checkTank(example);
    expectPrinted(result.capacityL / 1000, published.basics.volumeM3);
    expectPrintedRow(
      result.bands.map((band) => band.grossStressPa / 1e6),
      published.bands.cases.C.stressMPa,
    );
    const gross = check(result, 'band-gross-stress');
    expectPrinted(gross.utilisationRatio, published.bands.cases.C.utilisationOn115);
    expect(gross.outcome).toBe('pass');
    const net = check(result, 'band-net-stress');
    expectPrinted(net.demand / 1e6, '114.4');
    expect(net.capacity).toBe(150e6);
    expect(result.bands[0]?.utilisationRatio).toBeCloseTo(net.utilisationRatio, 12);
    // levels z of case C: the first lies 0.6000 m under the springing, as far as is permitted: a rule of
    // detailing that is kept, which uses up no strength
    const spacing = check(result, 'band-spacing');
    expectPrinted(spacing.demand, '0.6000');
    expect(spacing.utilisationRatio).toBeCloseTo(1, 9);
    expect(spacing.outcome).toBe('pass');
    expect(result.maxUtilisationRatio).toBeLessThan(0.9);
    expect(result.outcome).toBe('pass');
    expect(result.reviewTriggers).toEqual([]);
    expect(result.bambooHoopCreditRatio).toBe(0);
  });

  it('fails the even bands of the worked example at 132.1 MPa and calls the engineer', () => {
    const result = checkTank(even);
    expectPrintedRow(
      result.bands.map((band) => band.grossStressPa / 1e6),
      published.bands.cases.A.stressMPa,
    );
    const gross = check(result, 'band-gross-stress');
    expectPrinted(gross.utilisationRatio, published.bands.cases.A.utilisationOn115);
    expect(gross.outcome).toBe('fail');
    expect(result.outcome).toBe('fail');
    const triggers = result.reviewTriggers.map((trigger) => trigger.id);
    expect(triggers).toEqual(['utilisation', 'steel-bands-short']);
  });

  it('takes given levels by midpoint zones', () => {
    const levelsBelowWaterM = [0.36, 0.72, 1.08, 1.44];
    const { count: _, ...section } = example.bands;
    const result = checkTank({
      ...example,
      bands: { ...section, spacing: 'given', levelsBelowWaterM },
    });
    expectPrintedRow(
      result.bands.map((band) => band.loadN / 1000),
      published.bands.cases.B.loadsKN,
    );
  });

  it.each([
    // 12 × 55 mm is 660 mm, so 600 mm is the farthest; neighbours here stay within 500 mm
    ['springing to first band', [0.7, 1.1, 1.4, 1.65], 0.7],
    ['last band to floor', [0.3, 0.75, 1.15], 0.65],
    ['neighbours', [0.2, 0.9, 1.3, 1.6], 0.7],
  ])('fails a wall that spans too far, %s', (_, levelsBelowWaterM, farthestM) => {
    const { count: _count, ...section } = example.bands;
    const result = checkTank({
      ...example,
      bands: { ...section, thicknessMm: 4, spacing: 'given', levelsBelowWaterM },
    });
    const spacing = check(result, 'band-spacing');
    expect(spacing.demand).toBeCloseTo(farthestM, 12);
    expect(spacing.capacity).toBe(0.6);
    expect(spacing.outcome).toBe('fail');
    expect(result.outcome).toBe('fail');
  });

  it('reports wall, dome, ground and wind of the worked example', () => {
    const result = checkTank(example);
    const { fixedBase, hingedBase, freeBase } = result.wall;
    expectPrinted(fixedBase.maxHoopForceNPerM / 1000, published.wall.fixed.maxHoopKNPerM);
    expectPrinted(fixedBase.baseMomentNmPerM / 1000, published.wall.fixed.baseMomentKNmPerM);
    expectPrinted(hingedBase.baseShearNPerM / 1000, published.wall.hinged.baseShearKNPerM);
    expectPrintedRow(
      freeBase.hoopForceProfileNPerM.map((force) => force / 1000),
      published.wall.profileKNPerM.free,
    );
    expectPrinted(result.dome.ringTensionN / 1000, '1.644');
    expectPrinted(result.dome.springingBand.grossStressPa / 1e6, '37.4');
    expect(result.dome.stripsPerLayer).toBe(13);
    const arcs = '2.0239, 1.9960, 1.9107, 1.7619, 1.5358, 1.1990, 0.6133';
    expectPrintedRow(result.dome.stripLengthsM.bottomLayer, arcs);
    expectPrinted(result.bearingPressurePa / 1000, published.base.bearingKPa);
    expect(result.presumptiveBearingPa).toBe(72_000);
    expectPrinted(result.wind.overturningSafetyFactor ?? 0, '10.60');
    expectPrinted(result.crackWidthLimitMm, published.crack.widthLimitMm);
    expect(result.seismic).toBeUndefined();
  });

  it('adds earthquake checks when coefficients are given and says so when they are not', () => {
    const seismic = { impulsiveCoefficient: 0.225, convectiveCoefficient: 0.08 };
    const result = checkTank({ ...example, seismic });
    expectPrinted((result.seismic?.baseShearN ?? 0) / 1000, '12.70');
    expectPrinted((result.seismic?.maxBearingPressurePa ?? 0) / 1000, '29.54');
    expectPrinted(check(result, 'seismic-uplift').demand, '0.1780');
    expect(result.reviewTriggers.map((trigger) => trigger.id)).toContain('seismic');
    const unasked = checkTank(example).cautions.map((caution) => caution.id);
    expect(unasked).toContain('earthquake-not-checked');
    expect(result.cautions.map((caution) => caution.id)).not.toContain('earthquake-not-checked');
  });

  it('fails by uplift, without a bearing pressure, when the slab would lift', () => {
    const seismic = { impulsiveCoefficient: 0.9, convectiveCoefficient: 0.2 };
    const result = checkTank({ ...example, seismic });
    expect(check(result, 'seismic-uplift').outcome).toBe('fail');
    expect(result.seismic?.maxBearingPressurePa).toBeNull();
    expect(result.checks.map((one) => one.id)).not.toContain('seismic-bearing');
  });

  it('asks an engineer and omits the bearing check on ground of unknown class', () => {
    const { soilClass: _, ...rest } = example;
    const result = checkTank(rest);
    expect(result.presumptiveBearingPa).toBeNull();
    expect(result.reviewTriggers.map((trigger) => trigger.id)).toContain('ground');
    expect(result.cautions.map((caution) => caution.id)).toContain('bearing-not-checked');
    expect(result.checks.map((one) => one.id)).not.toContain('bearing-full');
  });

  it('fills in the documented defaults', () => {
    const { poissonRatio: _p, mortarModulusPa: _e, windSpeedMPerS: _w, ...rest } = example;
    const { stripThicknessMm: _s, liveLoadPa: _l, ...dome } = example.dome;
    const result = checkTank({ ...rest, dome });
    const written = checkTank({
      ...example,
      poissonRatio: 0.2,
      mortarModulusPa: 20e9,
      windSpeedMPerS: 44,
    });
    expect(result).toEqual(written);
  });

  it('never calls a tank safe', () => {
    expect(JSON.stringify(checkTank(even))).not.toMatch(/\bsafe\b/i);
  });

  const { bands, dome } = example;
  const { count: _c, ...uncounted } = bands;
  it.each<[string, Partial<TankDesignInput>, string, string]>([
    [
      'a diameter that is not a number',
      { insideDiameterM: Number.NaN },
      'not-finite',
      'insideDiameterM',
    ],
    ['an endless depth', { waterDepthM: Number.POSITIVE_INFINITY }, 'not-finite', 'waterDepthM'],
    ['a depth of millimetres', { waterDepthM: 1800 }, 'out-of-range', 'waterDepthM'],
    ['a negative wall', { wallThicknessM: -0.05 }, 'out-of-range', 'wallThicknessM'],
    ['a wall too thick for a shell', { wallThicknessM: 0.25 }, 'out-of-range', 'wallThicknessM'],
    [
      'a squat basin',
      { insideDiameterM: 5, waterDepthM: 0.3, wallThicknessM: 0.1 },
      'out-of-range',
      'waterDepthM',
    ],
    [
      'a tank beyond the volume',
      { insideDiameterM: 4, waterDepthM: 2, slab: { diameterM: 4.5, thicknessM: 0.15 } },
      'out-of-range',
      'capacityL',
    ],
    [
      'a tank below the volume',
      { insideDiameterM: 0.5, waterDepthM: 0.9 },
      'out-of-range',
      'capacityL',
    ],
    ['a Poisson ratio of rubber', { poissonRatio: 0.5 }, 'out-of-range', 'poissonRatio'],
    ['bands without a count', { bands: uncounted }, 'missing-data', 'bands.count'],
    ['a count of zero', { bands: { ...bands, count: 0 } }, 'out-of-range', 'bands.count'],
    ['half a band', { bands: { ...bands, count: 2.5 } }, 'out-of-range', 'bands.count'],
    [
      'so many bands that they overlap',
      { bands: { ...bands, count: 60 } },
      'inconsistent',
      'bands.count',
    ],
    [
      'given spacing without levels',
      { bands: { ...uncounted, spacing: 'given' } },
      'missing-data',
      'bands.levelsBelowWaterM',
    ],
    [
      'given spacing with no level',
      { bands: { ...uncounted, spacing: 'given', levelsBelowWaterM: [] } },
      'missing-data',
      'bands.levelsBelowWaterM',
    ],
    [
      'levels out of order',
      { bands: { ...uncounted, spacing: 'given', levelsBelowWaterM: [1, 0.5] } },
      'inconsistent',
      'bands.levelsBelowWaterM[1]',
    ],
    [
      'a level below the floor',
      { bands: { ...uncounted, spacing: 'given', levelsBelowWaterM: [0.5, 1.9] } },
      'out-of-range',
      'bands.levelsBelowWaterM[1]',
    ],
    [
      'a level above the water',
      { bands: { ...uncounted, spacing: 'given', levelsBelowWaterM: [-0.1, 1.2] } },
      'out-of-range',
      'bands.levelsBelowWaterM[0]',
    ],
    [
      'a level that is not a number',
      { bands: { ...uncounted, spacing: 'given', levelsBelowWaterM: [0.5, Number.NaN] } },
      'not-finite',
      'bands.levelsBelowWaterM[1]',
    ],
    [
      'levels so near that bands overlap',
      { bands: { ...uncounted, spacing: 'given', levelsBelowWaterM: [1, 1.01] } },
      'inconsistent',
      'bands.levelsBelowWaterM',
    ],
    [
      'a count that contradicts the levels',
      { bands: { ...bands, spacing: 'given', levelsBelowWaterM: [0.5, 1.2] } },
      'inconsistent',
      'bands.count',
    ],
    [
      'levels beside even spacing',
      { bands: { ...bands, levelsBelowWaterM: [0.5, 1.2] } },
      'inconsistent',
      'bands.levelsBelowWaterM',
    ],
    [
      'a spacing it does not know',
      { bands: { ...bands, spacing: 'random' as 'even' } },
      'out-of-range',
      'bands.spacing',
    ],
    [
      'a joint stronger than the band',
      { bands: { ...bands, jointEfficiencyRatio: 1.2 } },
      'out-of-range',
      'bands.jointEfficiencyRatio',
    ],
    [
      'a dome higher than a hemisphere',
      { dome: { ...dome, riseM: 1 } },
      'out-of-range',
      'dome.riseM',
    ],
    [
      'a grid wider than the roof',
      { dome: { ...dome, gridSpacingM: 0.96 } },
      'out-of-range',
      'dome.gridSpacingM',
    ],
    [
      'a slab smaller than the wall',
      { slab: { diameterM: 2, thicknessM: 0.1 } },
      'inconsistent',
      'slab.diameterM',
    ],
    [
      'a soil class it does not know',
      { soilClass: 'jelly' as 'peat' },
      'out-of-range',
      'soilClass',
    ],
    ['a negative wind', { windSpeedMPerS: -1 }, 'out-of-range', 'windSpeedMPerS'],
    [
      'a negative earthquake',
      { seismic: { impulsiveCoefficient: -0.1, convectiveCoefficient: 0 } },
      'out-of-range',
      'seismic.impulsiveCoefficient',
    ],
  ])('refuses %s', (_, change, code, parameter) => {
    const error = refusal(change);
    expect(error.code).toBe(code);
    expect(error.parameter).toBe(parameter);
    expect(error.limit.length).toBeGreaterThan(0);
    expect(error.message).toContain(parameter);
  });
});
