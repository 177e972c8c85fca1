import type { Grant, GrantPatch, NewGrant } from '../../../shared/contract/grant.ts';
import { compareMoney, type Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent, ruleBroken } from '../../domain/errors.ts';

/** A grant held against changes by others until the transaction ends. */
export interface LockedGrant {
  readonly amount: Money;
  /** Sum of its budget lines, without the one that is being changed. */
  readonly budgeted: Money;
  /** Whether budget lines or costs are counted in its currency already. */
  readonly isUsed: boolean;
  readonly startsOn: string;
  readonly endsOn: string;
}

export interface GrantStore extends DocumentStore<Grant, NewGrant, GrantPatch> {
  lock(tx: Tx, id: string, exceptBudgetLineId?: string | null): Promise<LockedGrant | null>;
}

export interface Grants {
  readonly store: GrantStore;
  guardEdit(tx: Tx, id: string, patch: GrantPatch): Promise<void>;
}

export function createGrants(store: GrantStore): Grants {
  return {
    store,
    async guardEdit(tx, id, patch) {
      const grant = await store.lock(tx, id);
      if (!grant) return;
      requireDatesInOrder(grant, patch);
      const { amount } = patch;
      if (!amount) return;
      if (amount.currency !== grant.amount.currency) {
        if (!grant.isUsed) return;
        throw ruleBroken(
          'grant-currency-fixed',
          `Budget lines or costs are counted in ${grant.amount.currency}; the currency of the grant cannot become ${amount.currency}.`,
        );
      }
      requireBudgetWithin(amount, grant.budgeted, '/amount/amount', amount.amount);
    },
  };
}

/** Refuses a budget above its grant. `budgeted` is the sum that the budget lines would have. */
export function requireBudgetWithin(
  grantAmount: Money,
  budgeted: Money,
  pointer: string,
  rejectedValue: string,
): void {
  if (compareMoney(budgeted, grantAmount) <= 0) return;
  const detail = `The budget lines would add up to ${budgeted.amount} ${budgeted.currency}, above the grant of ${grantAmount.amount} ${grantAmount.currency}.`;
  throw ruleBroken('budget-within-grant', detail, [
    { pointer, code: 'budget.above-grant', message: detail, rejectedValue },
  ]);
}

function requireDatesInOrder(grant: LockedGrant, patch: GrantPatch) {
  const startsOn = patch.startsOn ?? grant.startsOn;
  const endsOn = patch.endsOn ?? grant.endsOn;
  if (endsOn >= startsOn) return;
  throw invalidContent([
    {
      pointer: patch.endsOn === undefined ? '/startsOn' : '/endsOn',
      code: 'dates.out-of-order',
      message: `the grant would run from ${startsOn} to ${endsOn}`,
      rejectedValue: patch.endsOn ?? startsOn,
    },
  ]);
}
