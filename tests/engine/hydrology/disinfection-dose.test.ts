import { describe, expect, it } from 'vitest';
import {
  type ChlorineDoseInput,
  chlorineDose,
  doseOfPowder,
  householdDose,
  SHOCK_METHODS,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const input: ChlorineDoseInput = {
  waterVolumeL: 1000,
  doseMgPerL: 5,
  product: { kind: 'powder', availableChlorineRatio: 0.65 },
  isStabilised: false,
  productAgeDays: 30,
  purpose: 'drinking',
};
const dose = (change: Partial<ChlorineDoseInput>) => chlorineDose({ ...input, ...change });

describe('chlorine dose', () => {
  it('is a starting dose with a residual to measure', () => {
    const found = dose({});
    expect(found).toMatchObject({
      unit: 'g',
      mayBeDrunkOnceChecked: true,
      targetFreeChlorineMgPerL: 0.5,
    });
    expect(found.cautions[0]).toContain('measure free chlorine after 30 minutes');
    expect(found.cautions.join(' ')).toContain('Add powder to water, never water to powder');
    expect(dose({ product: { kind: 'liquid', chlorineGPerMl: 0.125 } }).unit).toBe('mL');
  });

  it('refuses more than 5 mg/L in water that will be drunk', () => {
    expectRefusal(() => dose({ doseMgPerL: 5.01 }), 'out-of-range', 'doseMgPerL');
    expect(() => dose({ doseMgPerL: 50 })).toThrow('5 mg/L in water that will be drunk');
  });

  it('marks shock water as not drinkable, and refuses more than 200 mg/L', () => {
    const shock = dose({ purpose: 'shock', doseMgPerL: 200 });
    expect(shock).toMatchObject({ mayBeDrunkOnceChecked: false, targetFreeChlorineMgPerL: null });
    expect(shock.cautions[0]).toContain('Not drinkable');
    expectRefusal(() => dose({ purpose: 'shock', doseMgPerL: 201 }), 'out-of-range', 'doseMgPerL');
  });

  it('refuses stabilised chlorine and impossible strengths', () => {
    expectRefusal(() => dose({ isStabilised: true }), 'out-of-range', 'isStabilised');
    const powder = (availableChlorineRatio: number) => () =>
      dose({ product: { kind: 'powder', availableChlorineRatio } });
    expectRefusal(powder(65), 'out-of-range', 'availableChlorineRatio');
    expectRefusal(powder(0), 'out-of-range', 'availableChlorineRatio');
    const liquid = (chlorineGPerMl: number) => () =>
      dose({ product: { kind: 'liquid', chlorineGPerMl } });
    expectRefusal(liquid(12.5), 'out-of-range', 'chlorineGPerMl');
    expectRefusal(liquid(0), 'out-of-range', 'chlorineGPerMl');
    expectRefusal(() => dose({ waterVolumeL: 0 }), 'out-of-range', 'waterVolumeL');
    expectRefusal(() => dose({ productAgeDays: -1 }), 'out-of-range', 'productAgeDays');
    expectRefusal(() => doseOfPowder(0, 1000, 0.7), 'out-of-range', 'powderG');
  });

  it('doubts an old product', () => {
    const mentionsAge = (productAgeDays: number) =>
      dose({ productAgeDays }).cautions.some((caution) => caution.includes('old'));
    expect(mentionsAge(180)).toBe(false);
    expect(mentionsAge(181)).toBe(true);
  });

  it('never says that water is safe', () => {
    for (const purpose of ['drinking', 'shock'] as const) {
      expect(dose({ purpose }).cautions.join(' ').toLowerCase()).not.toContain('safe');
    }
  });

  // ANSI/AWWA C652 methods 1 to 3: 10, 200 and 50 mg/L.
  it('knows the three shock methods, none stronger than the greatest dose', () => {
    expect(SHOCK_METHODS.map((method) => method.doseMgPerL)).toEqual([10, 200, 50]);
    for (const { doseMgPerL } of SHOCK_METHODS) {
      expect(dose({ purpose: 'shock', doseMgPerL }).amount).toBeGreaterThan(0);
    }
  });

  // Lantagne (2008): 2 mg/L below 10 NTU, 4 mg/L from 10 to 100 NTU.
  it('doubles the household dose in cloudy water and refuses mud', () => {
    expect([0, 9.9, 10, 100].map(householdDose)).toEqual([2, 2, 4, 4]);
    expectRefusal(() => householdDose(101), 'out-of-range', 'turbidityNtu');
  });
});
