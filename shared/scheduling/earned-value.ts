import { requireNotNegative, requirePositive } from '../errors.ts';

export interface EarnedValueInput {
  readonly budgetAtCompletion: number;
  readonly plannedValue: number;
  readonly earnedValue: number;
  readonly actualCost: number;
}

/** Null where the ratio does not exist: nothing planned, nothing spent, or nothing left to spend. */
export interface EarnedValue {
  readonly scheduleVariance: number;
  readonly costVariance: number;
  readonly schedulePerformanceIndex: number | null;
  readonly costPerformanceIndex: number | null;
  readonly completeRatio: number;
  /** BAC/CPI: the variance so far goes on. */
  readonly estimateAtCompletion: number | null;
  /** AC + BAC − EV: the variance so far was one of a kind. */
  readonly estimateAtCompletionOneOff: number;
  /** AC + (BAC − EV)/(CPI·SPI): cost and schedule both press. */
  readonly estimateAtCompletionBoth: number | null;
  readonly estimateToComplete: number | null;
  readonly varianceAtCompletion: number | null;
  /** (BAC − EV)/(BAC − AC). */
  readonly toCompletePerformanceIndex: number | null;
}

const ratio = (over: number, under: number): number | null => (under === 0 ? null : over / under);

/**
 * Earned value at a data date, in money of the baseline.
 *
 *   SV = EV − PV, CV = EV − AC, SPI = EV/PV, CPI = EV/AC, EAC = BAC/CPI, ETC = EAC − AC,
 *   VAC = BAC − EAC, TCPI = (BAC − EV)/(BAC − AC)
 *
 * @param input BAC, PV, EV, AC; EV counts accepted stages only
 * @throws {EngineError} `out-of-range` when a value is negative or the budget is 0
 * @source iso-21508
 */
export function earnedValue(input: EarnedValueInput): EarnedValue {
  const { budgetAtCompletion: bac, plannedValue: pv, earnedValue: ev, actualCost: ac } = input;
  requirePositive({ budgetAtCompletion: bac });
  requireNotNegative({ plannedValue: pv, earnedValue: ev, actualCost: ac });
  const cpi = ratio(ev, ac);
  const spi = ratio(ev, pv);
  const estimateAtCompletion = cpi === null ? null : ratio(bac, cpi);
  const pressure = cpi === null || spi === null ? null : ratio(bac - ev, cpi * spi);
  return {
    scheduleVariance: ev - pv,
    costVariance: ev - ac,
    schedulePerformanceIndex: spi,
    costPerformanceIndex: cpi,
    completeRatio: ev / bac,
    estimateAtCompletion,
    estimateAtCompletionOneOff: ac + bac - ev,
    estimateAtCompletionBoth: pressure === null ? null : ac + pressure,
    estimateToComplete: estimateAtCompletion === null ? null : estimateAtCompletion - ac,
    varianceAtCompletion: estimateAtCompletion === null ? null : bac - estimateAtCompletion,
    toCompletePerformanceIndex: ratio(bac - ev, bac - ac),
  };
}
