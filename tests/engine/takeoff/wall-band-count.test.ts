import { describe, expect, it } from 'vitest';
import { type TakeoffGeometry, wallBandCount } from '../../../shared/index.ts';
import { WORKED_TANK } from '../drawing/drawn-tanks.ts';

const withBands = (bands: Partial<TakeoffGeometry['bands']>): TakeoffGeometry => ({
  ...(WORKED_TANK as TakeoffGeometry),
  bands: { widthMm: 25, thicknessMm: 2, ...bands },
});

describe('the number of wall bands', () => {
  it.each([
    [{ count: 4 }, 4],
    [{ count: 0 }, 0],
    [{ levelsBelowWaterM: [0.5, 1, 1.5] }, 3],
    [{ count: 2, levelsBelowWaterM: [0.5, 1] }, 2],
  ])('of %j is %i', (bands, expected) => {
    expect(wallBandCount(withBands(bands))).toBe(expected);
  });

  it.each([
    [{}, 'missing-data'],
    [{ count: 1.5 }, 'out-of-range'],
    [{ count: -1 }, 'out-of-range'],
    [{ count: 3, levelsBelowWaterM: [0.5] }, 'inconsistent'],
  ])('is refused of %j', (bands, code) => {
    expect(() => wallBandCount(withBands(bands))).toThrow(
      expect.objectContaining({ parameter: 'bands.count', code }),
    );
  });
});
