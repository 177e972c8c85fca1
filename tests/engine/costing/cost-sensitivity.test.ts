import { describe, expect, it } from 'vitest';
import {
  builtUpCost,
  type CostBuildUp,
  priceMultiplier,
} from '../../../shared/costing/cost-build-up.ts';
import {
  type CostFactorKind,
  costFactors,
  rangedFactor,
  withFactor,
} from '../../../shared/costing/cost-factor.ts';
import {
  type CostSensitivity,
  type CostSensitivityInput,
  costSensitivity,
} from '../../../shared/costing/cost-sensitivity.ts';
import { capitalRecoverySlope, costSlopes } from '../../../shared/costing/cost-slope.ts';
import { capitalRecoveryFactor } from '../../../shared/costing/life-cycle.ts';

/** 21 + 19 + 40 + 20 = 100, with a tenth more 110, over 1,000 L that can be used: 0.11 a litre. */
const linear: CostBuildUp = {
  lines: [
    { code: 'cement', kind: 'material', quantity: 100, wasteRatio: 0.05, unitPrice: 0.2 },
    { code: 'sand', kind: 'material', quantity: 1, wasteRatio: 0, unitPrice: 19 },
    { code: 'mason', kind: 'labour', quantity: 4, wasteRatio: 0, unitPrice: 10 },
    { code: 'lorry', kind: 'transport', quantity: 1, wasteRatio: 0, unitPrice: 20 },
  ],
  contingencyRatio: 0.1,
  capacityL: 1250,
  usableRatio: 0.8,
};

/** programme of 6.5: 250, 6 a year, 60 in year 10, 20 years at 5 %; 6 people at 5 L a day. */
const lasting: CostBuildUp = {
  lines: [{ code: 'tank', kind: 'other', quantity: 1, wasteRatio: 0, unitPrice: 250 }],
  contingencyRatio: 0,
  capacityL: 3000,
  usableRatio: 1,
  lifeCycle: {
    serviceLifeYears: 20,
    yearlyRateRatio: 0.05,
    yearlyMaintenance: 6,
    litresPerYear: 10_950,
    majorCosts: [{ year: 10, cost: 60 }],
  },
};

function factor(found: CostSensitivity, kind: CostFactorKind, code: string | null = null) {
  const one = found.factors.find((each) => each.kind === kind && each.code === code);
  if (!one) throw new Error(`no factor ${kind} ${code}`);
  return one;
}

