import { describe, expect, it } from 'vitest';
import {
  addDays,
  curveDays,
  earnedAmount,
  earnedScheduleInWeeks,
  earningParts,
  earningRuleFor,
  valueCurve,
  valueStanding,
} from '../../../shared/index.ts';
import published from '../../published/costing/money-tables.json' with { type: 'json' };
import { expectPrinted } from '../../published/takeoff/printed.ts';

const eur = (amount: string | number) => ({ amount: Number(amount).toFixed(2), currency: 'EUR' });

describe('the rule by which a stage earns', () => {
  it('is 0/100 under a week and 50/50 from a week on', () => {
    expect([1, 6, 7, 20].map(earningRuleFor)).toEqual(['0/100', '0/100', '50/50', '50/50']);
    expect(() => earningRuleFor(0)).toThrow(/plannedDays/);
  });

  it('earns a half at the start with the odd cent, the rest when accepted, and takes it back', () => {
    const odd = eur('10.01');
    expect(earningParts(odd, '50/50')).toEqual({ start: eur('5.01'), accepted: eur('5.00') });
    expect(earningParts(odd, '0/100')).toEqual({ start: eur(0), accepted: odd });
    const statuses = [
      'not-started',
      'in-progress',
      'awaiting-release',
      'nonconforming',
      'in-rework',
      'accepted',
    ] as const;
    const earned = (rule: '0/100' | '50/50') =>
      statuses.map((status) => earnedAmount(odd, rule, status).amount);
    expect(earned('0/100')).toEqual(['0.00', '0.00', '0.00', '0.00', '0.00', '10.01']);
    expect(earned('50/50')).toEqual(['0.00', '5.01', '5.01', '0.00', '0.00', '10.01']);
    // A currency without decimals splits whole units.
    const francs = { amount: '7', currency: 'XOF' };
    expect(earningParts(francs, '50/50').start.amount).toBe('4');
  });
});

describe('days of a curve', () => {
  it('are the day before the start and the end of each week until the end is reached', () => {
    expect(curveDays('2026-03-02', '2026-03-16', 'week')).toEqual([
      '2026-03-01',
      '2026-03-08',
      '2026-03-15',
      '2026-03-22',
    ]);
    expect(curveDays('2026-03-02', '2026-03-03', 'day')).toEqual([
      '2026-03-01',
      '2026-03-02',
      '2026-03-03',
    ]);
    expect(() => curveDays('2026-03-02', '2026-03-01', 'day')).toThrow(/untilOn/);
    expect(() => curveDays('2026-03-02', '2036-03-01', 'day')).toThrow(/1830 steps/);
  });

  it('ascend, and take lost value off again', () => {
    const changes = [
      { on: '2026-03-05', amount: '-2.5' },
      { on: '2026-03-02', amount: '2.50' },
      { on: '2026-03-09', amount: '0.10' },
    ];
    const days = ['2026-03-01', '2026-03-04', '2026-03-05', '2026-03-09'];
    expect(valueCurve(changes, days, 'EUR').map(({ amount }) => amount)).toEqual([
      '0.00',
      '2.50',
      '0.00',
      '0.10',
    ]);
    expect(() => valueCurve(changes, ['2026-03-04', '2026-03-04'], 'EUR')).toThrow(/days/);
  });
});

describe('a standing of exact sums', () => {
  it.each(published.earnedValue.rows)('prints case %s', (...row) => {
    const [, bac, pv, ev, ac, ...printed] = row;
    const found = valueStanding({
      budgetAtCompletion: eur(Number(bac)),
      plannedValue: eur(Number(pv)),
      earnedValue: eur(Number(ev)),
      actualCost: eur(Number(ac)),
    });
    const values = [
      Number(found.scheduleVariance.amount),
      Number(found.costVariance.amount),
      found.schedulePerformanceIndex,
      found.costPerformanceIndex,
      Number(found.estimateAtCompletion?.amount),
      Number(found.estimateAtCompletionOneOff?.amount),
      Number(found.estimateAtCompletionBoth?.amount),
      Number(found.estimateToComplete?.amount),
      Number(found.varianceAtCompletion?.amount),
      found.toCompletePerformanceIndex,
    ];
    expect(printed).toHaveLength(values.length);
    for (const [index, value] of values.entries()) {
      expectPrinted(value ?? Number.NaN, String(printed[index]), `column ${index}`);
    }
  });

  it('forecasts nothing from no budget or from costs below nothing', () => {
    const none = { plannedValue: eur(0), earnedValue: eur(0), actualCost: eur(5) };
    const withoutBudget = valueStanding({ budgetAtCompletion: eur(0), ...none });
    expect(withoutBudget.costPerformanceIndex).toBeNull();
    expect(withoutBudget.estimateAtCompletion).toBeNull();
    expect(withoutBudget.costVariance).toEqual(eur(-5));
    const takenBack = valueStanding({
      budgetAtCompletion: eur(9),
      ...none,
      actualCost: eur(-1),
    });
    expect(takenBack.completeRatio).toBeNull();
    expect(takenBack.costVariance).toEqual(eur(1));
  });
});

describe('earned schedule in weeks', () => {
  const { plan, rows } = published.earnedSchedule;
  const startsOn = '2026-01-05';
  /** The plan of the published vector, each week's value earned on a day within it. */
  const plannedChanges = plan.slice(1).map((value, week) => ({
    on: addDays(startsOn, week * 7 + 3),
    amount: String(value - (plan[week] ?? 0)),
  }));
  const finishesOn = addDays(startsOn, 9 * 7 - 4);

  it.each(rows)('prints the row of week %s', (...row) => {
    const [at, ev, es, variance, index, duration] = row;
    const found = earnedScheduleInWeeks({
      ...{ plannedChanges, startsOn, finishesOn },
      dataOn: addDays(startsOn, Number(at) * 7 - 1),
      earnedValue: eur(Number(ev)),
    });
    expect(found?.actualTimeWeeks).toBe(at);
    expect(found?.plannedDurationWeeks).toBe(9);
    expectPrinted(found?.earnedSchedulePeriods ?? 0, String(es));
    expectPrinted(found?.scheduleVariancePeriods ?? 0, String(variance));
    expectPrinted(found?.schedulePerformanceIndex ?? 0, String(index));
    expectPrinted(found?.estimatedDurationPeriods ?? 0, String(duration));
    const weeks = Math.ceil(Number(found?.estimatedDurationPeriods) * 7);
    expect(found?.forecastFinishOn).toBe(addDays(startsOn, weeks - 1));
  });

  it('is nothing before the start or for a plan without worth, and forecasts no far day', () => {
    const of = { plannedChanges, startsOn, finishesOn, earnedValue: eur(1) };
    expect(earnedScheduleInWeeks({ ...of, dataOn: '2026-01-04' })).toBeNull();
    expect(earnedScheduleInWeeks({ ...of, plannedChanges: [], dataOn: '2026-02-01' })).toBeNull();
    const slow = earnedScheduleInWeeks({
      ...of,
      earnedValue: eur('0.01'),
      dataOn: '2026-03-01',
    });
    expect(slow?.estimatedDurationPeriods).toBeGreaterThan(1_044);
    expect(slow?.forecastFinishOn).toBeNull();
  });
});
