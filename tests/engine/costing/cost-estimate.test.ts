import { describe, expect, it } from 'vitest';
import {
  BAMBOO_BAND_MORTAR_RECIPE,
  capitalRecoveryFactor,
  type DatedRate,
  earnedSchedule,
  earnedValue,
  escalatedPrice,
  estimateCost,
  inKindValue,
  lifeCycleCost,
  materialTotals,
  money,
  normalContingency,
  priceAdjustmentFactor,
  rollUpCosts,
  simulatedContingency,
  takeoffTank,
  unitCosts,
} from '../../../shared/index.ts';

const bill = takeoffTank(
  {
    insideDiameterM: 1.9,
    waterDepthM: 1.8,
    wallThicknessM: 0.055,
    bands: { widthMm: 25, thicknessMm: 2, count: 4 },
    dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
    slab: { diameterM: 2.31, thicknessM: 0.1 },
  },
  BAMBOO_BAND_MORTAR_RECIPE,
);
const rate = (
  materialCode: string,
  unitRate: string,
  rest: Partial<DatedRate> = {},
): DatedRate => ({
  materialCode,
  unitCode: 'KGM',
  unitRate,
  currency: 'EUR',
  validFrom: '2026-01-01',
  ...rest,
});

describe('an estimate', () => {
  it('prices every line of a real bill when every material has a rate', () => {
    const rates = materialTotals(bill).map(({ materialCode, unitCode }, index) =>
      rate(materialCode, `${index + 1}.123456`, { unitCode }),
    );
    const estimate = estimateCost(bill, rates, '2026-05-01', 'EUR');
    expect(estimate.unpriced).toEqual([]);
    expect(estimate.lines).toHaveLength(bill.length);
    expect(Object.keys(estimate.byStage)).toHaveLength(18);
    expect(estimate.pricedOn).toBe('2026-05-01');
    // the cents of the lines add up to the total, by whole numbers
    const cents = estimate.lines.reduce(
      (sum, l) => sum + Number(l.amount.amount.replace('.', '')),
      0,
    );
    expect(cents).toBe(Number(estimate.total.amount.replace('.', '')));
  });

  const line = {
    lineCode: 'wall-cement',
    stageCode: 'wall',
    part: 'wall',
    materialCode: 'cement',
    unitCode: 'KGM',
    withWasteQuantity: '207.009',
  };

  it('takes the latest rate that holds on the date', () => {
    const rates = [
      rate('cement', '0.20', { validFrom: '2026-03-01', validUntil: '2026-03-31' }),
      rate('cement', '0.16'),
      rate('cement', '0.18', { validFrom: '2026-02-01' }),
    ];
    const priced = (onDate: string) =>
      estimateCost([line], rates, onDate, 'EUR').lines[0]?.unitRate;
    expect(priced('2026-01-31')).toBe('0.16');
    expect(priced('2026-02-01')).toBe('0.18');
    expect(priced('2026-03-31')).toBe('0.20');
    expect(priced('2026-04-01')).toBe('0.18');
  });

  it.each([
    ['no-rate', [rate('sand', '1')]],
    ['other-unit', [rate('cement', '1', { unitCode: 'TNE' })]],
    ['other-currency', [rate('cement', '1', { currency: 'USD' })]],
    ['no-rate-on-date', [rate('cement', '1', { validFrom: '2027-01-01' })]],
  ])('leaves a line unpriced: %s', (reason, rates) => {
    const estimate = estimateCost([line], rates, '2026-02-01', 'EUR');
    expect(estimate.lines).toEqual([]);
    expect(estimate.total.amount).toBe('0.00');
    expect(estimate.unpriced).toEqual([
      { lineCode: 'wall-cement', materialCode: 'cement', unitCode: 'KGM', reason },
    ]);
  });

  it('refuses two rates from one day and a bad date', () => {
    const twice = [rate('cement', '1'), rate('cement', '2')];
    expect(() => estimateCost([line], twice, '2026-02-01', 'EUR')).toThrow(/^cement\.validFrom /);
    expect(() => estimateCost([line], [], 'today', 'EUR')).toThrow(/^onDate /);
  });

  it('rolls up by village and season', () => {
    const rolled = rollUpCosts(
      [
        { path: ['2026', 'north', 'build-2'], amount: money('10.10', 'EUR') },
        { path: ['2026', 'south', 'build-3'], amount: money('0.20', 'EUR') },
        { path: ['2026', 'north', 'build-1'], amount: money('5', 'EUR') },
      ],
      'EUR',
    );
    expect(
      rolled.map((node) => [node.path.join('/'), node.entryCount, node.amount.amount]),
    ).toEqual([
      ['', 3, '15.30'],
      ['2026', 3, '15.30'],
      ['2026/north', 2, '15.10'],
      ['2026/north/build-1', 1, '5.00'],
      ['2026/north/build-2', 1, '10.10'],
      ['2026/south', 1, '0.20'],
      ['2026/south/build-3', 1, '0.20'],
    ]);
  });
});