// derivation by hand: in C = (1 + c)·Σ q(1 + w)p / (V·f) a price with the share s of the lines has
// elasticity s and, at ±r, the swing 2·r·s·C; c has c/(1 + c), w has s·w/(1 + w); V and f have −1 and
// the swing C·2r/(1 − r²)
describe('sensitivity of a cost that is a sum of lines', () => {
  const found = costSensitivity({ buildUp: linear });

  it.each([
    ['unit-price', 'cement', 0.21, 0.2 * 0.21 * 0.11],
    ['unit-price', 'sand', 0.19, 0.2 * 0.19 * 0.11],
    ['unit-price', 'mason', 0.4, 0.2 * 0.4 * 0.11],
    ['unit-price', 'lorry', 0.2, 0.2 * 0.2 * 0.11],
    ['waste-ratio', 'cement', 0.01, 0.2 * 0.01 * 0.11],
    ['waste-ratio', 'sand', 0, 0],
    ['labour-rate', null, 0.4, 0.2 * 0.4 * 0.11],
    ['contingency-ratio', null, 1 / 11, (0.2 / 11) * 0.11],
    ['capacity', null, -1, (0.2 / 0.99) * 0.11],
    ['usable-ratio', null, -1, (0.2 / 0.99) * 0.11],
  ] as const)('has the elasticity and swing worked by hand: %s %s', (kind, code, e, swing) => {
    const { costPerUsableL: effect, costPerDeliveredL } = factor(found, kind, code);
    expect(found.base.costPerUsableL).toBeCloseTo(0.11, 15);
    expect(effect.elasticity).toBeCloseTo(e, 13);
    expect(effect.swing).toBeCloseTo(swing, 15);
    expect(effect.swingRatio).toBeCloseTo(swing / 0.11, 13);
    expect(effect.varianceShareRatio).toBeNull();
    expect(costPerDeliveredL).toBeNull();
  });

  it('ranks them, equal swings in the order of kinds and lines', () => {
    const named = found.factors.map(({ kind, code }) => (code === null ? kind : `${kind} ${code}`));
    expect(named).toEqual([
      'capacity',
      'usable-ratio',
      'unit-price mason',
      'labour-rate',
      'unit-price cement',
      'unit-price lorry',
      'unit-price sand',
      'contingency-ratio',
      'waste-ratio cement',
      'waste-ratio sand',
      'waste-ratio mason',
      'waste-ratio lorry',
    ]);
    expect(found.factors.map(({ costPerUsableL }) => costPerUsableL.rank)).toEqual(
      named.map((_, index) => index + 1),
    );
  });

  it('shares the variance by the squares of share and spread', () => {
    const tenth = (code: string, standardDeviation: number) =>
      ({ kind: 'unit-price', code, standardDeviation }) as const;
    const spread = costSensitivity({
      buildUp: linear,
      ranges: [tenth('cement', 0.02), tenth('mason', 1)],
    });
    const share = (kind: CostFactorKind, code: string | null) =>
      factor(spread, kind, code).costPerUsableL.varianceShareRatio;
    // 0.21² : 0.40²
    expect(share('unit-price', 'cement')).toBeCloseTo(0.0441 / 0.2041, 12);
    expect(share('unit-price', 'mason')).toBeCloseTo(0.16 / 0.2041, 12);
    expect(share('capacity', null)).toBe(0);
  });

  it('takes given ends as they are, and looks only at the kinds asked for', () => {
    const asked = costSensitivity({
      buildUp: linear,
      kinds: ['unit-price', 'waste-ratio'],
      ranges: [{ kind: 'waste-ratio', code: 'sand', high: 1.5 }],
    });
    expect(new Set(asked.factors.map(({ kind }) => kind))).toEqual(
      new Set(['unit-price', 'waste-ratio']),
    );
    // sand with waste 1.5 costs 28.5 more of 100
    const sand = factor(asked, 'waste-ratio', 'sand');
    expect(sand).toMatchObject({ low: 0, high: 1.5 });
    expect(sand.costPerUsableL.atHigh).toBeCloseTo(0.11 * 1.285, 14);
    expect(sand.costPerUsableL.rank).toBe(1);
  });

  it('turns a foreign price by its rate, and a rate has the share of all its lines', () => {
    const [cement, ...others] = linear.lines;
    if (!cement) throw new Error('no line');
    const foreign = { ...cement, unitPrice: 0.1, exchangeCode: 'USD' };
    const buildUp = {
      ...linear,
      lines: [foreign, ...others],
      exchangeRates: [
        { code: 'USD', rate: 2 },
        { code: 'KES', rate: 0.01 },
      ],
    };
    expect(priceMultiplier(buildUp, foreign)).toBe(2);
    const rates = costSensitivity({ buildUp });
    expect(rates.base.costPerUsableL).toBeCloseTo(0.11, 15);
    expect(factor(rates, 'exchange-rate', 'USD').costPerUsableL.elasticity).toBeCloseTo(0.21, 13);
    // no line is priced in it
    expect(rates.factors.some(({ code }) => code === 'KES')).toBe(false);
    expect(() => builtUpCost({ ...linear, lines: [foreign] })).toThrow('exchangeRates = USD');
  });
});

