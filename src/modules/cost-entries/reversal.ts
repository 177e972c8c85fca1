import { v7 as uuidv7 } from 'uuid';
import type { CostEntry } from '../../../shared/contract/cost-entry.ts';
import { type Money, money } from '../../../shared/costing/money.ts';

/** The entry that takes another back: the opposite amount, at the rate that stays with it. */
export function reversalOf(
  entry: CostEntry,
  occurredOn: string,
  reason: string,
): Omit<CostEntry, 'recordedAt' | 'recordedById'> {
  return {
    ...entry,
    id: uuidv7(),
    occurredOn,
    description: `Reversal: ${reason}`.slice(0, 500),
    amount: negative(entry.amount),
    grantAmount: entry.grantAmount && negative(entry.grantAmount),
    reversesId: entry.id,
  };
}

const negative = ({ amount, currency }: Money): Money =>
  money(amount.startsWith('-') ? amount.slice(1) : `-${amount}`, currency);
