import type { CostEntry, NewCostEntry } from '../../../shared/contract/cost-entry.ts';
import type { Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent, ruleBroken } from '../../domain/errors.ts';
import { grantAmountOf } from './grant-amount.ts';
import { budgetLine, findGrant } from './repository.ts';

/** What an entry is in the currency of its grant; null when it is charged to none. */
export async function chargeToGrant(
  tx: Tx,
  input: Omit<NewCostEntry, 'amount'>,
  amount: Money,
): Promise<{ grantAmount: Money; exchange: NonNullable<CostEntry['exchange']> } | null> {
  if (input.funding === 'in-kind' && input.evidence === '') {
    throw ruleBroken(
      'in-kind-needs-evidence',
      'A contribution in kind counts only with evidence on record.',
    );
  }
  if (input.grantId === undefined) {
    if (input.budgetLineId === undefined && input.exchange === undefined) return null;
    throw invalidContent([
      { pointer: '/grantId', code: 'required', message: 'is needed with budgetLineId or exchange' },
    ]);
  }
  const grant = await findGrant(tx, input.grantId);
  if (!grant || grant.programme_id !== input.programmeId) {
    throw invalidContent([
      {
        pointer: '/grantId',
        code: 'reference.unknown',
        message: 'is not a grant of this programme',
        rejectedValue: input.grantId,
      },
    ]);
  }
  if (input.occurredOn < grant.starts_on || input.occurredOn > grant.ends_on) {
    throw ruleBroken(
      'outside-grant-period',
      `Grant ${grant.code} runs from ${grant.starts_on} to ${grant.ends_on}; ${input.occurredOn} lies outside.`,
    );
  }
  if (input.budgetLineId !== undefined) {
    const found = await budgetLine(tx, grant.id, { id: input.budgetLineId });
    if (!found) {
      throw invalidContent([
        {
          pointer: '/budgetLineId',
          code: 'reference.unknown',
          message: 'is not a budget line of this grant',
          rejectedValue: input.budgetLineId,
        },
      ]);
    }
  }
  return grantAmountOf(tx, grant, amount, input.occurredOn, input.exchange);
}

/** The budget line of a grant with that code. */
export async function requireBudgetLine(tx: Tx, grantId: string, code: string): Promise<string> {
  const found = await budgetLine(tx, grantId, { code });
  if (found) return found;
  throw invalidContent([
    {
      pointer: '/budgetLineCode',
      code: 'reference.unknown',
      message: 'is not a budget line of every grant of the build',
      rejectedValue: code,
    },
  ]);
}