// programme of 6.5: PV 361.6081, annualised 29.0164, 0.12054 a litre of 3,000, computed apart from the
// engine; the shares by the annuity factor (1 − 1.05⁻²⁰)/0.05 = 12.462210 and 1.05⁻¹⁰ = 0.6139133
describe('sensitivity of the cost over a life', () => {
  const found = costSensitivity({ buildUp: lasting });
  const effect = (kind: CostFactorKind, code: string | null = null) =>
    factor(found, kind, code).costPerDeliveredL;

  it('has the worked figures at its base', () => {
    const { lifeCycle } = builtUpCost(lasting);
    expect(lifeCycle?.presentValue.toFixed(4)).toBe('361.6081');
    expect(lifeCycle?.annualised.toFixed(4)).toBe('29.0164');
    expect(((lifeCycle?.presentValue ?? 0) / 3000).toFixed(5)).toBe('0.12054');
    expect(found.base.lifeCycle?.costPerDeliveredL).toBeCloseTo(29.0164 / 10_950, 8);
  });

  it('shares its elasticity between first cost, maintenance and repair, to 1 in all', () => {
    const pv = 361.6081;
    expect(effect('unit-price', 'tank')?.elasticity).toBeCloseTo(250 / pv, 6);
    expect(effect('maintenance')?.elasticity).toBeCloseTo((6 * 12.46221) / pv, 6);
    expect(effect('major-cost', '10')?.elasticity).toBeCloseTo((60 * 0.6139133) / pv, 6);
    expect(effect('litres-per-year')?.elasticity).toBeCloseTo(-1, 13);
    const sum = [
      effect('unit-price', 'tank'),
      effect('maintenance'),
      effect('major-cost', '10'),
    ].reduce((total, one) => total + (one?.elasticity ?? Number.NaN), 0);
    expect(sum).toBeCloseTo(1, 13);
  });

  it('takes a life in whole years, without a slope, and leaves out what falls due later', () => {
    const life = factor(found, 'service-life');
    expect(life).toMatchObject({ low: 18, high: 22 });
    expect(life.costPerDeliveredL?.elasticity).toBeNull();
    expect(life.costPerUsableL.elasticity).toBe(0);
    const annualised = (years: number) =>
      (250 + 60 * 1.05 ** -10) * (0.05 / (1 - 1.05 ** -years)) + 6;
    expect(life.costPerDeliveredL?.atLow).toBeCloseTo(annualised(18) / 10_950, 12);
    expect(life.costPerDeliveredL?.atHigh).toBeCloseTo(annualised(22) / 10_950, 12);
    const short = costSensitivity({
      buildUp: lasting,
      ranges: [{ kind: 'service-life', low: 8, standardDeviation: 2 }],
    });
    const shortest = factor(short, 'service-life').costPerDeliveredL;
    // 250 · CRF(5 %, 8) + 6, the repair of year 10 never made
    expect(shortest?.atLow).toBeCloseTo((250 * 0.154721814 + 6) / 10_950, 9);
    expect(shortest?.varianceShareRatio).toBe(1);
  });

  it('has the slope of the rate in closed form for lives of one and two years', () => {
    // CRF = 1 + i, and (1 + i)²/(2 + i)
    for (const i of [0, 1e-9, 1e-5, 0.05, 0.6]) {
      expect(capitalRecoverySlope(i, 1)).toBeCloseTo(1, 9);
      const two = ((1 + i) * (3 + i)) / (2 + i) ** 2;
      expect(capitalRecoverySlope(i, 2)).toBeCloseTo(two, 9);
    }
    const { lifeCycle } = lasting;
    if (!lifeCycle) throw new Error('no terms');
    const oneYear = {
      ...lasting,
      lifeCycle: { ...lifeCycle, serviceLifeYears: 1, yearlyMaintenance: 0, majorCosts: [] },
    };
    const rate = { kind: 'discount-rate', code: null, base: 0.05 } as const;
    expect(costSlopes(oneYear, rate).costPerDeliveredL).toBeCloseTo(250 / 10_950, 12);
  });

  it('has the slope of the recovery factor that a small step shows, at any life', () => {
    for (const years of [3, 20, 200]) {
      for (const i of [1e-7, 2e-6, 1e-3, 0.08, 1]) {
        const step = Math.max(i * 1e-4, 1e-7);
        const low = Math.max(0, i - step);
        const shown =
          (capitalRecoveryFactor(i + step, years) - capitalRecoveryFactor(low, years)) /
          (i + step - low);
        expect(Math.abs(capitalRecoverySlope(i, years) / shown - 1)).toBeLessThan(1e-4);
      }
    }
  });
});

