import Big from 'big.js';
import { EngineError } from '../errors.ts';
import {
  allocateMoney,
  compareMoney,
  type Money,
  subtractMoney,
  sumMoney,
  zeroMoney,
} from './money.ts';

export interface GrantShare {
  readonly grantId: string;
  /** Decimal text; the shares of one cost add up to exactly 1. */
  readonly shareRatio: string;
}

export interface GrantAmount {
  readonly grantId: string;
  readonly amount: Money;
}

/**
 * A cost split over grants by their shares, by largest remainder: the parts add up to the cost.
 *
 * @throws {EngineError} `inconsistent` when the shares do not add up to 1 or a grant occurs twice,
 *   `out-of-range` for a share that is negative or not decimal text
 * @source largest-remainder
 */
export function splitOverGrants(cost: Money, shares: readonly GrantShare[]): GrantAmount[] {
  const grants = new Set<string>();
  let sum = new Big(0);
  for (const { grantId, shareRatio } of shares) {
    if (!/^\d(\.\d{1,12})?$/.test(shareRatio)) {
      throw new EngineError(
        'out-of-range',
        `${grantId}.shareRatio`,
        shareRatio,
        'must be decimal text from 0 to 1',
      );
    }
    if (grants.has(grantId)) {
      throw new EngineError('inconsistent', 'grantId', grantId, 'occurs twice for one cost');
    }
    grants.add(grantId);
    sum = sum.plus(shareRatio);
  }
  if (!sum.eq(1)) {
    throw new EngineError('inconsistent', 'shareRatio', sum.toFixed(), 'shares must add up to 1');
  }
  const parts = allocateMoney(
    cost,
    shares.map((share) => share.shareRatio),
  );
  return shares.map(({ grantId }, index) => ({
    grantId,
    amount: parts[index] ?? zeroMoney(cost.currency),
  }));
}

/**
 * What is left of a budget: budget − committed − accrued − paid; negative when overspent.
 *
 * @throws {EngineError} `inconsistent` when currencies differ
 * @source costing-own
 */
export function availableBudget(line: {
  readonly budget: Money;
  readonly committed: Money;
  readonly accrued: Money;
  readonly paid: Money;
}): Money {
  const { currency } = line.budget;
  const used = sumMoney([line.committed, line.accrued, line.paid], currency);
  return subtractMoney(line.budget, used);
}

/**
 * Refuses to charge a cost twice: what all grants carry together may not exceed it.
 *
 * @throws {EngineError} `inconsistent` when the charges exceed the cost
 * @source costing-own
 */
export function requireNotDoubleFunded(cost: Money, charges: readonly Money[]): void {
  const charged = sumMoney(charges, cost.currency);
  if (compareMoney(charged, cost) > 0) {
    throw new EngineError(
      'inconsistent',
      'charges',
      charged.amount,
      `must not exceed the cost ${cost.amount} ${cost.currency}`,
    );
  }
}
