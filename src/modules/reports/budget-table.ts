import type { ReportContent } from '../../../shared/contract/report.ts';
import { availableBudget } from '../../../shared/costing/grant-share.ts';
import { type Money, sumMoney } from '../../../shared/costing/money.ts';
import { moneyOf } from '../../db/wire-values.ts';
import type { CostSource, ReportSources } from './source-records.ts';

/** Budget against committed, accrued and paid cash, line by line; what names no line stands last. */
export function budgetTable({ grant, budgetLines, costs }: ReportSources): ReportContent['budget'] {
  const { currency } = grant;
  const cash = costs.filter(({ funding }) => funding === 'cash');
  const inState = (entries: readonly CostSource[], state: CostSource['state']): Money =>
    sumMoney(
      entries
        .filter((entry) => entry.state === state)
        .map((entry) => moneyOf(entry.grant_amount, currency)),
      currency,
    );
  const row = (
    budgetLineCode: string | null,
    title: string,
    budget: Money,
    entries: CostSource[],
  ) => {
    const amounts = {
      budget,
      committed: inState(entries, 'committed'),
      accrued: inState(entries, 'accrued'),
      paid: inState(entries, 'paid'),
    };
    const available = availableBudget(amounts);
    return {
      budgetLineCode,
      title,
      ...amounts,
      available,
      isOverspent: available.amount.startsWith('-'),
    };
  };
  const rows = budgetLines.map((line) =>
    row(
      line.code,
      line.title,
      moneyOf(line.amount, currency),
      cash.filter((entry) => entry.budget_line_id === line.id),
    ),
  );
  const unassigned = cash.filter((entry) => entry.budget_line_id === null);
  if (unassigned.length === 0) return rows;
  return [...rows, row(null, 'Charged to no budget line', moneyOf('0', currency), unassigned)];
}
