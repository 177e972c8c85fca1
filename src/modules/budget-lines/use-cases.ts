import type {
  BudgetLine,
  BudgetLinePatch,
  NewBudgetLine,
} from '../../../shared/contract/budget-line.ts';
import { addMoney, type Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent } from '../../domain/errors.ts';

export type BudgetLineStore = DocumentStore<BudgetLine, NewBudgetLine, BudgetLinePatch>;

/** What budget lines need to know of their grant, held until the transaction ends. */
export interface GrantLock {
  lock(
    tx: Tx,
    grantId: string,
    exceptBudgetLineId?: string | null,
  ): Promise<{ readonly amount: Money; readonly budgeted: Money } | null>;
  requireBudgetWithin(
    grantAmount: Money,
    budgeted: Money,
    pointer: string,
    rejectedValue: string,
  ): void;
}

export interface BudgetLines {
  readonly store: BudgetLineStore;
  guardCreate(tx: Tx, input: NewBudgetLine): Promise<void>;
  guardEdit(tx: Tx, id: string, patch: BudgetLinePatch): Promise<void>;
}

export function createBudgetLines(store: BudgetLineStore, grants: GrantLock): BudgetLines {
  async function requireRoom(tx: Tx, grantId: string, amount: Money, lineId: string | null) {
    const grant = await grants.lock(tx, grantId, lineId);
    if (!grant) {
      throw invalidContent([
        {
          pointer: '/grantId',
          code: 'reference.unknown',
          message: 'names a grant that does not exist',
          rejectedValue: grantId,
        },
      ]);
    }
    if (amount.currency !== grant.amount.currency) {
      throw invalidContent([
        {
          pointer: '/amount/currency',
          code: 'currency.other',
          message: `must be ${grant.amount.currency}, the currency of the grant`,
          rejectedValue: amount.currency,
        },
      ]);
    }
    const budgeted = addMoney(grant.budgeted, amount);
    grants.requireBudgetWithin(grant.amount, budgeted, '/amount/amount', amount.amount);
  }
  return {
    store,
    guardCreate: (tx, { grantId, amount }) => requireRoom(tx, grantId, amount, null),
    async guardEdit(tx, id, { amount }) {
      if (!amount) return;
      const { grantId } = await store.get(tx, id);
      await requireRoom(tx, grantId, amount, id);
    },
  };
}