describe('edges of cost formulas', () => {
  it('recovers capital in equal parts at no interest, and nearly so at a tiny one', () => {
    expect(capitalRecoveryFactor(0, 8)).toBe(0.125);
    expect(capitalRecoveryFactor(1e-12, 8)).toBeCloseTo(0.125, 10);
  });

  it('counts no person yet as no cost per person', () => {
    const found = unitCosts({ totalCost: 5, tankCount: 1, usableCapacityL: 1, personsServed: 0 });
    expect(found.costPerPerson).toBeNull();
  });

  it('has no ratio where nothing was planned, spent or left', () => {
    const idle = earnedValue({
      budgetAtCompletion: 10,
      plannedValue: 0,
      earnedValue: 0,
      actualCost: 0,
    });
    expect(idle.schedulePerformanceIndex).toBeNull();
    expect(idle.costPerformanceIndex).toBeNull();
    expect(idle.estimateAtCompletion).toBeNull();
    expect(idle.estimateAtCompletionBoth).toBeNull();
    expect(idle.estimateToComplete).toBeNull();
    expect(idle.varianceAtCompletion).toBeNull();
    const spent = earnedValue({
      budgetAtCompletion: 10,
      plannedValue: 10,
      earnedValue: 0,
      actualCost: 10,
    });
    expect(spent.toCompletePerformanceIndex).toBeNull();
    expect(spent.estimateAtCompletion).toBeNull();
    expect(spent.estimateAtCompletionBoth).toBeNull();
  });

  it('earns no schedule at the start and none past a plan that stands still', () => {
    const plan = [0, 10, 10, 20, 20];
    const at = (earned: number) =>
      earnedSchedule({
        cumulativePlannedValue: plan,
        earnedValue: earned,
        actualTimePeriods: 2,
      });
    expect(at(0).estimatedDurationPeriods).toBeNull();
    expect(at(10).earnedSchedulePeriods).toBe(2);
    expect(at(20).earnedSchedulePeriods).toBe(3);
  });

  it('widens the spread when all lines follow one price', () => {
    const lines = [
      { least: 90, mostLikely: 100, greatest: 140 },
      { least: 90, mostLikely: 100, greatest: 140 },
    ];
    const apart = normalContingency({ lines, probability: 0.8 });
    const together = normalContingency({ lines, probability: 0.8, correlationRatio: 1 });
    // two equal lines: √2 σ apart, 2 σ together
    expect(together.standardDeviation / apart.standardDeviation).toBeCloseTo(Math.SQRT2, 9);
    const even = Array.from({ length: 1000 }, (_, index) => (index + 0.5) / 1000);
    let next = 0;
    const common = simulatedContingency({
      lines,
      probability: 0.8,
      drawCount: 1000,
      isCommonDriver: true,
      random: () => even[next++ % 1000] ?? 0,
    });
    expect(common.mean).toBeCloseTo(together.mean, 1);
    expect(common.standardDeviation).toBeCloseTo(together.standardDeviation, 0);
    // the triangular P80 of one line, doubled: h − √((1 − p)(h − l)(h − m))
    expect(common.percentile).toBeCloseTo(2 * (140 - Math.sqrt(0.2 * 50 * 40)), 0);
  });

  it('spreads nothing over a line that is certain', () => {
    const lines = [{ least: 5, mostLikely: 5, greatest: 5 }];
    expect(normalContingency({ lines, probability: 0.9 }).contingency).toBe(0);
    const draws = simulatedContingency({
      lines,
      probability: 0.9,
      drawCount: 100,
      isCommonDriver: false,
      random: () => 0.5,
    });
    expect(draws.contingency).toBe(0);
  });

  const disorder = [{ least: 2, mostLikely: 1, greatest: 3 }];
  const life = { capitalCost: 1, yearlyOperatingCost: 1, years: 5, yearlyRateRatio: 0.05 };
  it.each([
    ['lines[0].mostLikely', () => normalContingency({ lines: disorder, probability: 0.8 })],
    ['lines', () => normalContingency({ lines: [], probability: 0.8 })],
    [
      'probability',
      () =>
        normalContingency({ lines: [{ least: 1, mostLikely: 1, greatest: 1 }], probability: 1.5 }),
    ],
    ['years', () => capitalRecoveryFactor(0.05, 0)],
    ['majorCosts[0].year', () => lifeCycleCost({ ...life, majorCosts: [{ year: 6, cost: 1 }] })],
    ['majorCosts[0].cost', () => lifeCycleCost({ ...life, majorCosts: [{ year: 1, cost: -1 }] })],
    ['coefficients', () => priceAdjustmentFactor(0.5, [])],
    [
      'terms[0].baseIndex',
      () => priceAdjustmentFactor(0.5, [{ coefficient: 0.5, baseIndex: 0, currentIndex: 1 }]),
    ],
    ['yearlyGrowthRatio + 1', () => escalatedPrice({ price: 1, yearlyGrowthRatio: -1, years: 1 })],
    [
      'cumulativePlannedValue[2]',
      () =>
        earnedSchedule({
          cumulativePlannedValue: [0, 2, 1],
          earnedValue: 1,
          actualTimePeriods: 1,
        }),
    ],
    [
      'cumulativePlannedValue',
      () =>
        earnedSchedule({ cumulativePlannedValue: [5, 6], earnedValue: 1, actualTimePeriods: 1 }),
    ],
    [
      'earnedValue',
      () =>
        earnedSchedule({ cumulativePlannedValue: [0, 1], earnedValue: 2, actualTimePeriods: 1 }),
    ],
  ])('refuse a wrong %s', (parameter, act) => {
    expect(act).toThrow(new RegExp(`^${parameter.replace(/[[\]+.]/g, '\\$&')} `));
  });

  const entry = {
    entryId: 'e',
    quantity: '1',
    unitCode: 'DAY',
    unitRate: '8.50',
    rateSource: 'wage table, invented',
  };
  it.each([
    ['e.rateSource', [{ ...entry, rateSource: ' ' }]],
    ['entryId', [entry, entry]],
    ['e.quantity', [{ ...entry, quantity: '-1' }]],
  ])('do not count in-kind work with a wrong %s', (parameter, entries) => {
    expect(() => inKindValue(entries, 'EUR')).toThrow(
      new RegExp(`^${parameter.replace('.', '\\.')} `),
    );
  });
});
