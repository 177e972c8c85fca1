import { describe, expect, it, vi } from 'vitest';
import {
  capitalRecoveryFactor,
  earnedSchedule,
  earnedValue,
  escalatedPrice,
  inKindValue,
  lifeCycleCost,
  normalContingency,
  priceAdjustmentFactor,
  reconcileReceipt,
  simulatedContingency,
  sumQuantities,
  unitCosts,
} from '../../../shared/index.ts';
import { expectPrinted } from '../takeoff/printed.ts';
import published from './money-tables.json' with { type: 'json' };

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

describe('life-cycle cost', () => {
  it.each(published.capitalRecovery.rows)('recovers capital at %s over %s years', (...row) => {
    const [rate, years, printed] = row;
    expectPrinted(capitalRecoveryFactor(Number(rate), Number(years)), String(printed));
  });

  it('matches the illustrative tank of 3000 L for six people', () => {
    const { presentValue, annualised } = lifeCycleCost({
      capitalCost: 250,
      yearlyOperatingCost: 6,
      majorCosts: [{ year: 10, cost: 60 }],
      years: 20,
      yearlyRateRatio: 0.05,
    });
    expectPrinted(presentValue, published.lifeCycle.presentValue);
    expectPrinted(annualised, published.lifeCycle.annualised);
    expectPrinted(presentValue / 3000, published.lifeCycle.presentValuePerL);
    expectPrinted(annualised / 6, published.lifeCycle.annualisedPerPerson);
  });

  it('states unit costs as by hand', () => {
    const found = unitCosts({
      totalCost: 250,
      tankCount: 1,
      usableCapacityL: 3000,
      personsServed: 6,
    });
    expectPrinted(found.costPerUsableL, published.unitCost.perL);
    expectPrinted(found.costPerPerson ?? 0, published.unitCost.perPerson);
    expect(found.costPerTank).toBe(250);
  });
});

describe('prices that move', () => {
  it('carries 1000 at 10 % a year over three months', () => {
    const price = escalatedPrice({ price: 1000, yearlyGrowthRatio: 0.1, years: 0.25 });
    expectPrinted(price, published.escalation.price);
  });

  it.each([published.priceAdjustment.illustrative, published.priceAdjustment.published])(
    'adjusts a price by indices to $factor',
    ({ fixed, terms, factor }) => {
      const found = priceAdjustmentFactor(
        fixed,
        terms.map(([coefficient = 0, baseIndex = 0, currentIndex = 0]) => ({
          coefficient,
          baseIndex,
          currentIndex,
        })),
      );
      expectPrinted(found, factor);
    },
  );
});

describe('in-kind contributions', () => {
  it('values labour and sand of 120 tanks', () => {
    const { total, amountByEntryId } = inKindValue(
      [
        {
          entryId: 'labour',
          quantity: String(120 * 9),
          unitCode: 'DAY',
          unitRate: '8.50',
          rateSource: 'district day wage, invented',
        },
        {
          entryId: 'sand',
          quantity: '42',
          unitCode: 'MTQ',
          unitRate: '14',
          rateSource: 'price at the pit, invented',
        },
      ],
      'EUR',
    );
    expect(amountByEntryId['labour']?.amount).toBe(published.inKind.labour);
    expect(amountByEntryId['sand']?.amount).toBe(published.inKind.sand);
    expect(total).toEqual({ amount: published.inKind.total, currency: 'EUR' });
  });
});

/** Mulberry32, a small seeded generator. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

describe('contingency', () => {
  const { contingency } = published;
  const lines = contingency.lines.map(([least = 0, mostLikely = 0, greatest = 0]) => ({
    least,
    mostLikely,
    greatest,
  }));

  it('matches mean, spread and the normal P80', () => {
    const found = normalContingency({ lines, probability: 0.8 });
    expectPrinted(found.base, contingency.base);
    expectPrinted(found.mean, contingency.mean);
    expectPrinted(found.standardDeviation, contingency.standardDeviation);
    expectPrinted(found.percentile, contingency.normalP80);
  });

  it.each(contingency.simulated)('simulates P%s near the printed %s', (probability, printed) => {
    const found = simulatedContingency({
      lines,
      probability: Number(probability),
      drawCount: 200_000,
      isCommonDriver: false,
      random: seeded(20260101),
    });
    // standard error of these quantiles at 200,000 draws is below 0.6; printed from 400,000
    expect(Math.abs(found.percentile - Number(printed))).toBeLessThan(2);
  });
});

describe('earned value', () => {
  it.each(published.earnedValue.rows)('prints case %s', (...row) => {
    const [, bac, pv, ev, ac, ...printed] = row;
    const found = earnedValue({
      budgetAtCompletion: Number(bac),
      plannedValue: Number(pv),
      earnedValue: Number(ev),
      actualCost: Number(ac),
    });
    const values = [
      found.scheduleVariance,
      found.costVariance,
      found.schedulePerformanceIndex,
      found.costPerformanceIndex,
      found.estimateAtCompletion,
      found.estimateAtCompletionOneOff,
      found.estimateAtCompletionBoth,
      found.estimateToComplete,
      found.varianceAtCompletion,
      found.toCompletePerformanceIndex,
    ];
    expect(printed).toHaveLength(values.length);
    for (const [index, value] of values.entries()) {
      expectPrinted(value ?? Number.NaN, String(printed[index]), `column ${index}`);
    }
  });
});

describe('earned schedule', () => {
  const { plan, rows, ratio } = published.earnedSchedule;
  it.each(rows)('prints the row of period %s', (...row) => {
    const [at, ev, es, variance, index, duration, moneyVariance, moneyIndex] = row;
    const found = earnedSchedule({
      cumulativePlannedValue: plan,
      earnedValue: Number(ev),
      actualTimePeriods: Number(at),
    });
    expectPrinted(found.earnedSchedulePeriods, String(es));
    expectPrinted(found.scheduleVariancePeriods, String(variance));
    expectPrinted(found.schedulePerformanceIndex, String(index));
    expectPrinted(found.estimatedDurationPeriods ?? 0, String(duration));
    const plannedValue = plan[Math.min(Number(at), plan.length - 1)] ?? 0;
    const money = earnedValue({
      budgetAtCompletion: 200,
      plannedValue,
      earnedValue: Number(ev),
      actualCost: 1,
    });
    expectPrinted(money.scheduleVariance, String(moneyVariance));
    expectPrinted(money.schedulePerformanceIndex ?? 0, String(moneyIndex));
  });

  it('finds ES 26 at week 30 of a 52-week plan', () => {
    const steady = Array.from({ length: 53 }, (_, week) => week * 3);
    const found = earnedSchedule({
      cumulativePlannedValue: steady,
      earnedValue: 26 * 3,
      actualTimePeriods: 30,
    });
    expectPrinted(found.scheduleVariancePeriods, ratio.variance);
    expectPrinted(found.schedulePerformanceIndex, ratio.index);
  });
});

// care-food-manual-1998, quoted; the second case has 5 torn, 3 mouldy and 10 underweight bags
describe('receipts', () => {
  it.each(published.receipts.rows)('reconciles %s sent against %s unloaded', (...row) => {
    const [dispatched = '', unloaded = '', damaged = '', good, missing, excess] = row;
    const found = reconcileReceipt({ dispatched, unloaded, damaged });
    expect(found).toEqual({ good, damaged, missing, excess });
    expect(sumQuantities([dispatched, found.excess])).toBe(
      sumQuantities([found.good, found.damaged, found.missing]),
    );
  });
});
