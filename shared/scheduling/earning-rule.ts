import { allocateMoney, type Money, zeroMoney } from '../costing/money.ts';
import { requirePositive } from '../errors.ts';
import type { StageStatus } from './stage-state.ts';

/** 0/100: all when accepted. 50/50: half when started, half when accepted. */
export type EarningRule = '0/100' | '50/50';

/** Stages planned to last a week or longer may earn half when they start. */
export const LONG_STAGE_DAYS = 7;

/**
 * How a stage earns its value: 50/50 when it is planned to last a week or longer, else 0/100. The
 * limit of a week is this project's own.
 *
 * @param plannedDays calendar days from the first day of work to the last day of the wait after it
 * @throws {EngineError} `out-of-range` when the days are not above 0
 * @source iso-21508
 */
export function earningRuleFor(plannedDays: number): EarningRule {
  requirePositive({ plannedDays });
  return plannedDays >= LONG_STAGE_DAYS ? '50/50' : '0/100';
}

/**
 * What a stage is worth when it starts and when it is accepted; together its amount to the last
 * minor unit, an odd one earned at the start.
 *
 * @source iso-21508; largest-remainder
 */
export function earningParts(amount: Money, rule: EarningRule): { start: Money; accepted: Money } {
  if (rule === '0/100') return { start: zeroMoney(amount.currency), accepted: amount };
  const [start = amount, accepted = amount] = allocateMoney(amount, ['1', '1']);
  return { start, accepted };
}

/**
 * What of a stage's amount is earned: all when it is accepted; by 50/50 the first part while it is
 * worked on or waits for its release. Work that did not pass or is in rework earns nothing again.
 *
 * @source iso-21508; tank-practice
 */
export function earnedAmount(amount: Money, rule: EarningRule, status: StageStatus): Money {
  if (status === 'accepted') return amount;
  const isUnderWay = status === 'in-progress' || status === 'awaiting-release';
  return isUnderWay ? earningParts(amount, rule).start : zeroMoney(amount.currency);
}
