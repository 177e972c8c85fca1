import type {
  BudgetLine,
  BudgetLinePatch,
  NewBudgetLine,
} from '../../../shared/contract/budget-line.ts';
import { documentStore, withRelated } from '../../db/document-store.ts';
import type { BudgetLineModel as BudgetLineRow } from '../../db/generated/models.ts';
import { decimalText, documentFieldsOf, moneyOf } from '../../db/wire-values.ts';
import type { BudgetLineStore } from './use-cases.ts';

const CURRENCIES_SQL = `
  select id, currency from grant_agreement where organisation_id = $1 and id = any($2)`;

type Bare = Omit<BudgetLine, 'amount'> & { amountText: string };

const bare = documentStore<BudgetLineRow, Bare, NewBudgetLine, BudgetLinePatch>({
  noun: 'budget line',
  sortKey: 'code',
  delegate: (prisma) => prisma.budgetLine,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    grantId: row.grantId,
    code: row.code,
    title: row.title,
    amountText: decimalText(row.amount),
  }),
  toColumns: ({ amount, ...columns }) => ({
    ...columns,
    ...(amount ? { amount: amount.amount } : {}),
  }),
});

/** Budget lines, their amounts in the currency of the grant. */
export const budgetLineStore: BudgetLineStore = withRelated(bare, async (tx, lines) => {
  const grantIds = [...new Set(lines.map(({ grantId }) => grantId))];
  const grants = await tx.sql<{ id: string; currency: string }>(CURRENCIES_SQL, [
    tx.organisationId,
    grantIds,
  ]);
  const currencyOf = new Map(grants.map(({ id, currency }) => [id, currency]));
  return lines.map(({ amountText, ...line }) => ({
    ...line,
    amount: moneyOf(amountText, currencyOf.get(line.grantId) ?? ''),
  }));
});
