import { describe, expect, it } from 'vitest';
import {
  judgeWatertightness,
  VOLUME_RATE_CLASSES,
  volumeRateTest,
  type WatertightnessTest,
  watertightnessDropLimit,
} from '../../../shared/index.ts';
import { expectPrinted } from './printed.ts';

// BS 8007 clause 9.2 [memory] for 1/500 and 10 mm; ACI 350.1 [memory] for the rates of volume loss;
// the numbers were computed from those rules apart from this engine.
const ROWS = [
  { depthM: 1.2, dropMm: '2.4', halfMm: '0.6', oneMm: '1.2', days: '16.7', testDays: 5 },
  { depthM: 1.8, dropMm: '3.6', halfMm: '0.9', oneMm: '1.8', days: '11.1', testDays: 5 },
  { depthM: 2.0, dropMm: '4.0', halfMm: '1.0', oneMm: '2.0', days: '10', testDays: 5 },
  { depthM: 2.4, dropMm: '4.8', halfMm: '1.2', oneMm: '2.4', days: '8.33', testDays: 5 },
] as const;

// Cylinder of 2.0 m diameter, 1.8 m deep.
const AREA_M2 = Math.PI;
const cylinder: WatertightnessTest = {
  startReadingMm: 100,
  endReadingMm: 117,
  testDays: 7,
  soakDays: 7,
  correction: { kind: 'control-pan', startReadingMm: 20, endReadingMm: 34 },
  averageDepthM: 1.8,
  waterSurfaceAreaM2: AREA_M2,
  readingErrorMm: 0,
  hasVisibleLeak: false,
};

describe('limits of the watertightness test', () => {
  it.each(ROWS)('for an average depth of $depthM m', ({ depthM, ...printed }) => {
    expectPrinted(watertightnessDropLimit(depthM), printed.dropMm, '1/500');
    const half = volumeRateTest(depthM, VOLUME_RATE_CLASSES['HST-050']);
    expectPrinted(half.limitMmPerDay, printed.halfMm, '0.05 % a day');
    expectPrinted(half.theoreticalDays, printed.days, 'days for 10 mm');
    expect(half.testDays).toBe(printed.testDays);
    const one = volumeRateTest(depthM, VOLUME_RATE_CLASSES['HST-100']);
    expectPrinted(one.limitMmPerDay, printed.oneMm, '0.1 % a day');
  });

  it('never allow more than 10 mm', () => {
    expect(watertightnessDropLimit(5)).toBe(10);
    expect(watertightnessDropLimit(12)).toBe(10);
  });
});

describe('a cylinder of 2.0 m and 1.8 m depth', () => {
  it('holds 5.65487 m³, of which the limit is 11.3097 L in 7 days', () => {
    expectPrinted(AREA_M2 * cylinder.averageDepthM, '5.65487', 'volume');
    const atLimit = { ...cylinder, endReadingMm: 103.6, correction: { kind: 'covered' } } as const;
    const found = judgeWatertightness(atLimit);
    expectPrinted(found.volumeLostL, '11.3097', 'lost');
    expectPrinted(found.limitMm, '3.6', 'limit');
  });

  it('passes with a tank drop of 17 mm and a pan drop of 14 mm, read without error', () => {
    const found = judgeWatertightness(cylinder);
    expect(found).toMatchObject({ outcome: 'pass', dropMm: 17, leakDropMm: 3 });
  });

  // Two readings at ±1 mm give about ±1.4 mm by root sum of squares.
  it('has an error of 1.4 mm from two readings at 1 mm', () => {
    const covered = { ...cylinder, correction: { kind: 'covered' }, readingErrorMm: 1 } as const;
    expectPrinted(judgeWatertightness(covered).leakErrorMm, '1.4', 'error');
  });
});
