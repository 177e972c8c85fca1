import Big from 'big.js';
import { currencyExponent } from '../costing/currency.ts';
import { compareMoney, type Money, subtractMoney, zeroMoney } from '../costing/money.ts';
import { type EarnedValue, earnedValue } from './earned-value.ts';

/** The four sums of earned value at a data date, in one currency. */
export interface ValueSums {
  readonly budgetAtCompletion: Money;
  readonly plannedValue: Money;
  readonly earnedValue: Money;
  readonly actualCost: Money;
}

/** The sums with what follows from them. Null where it does not exist. */
export interface ValueStanding extends ValueSums {
  /** EV − PV and EV − AC, exact. */
  readonly scheduleVariance: Money;
  readonly costVariance: Money;
  readonly schedulePerformanceIndex: number | null;
  readonly costPerformanceIndex: number | null;
  readonly completeRatio: number | null;
  readonly estimateAtCompletion: Money | null;
  readonly estimateAtCompletionOneOff: Money | null;
  readonly estimateAtCompletionBoth: Money | null;
  readonly estimateToComplete: Money | null;
  readonly varianceAtCompletion: Money | null;
  readonly toCompletePerformanceIndex: number | null;
}

const HALF_EVEN = 2;

/**
 * Earned value of exact sums: variances are exact differences, forecasts are rounded half-even to the
 * minor unit once. Nothing is forecast from nothing: without a budget, or with costs that reversals
 * brought below zero, indices and forecasts are null.
 *
 * @throws {EngineError} `inconsistent` when the sums are in several currencies
 * @source iso-21508
 */
export function valueStanding(sums: ValueSums): ValueStanding {
  const { budgetAtCompletion, plannedValue, earnedValue: earned, actualCost } = sums;
  const { currency } = budgetAtCompletion;
  const zero = zeroMoney(currency);
  const hasBasis =
    compareMoney(budgetAtCompletion, zero) > 0 && compareMoney(actualCost, zero) >= 0;
  const found: EarnedValue | null = hasBasis
    ? earnedValue({
        budgetAtCompletion: Number(budgetAtCompletion.amount),
        plannedValue: Number(plannedValue.amount),
        earnedValue: Number(earned.amount),
        actualCost: Number(actualCost.amount),
      })
    : null;
  const inMoney = (value: number | null | undefined): Money | null =>
    value === null || value === undefined
      ? null
      : { amount: new Big(value).toFixed(currencyExponent(currency), HALF_EVEN), currency };
  return {
    budgetAtCompletion,
    plannedValue,
    earnedValue: earned,
    actualCost,
    scheduleVariance: subtractMoney(earned, plannedValue),
    costVariance: subtractMoney(earned, actualCost),
    schedulePerformanceIndex: found?.schedulePerformanceIndex ?? null,
    costPerformanceIndex: found?.costPerformanceIndex ?? null,
    completeRatio: found?.completeRatio ?? null,
    estimateAtCompletion: inMoney(found?.estimateAtCompletion),
    estimateAtCompletionOneOff: inMoney(found?.estimateAtCompletionOneOff),
    estimateAtCompletionBoth: inMoney(found?.estimateAtCompletionBoth),
    estimateToComplete: inMoney(found?.estimateToComplete),
    varianceAtCompletion: inMoney(found?.varianceAtCompletion),
    toCompletePerformanceIndex: found?.toCompletePerformanceIndex ?? null,
  };
}
