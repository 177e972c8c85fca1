import { describe, expect, it } from 'vitest';
import {
  judgeWatertightness,
  volumeRateTest,
  type WatertightnessTest,
  watertightnessDropLimit,
  watertightnessStanding,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const sound: WatertightnessTest = {
  startReadingMm: 100,
  endReadingMm: 102,
  testDays: 7,
  soakDays: 7,
  correction: { kind: 'covered' },
  averageDepthM: 1.8,
  waterSurfaceAreaM2: 3,
  readingErrorMm: 0.5,
  hasVisibleLeak: false,
};
const judged = (change: Partial<WatertightnessTest>) =>
  judgeWatertightness({ ...sound, ...change });

describe('judging a watertightness test', () => {
  it('passes a drop clearly within the limit and fails one clearly above it', () => {
    expect(judged({})).toMatchObject({
      outcome: 'pass',
      reason: 'drop-within-limit',
      leakDropMm: 2,
    });
    expect(judged({ endReadingMm: 105 })).toMatchObject({
      outcome: 'fail',
      reason: 'drop-above-limit',
    });
  });

  it('is inconclusive within the reading error of the limit, on either side', () => {
    for (const drop of [3.0, 3.6, 4.2]) {
      const found = judged({ endReadingMm: 100 + drop });
      expect(found).toMatchObject({ outcome: 'inconclusive', reason: 'within-reading-error' });
    }
    expect(judged({ endReadingMm: 103.6, readingErrorMm: 0 }).outcome).toBe('pass');
  });

  it('counts four readings where a control pan is used', () => {
    const correction = { kind: 'control-pan', startReadingMm: 0, endReadingMm: 14 } as const;
    const found = judged({ endReadingMm: 117, correction });
    expect(found).toMatchObject({ leakDropMm: 3, leakErrorMm: 1, outcome: 'inconclusive' });
  });

  it('takes evaporation off and rain back on in an open tank', () => {
    const correction = { kind: 'estimate', evaporationMm: 10, rainMm: 4 } as const;
    expect(judged({ endReadingMm: 108, correction }).leakDropMm).toBe(2);
  });

  it('fails a visible leak whatever the level does', () => {
    expect(judged({ hasVisibleLeak: true, endReadingMm: 100 })).toMatchObject({
      outcome: 'fail',
      reason: 'visible-leak',
    });
  });

  it('does not believe a level that rose', () => {
    expect(judged({ endReadingMm: 98 })).toMatchObject({
      outcome: 'inconclusive',
      reason: 'level-rose',
    });
    expect(judged({ endReadingMm: 99.6 }).outcome).toBe('pass');
  });

  it('lets a short soak spoil a pass but not excuse a fail', () => {
    expect(judged({ soakDays: 6 })).toMatchObject({
      outcome: 'inconclusive',
      reason: 'soak-too-short',
    });
    expect(judged({ soakDays: 6, endReadingMm: 120 }).outcome).toBe('fail');
  });

  it('gives the loss of volume a day over the full volume', () => {
    // 2 mm of 1800 mm in 7 days.
    expect(judged({}).lossRatioPerDay).toBeCloseTo(2 / 1800 / 7, 12);
    expect(judged({}).volumeLostL).toBe(6);
  });

  it('refuses other durations and impossible readings', () => {
    expectRefusal(() => judged({ testDays: 3 }), 'out-of-range', 'testDays');
    expectRefusal(() => judged({ startReadingMm: Number.NaN }), 'not-finite', 'startReadingMm');
    expectRefusal(() => judged({ readingErrorMm: -1 }), 'out-of-range', 'readingErrorMm');
    expectRefusal(() => judged({ waterSurfaceAreaM2: 0 }), 'out-of-range', 'waterSurfaceAreaM2');
    expectRefusal(() => watertightnessDropLimit(0), 'out-of-range', 'averageDepthM');
    const rain = { kind: 'estimate', evaporationMm: 1, rainMm: -1 } as const;
    expectRefusal(() => judged({ correction: rain }), 'out-of-range', 'correction.rainMm');
    const pan = { kind: 'control-pan', startReadingMm: Infinity, endReadingMm: 1 } as const;
    expectRefusal(() => judged({ correction: pan }), 'not-finite', 'correction.startReadingMm');
    expectRefusal(() => volumeRateTest(2, 0), 'out-of-range', 'allowedLossRatioPerDay');
    expectRefusal(() => volumeRateTest(2, 0.02), 'out-of-range', 'allowedLossRatioPerDay');
  });

  it('tests a deep tank for less than five days where 10 mm take less', () => {
    expect(volumeRateTest(4, 0.001)).toMatchObject({ limitMmPerDay: 4, testDays: 2.5 });
  });
});

describe('standing of a tank after its tests', () => {
  const fail = (testedOn: string) => ({ testedOn, outcome: 'fail' }) as const;
  const pass = (testedOn: string) => ({ testedOn, outcome: 'pass' }) as const;

  it('never lets a pass cover a fail without a recorded repair', () => {
    const tests = [fail('2023-03-10'), pass('2023-04-10')];
    expect(watertightnessStanding(tests, [])).toBe('repair-not-recorded');
    expect(watertightnessStanding(tests, ['2023-03-20'])).toBe('passed');
    expect(watertightnessStanding(tests, ['2023-03-09'])).toBe('repair-not-recorded');
    expect(watertightnessStanding(tests, ['2023-03-10'])).toBe('repair-not-recorded');
    expect(watertightnessStanding(tests, ['2023-04-11'])).toBe('repair-not-recorded');
  });

  it('still asks for the repair after two passes', () => {
    const tests = [pass('2023-05-10'), fail('2023-03-10'), pass('2023-04-10')];
    expect(watertightnessStanding(tests, [])).toBe('repair-not-recorded');
  });

  it('takes the last judged test, and a fail before a pass of the same day as last', () => {
    expect(watertightnessStanding([], [])).toBe('not-tested');
    expect(watertightnessStanding([{ testedOn: '2023-01-01', outcome: 'inconclusive' }], [])).toBe(
      'not-tested',
    );
    expect(watertightnessStanding([pass('2023-01-01')], [])).toBe('passed');
    expect(watertightnessStanding([pass('2023-01-01'), fail('2023-02-01')], [])).toBe('failed');
    for (const tests of [
      [fail('2023-01-01'), pass('2023-01-01')],
      [pass('2023-01-01'), fail('2023-01-01')],
    ]) {
      expect(watertightnessStanding(tests, [])).toBe('failed');
    }
    expectRefusal(() => watertightnessStanding([], ['soon']), 'out-of-range', 'repairedOn[0]');
  });
});
