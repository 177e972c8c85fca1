import { describe, expect, it } from 'vitest';
import {
  completeTankDesign,
  requireDesignLimit,
  TANK_DESIGN_DEFAULTS,
  TANK_DESIGN_LIMITS,
  type TankDesignInput,
  type TankDesignLimitName,
} from '../../../shared/index.ts';
import { WORKED_TANK } from '../drawing/drawn-tanks.ts';

const NAMES = Object.keys(TANK_DESIGN_LIMITS) as TankDesignLimitName[];

describe('limits of a tank design', () => {
  it.each(NAMES)('take both ends of %s and nothing beyond', (name) => {
    const [low, high] = TANK_DESIGN_LIMITS[name];
    expect(() => requireDesignLimit(name, low)).not.toThrow();
    expect(() => requireDesignLimit(name, high)).not.toThrow();
    const refusal = { parameter: name, code: 'out-of-range' };
    expect(() => requireDesignLimit(name, low - 1e-6)).toThrow(expect.objectContaining(refusal));
    expect(() => requireDesignLimit(name, high * 1.001)).toThrow(expect.objectContaining(refusal));
    expect(() => requireDesignLimit(name, Number.NaN)).toThrow(
      expect.objectContaining({ parameter: name, code: 'not-finite' }),
    );
  });
});

describe('a completed tank design', () => {
  const { poissonRatio: _nu, mortarModulusPa: _modulus, soilClass: _soil, ...rest } = WORKED_TANK;
  const bare: TankDesignInput = {
    ...rest,
    dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
  };

  it('fills in what was left out, and changes nothing that was given', () => {
    const { stripThicknessMm, liveLoadPa, ...others } = TANK_DESIGN_DEFAULTS;
    expect(completeTankDesign(bare)).toEqual({
      ...bare,
      ...others,
      dome: { ...bare.dome, stripThicknessMm, liveLoadPa },
    });
    const given = completeTankDesign({ ...WORKED_TANK, windSpeedMPerS: 50 });
    expect(given).toEqual({ ...WORKED_TANK, windSpeedMPerS: 50 });
    expect(completeTankDesign(given)).toEqual(given);
  });

  it.each([
    [{ waterDepthM: 0.1 }, 'out-of-range', 'waterDepthM'],
    // 0.25 of the radius 0.95 m
    [{ wallThicknessM: 0.24 }, 'out-of-range', 'wallThicknessM'],
    [{ slab: { diameterM: 2, thicknessM: 0.1 } }, 'inconsistent', 'slab.diameterM'],
    [{ dome: { ...bare.dome, riseM: 0.96 } }, 'out-of-range', 'dome.riseM'],
    [{ dome: { ...bare.dome, gridSpacingM: 0.95 } }, 'out-of-range', 'dome.gridSpacingM'],
    [{ soilClass: 'moon' as 'peat' }, 'out-of-range', 'soilClass'],
    [{ windSpeedMPerS: Number.POSITIVE_INFINITY }, 'not-finite', 'windSpeedMPerS'],
    // 60 m³
    [
      { insideDiameterM: 5, waterDepthM: 3, slab: { diameterM: 6, thicknessM: 0.1 } },
      'out-of-range',
      'capacityL',
    ],
    [
      { seismic: { impulsiveCoefficient: 3, convectiveCoefficient: 0.1 } },
      'out-of-range',
      'seismic.impulsiveCoefficient',
    ],
  ] as const)('is refused with %j as %s of %s', (change, code, parameter) => {
    expect(() => completeTankDesign({ ...bare, ...change })).toThrow(
      expect.objectContaining({ name: 'EngineError', code, parameter }),
    );
  });
});