it('lets a price fall to nothing, also the only one', () => {
  const gift = costSensitivity({
    buildUp: lasting,
    ranges: [{ kind: 'unit-price', code: 'tank', low: 0 }],
  });
  const given = factor(gift, 'unit-price', 'tank');
  expect(given.costPerUsableL.atLow).toBe(0);
  // 6 a year and the repair alone: (74.77326 + 36.83480) · 0.0802426 (CRF of 5 %, 20 years)
  expect(given.costPerDeliveredL?.atLow).toBeCloseTo((111.60806 * 0.0802426) / 10_950, 8);
});

describe('what is refused', () => {
  const refusal = (change: Partial<CostSensitivityInput>) => () =>
    costSensitivity({ buildUp: lasting, ...change });
  const [line] = linear.lines;
  if (!line) throw new Error('no line');

  it('is named, with its value and limit', () => {
    expect(refusal({ rangeRatio: 1 })).toThrow('rangeRatio = 1: must lie between 0 and 0.9');
    expect(refusal({ ranges: [{ kind: 'unit-price', code: 'gold' }] })).toThrow(
      'ranges[0] = unit-price gold: names no factor',
    );
    const twice = { kind: 'capacity' } as const;
    expect(refusal({ ranges: [twice, twice] })).toThrow('ranges[1] = capacity: occurs twice');
    expect(refusal({ ranges: [{ kind: 'capacity', low: 3001 }] })).toThrow(
      'ranges[0].low = 3001: must not exceed the base, 3000',
    );
    expect(refusal({ ranges: [{ kind: 'unit-price', code: 'tank', high: 1 }] })).toThrow(
      'ranges[0].high = 1: must not be below the base, 250',
    );
    expect(refusal({ ranges: [{ kind: 'litres-per-year', low: 0 }] })).toThrow('ranges[0].low = 0');
    expect(refusal({ ranges: [{ kind: 'usable-ratio', high: 1.2 }] })).toThrow(
      'ranges[0].high = 1.2: must lie between 0 and 1',
    );
    expect(refusal({ ranges: [{ kind: 'service-life', high: 21.5 }] })).toThrow('whole years');
    const buildUp = (change: Partial<CostBuildUp>) =>
      refusal({ buildUp: { ...linear, ...change } });
    expect(buildUp({ lines: [] })).toThrow('lines = 0: must have at least one line');
    expect(buildUp({ lines: [line, line] })).toThrow('lines[1].code = cement: occurs twice');
    expect(buildUp({ lines: [{ ...line, unitPrice: -1 }] })).toThrow('lines[0].unitPrice = -1');
    expect(buildUp({ lines: [{ ...line, quantity: 0 }] })).toThrow('lines = 0');
    expect(buildUp({ lines: [{ ...line, quantity: 1e-300 }] })).toThrow('lines = 2.31');
    expect(buildUp({ usableRatio: 1.1 })).toThrow('usableRatio = 1.1');
    const { lifeCycle: terms } = lasting;
    if (!terms) throw new Error('no terms');
    expect(buildUp({ lifeCycle: { ...terms, serviceLifeYears: 9 } })).toThrow(
      'lifeCycle.majorCosts[0].year = 10: must lie between 0 and 9',
    );
  });

  it('ends a share of the capacity at 1 and a life at one whole year', () => {
    const usable = { kind: 'usable-ratio', code: null, base: 0.95 } as const;
    expect(rangedFactor(usable, undefined, 0.1)).toMatchObject({ high: 1 });
    const life = { kind: 'service-life', code: null, base: 1 } as const;
    expect(rangedFactor(life, undefined, 0.9)).toMatchObject({ low: 1, high: 2 });
    expect(costFactors(lasting)).toHaveLength(10);
    expect(withFactor(linear, { kind: 'maintenance', code: null }, 3)).toEqual(linear);
  });
});
