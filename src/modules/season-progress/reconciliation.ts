import type { SeasonProgress } from '../../../shared/contract/season-progress.ts';
import { type Money, subtractMoney, sumMoney, zeroMoney } from '../../../shared/costing/money.ts';
import { moneyOf } from '../../db/wire-values.ts';
import type { CostStanding } from './cost-book.ts';
import type { TotalRow } from './value-repository.ts';

type Reconciliation = SeasonProgress['reconciliation'];

const negative = (amount: Money) => subtractMoney(zeroMoney(amount.currency), amount);

/** From the bills of now to the budget, step by step. */
export function budgetReconciled(
  budgetAtCompletion: Money,
  bills: TotalRow,
): Reconciliation['budget'] {
  const { currency } = budgetAtCompletion;
  const billsNow = moneyOf(bills.billsNow, currency);
  const items = [
    {
      code: 'outside-baseline',
      text: 'Bills of builds that the baseline does not have',
      amount: negative(moneyOf(bills.outside, currency)),
    },
    {
      code: 'cancelled-in-baseline',
      text: 'Builds of the baseline that were cancelled since',
      amount: moneyOf(bills.cancelled, currency),
    },
    {
      code: 'bills-changed',
      text: 'Bills of the baseline that were priced or made anew since: then less now',
      amount: moneyOf(bills.repriced, currency),
    },
  ];
  const reached = sumMoney([billsNow, ...items.map(({ amount }) => amount)], currency);
  return {
    budgetAtCompletion,
    billsNow,
    items,
    difference: subtractMoney(budgetAtCompletion, reached),
  };
}

/** Where the accrued and paid entries of the ledger are. */
export function costsReconciled(
  accruedAndPaid: Money,
  costs: CostStanding,
): Reconciliation['costs'] {
  const { parts, stockNotYetUsed, paidAhead } = costs;
  const items = [
    {
      code: 'entries',
      text: 'Actual cost: entries beside orders',
      amount: parts.entries,
    },
    {
      code: 'goods-used',
      text: 'Actual cost: goods of orders issued to builds, at their price of receipt',
      amount: parts.goodsUsed,
    },
    {
      code: 'goods-gone',
      text: 'Actual cost: goods of orders that were lost, written off, counted short or used elsewhere',
      amount: parts.goodsGone,
    },
    {
      code: 'order-differences',
      text: 'Actual cost: what orders cost beside their goods: differences of price, charges',
      amount: parts.orderDifferences,
    },
    {
      code: 'stock-not-yet-used',
      text: 'Not in the cost: goods of orders in stores or on the road',
      amount: stockNotYetUsed,
    },
    {
      code: 'paid-ahead',
      text: 'Not in the cost: goods that are paid and have not come',
      amount: paidAhead,
    },
  ];
  const reached = sumMoney(
    items.map(({ amount }) => amount),
    accruedAndPaid.currency,
  );
  return { accruedAndPaid, items, difference: subtractMoney(accruedAndPaid, reached) };
}
