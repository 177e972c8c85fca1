import { v7 as uuidv7 } from 'uuid';
import type { CostEntry } from '../../../shared/contract/cost-entry.ts';
import {
  allocateMoney,
  compareMoney,
  exchangeMoney,
  type Money,
  zeroMoney,
} from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { chargeToGrant, requireBudgetLine } from './charge-to-grant.ts';
import { entriesFollowing, insertCostEntry } from './repository.ts';
import { reversalOf } from './reversal.ts';

/** Who pays for a part of an order. */
export interface PayerShare {
  readonly grantId: string | null;
  readonly budgetLineId: string | null;
  readonly buildId: string | null;
  /** Decimal text, not negative. */
  readonly weight: string;
}

export interface OrderMovement {
  readonly programmeId: string;
  readonly orderId: string;
  readonly orderCode: string;
  readonly shares: readonly PayerShare[];
  /** What the order commits and owes from now on. */
  readonly committed: Money;
  readonly accrued: Money;
  /** What leaves with this movement. */
  readonly payment?: { readonly invoiceId: string; readonly amount: Money } | undefined;
  readonly receiptId?: string | undefined;
  readonly occurredOn: string;
  readonly evidence: string;
}

export interface OrderLedger {
  /** The shares with the budget line of that code in each grant. */
  withBudgetLines(
    tx: Tx,
    shares: readonly PayerShare[],
    code: string,
  ): Promise<readonly PayerShare[]>;
  /**
   * Brings what an order commits and owes to the amounts given, by payer and to the last minor unit:
   * entries that differ are reversed and posted anew at the rate of the order's first day.
   */
  follow(tx: Tx, movement: OrderMovement): Promise<void>;
}

export function createOrderLedger(): OrderLedger {
  return {
    async withBudgetLines(tx, shares, code) {
      const named: PayerShare[] = [];
      for (const share of shares) {
        const { grantId } = share;
        if (grantId === null) named.push(share);
        else named.push({ ...share, budgetLineId: await requireBudgetLine(tx, grantId, code) });
      }
      return named;
    },

    async follow(tx, movement) {
      const earlier = await entriesFollowing(tx, movement.orderId);
      const live = earlier.filter(({ isReversed, state }) => !isReversed && state !== 'paid');
      // A reversal is never before its entry, in whatever order the papers come in.
      const occurredOn = [movement.occurredOn, ...live.map((entry) => entry.occurredOn)]
        .sort()
        .at(-1) as string;
      for (const state of ['committed', 'accrued'] as const) {
        const parts = partsOf(movement.shares, movement[state]);
        for (const [index, share] of movement.shares.entries()) {
          const wanted = parts[index] ?? zeroMoney(movement[state].currency);
          const stands = live.filter((entry) => entry.state === state && isOf(entry, share));
          const [only] = stands;
          if (stands.length === 1 && only && compareMoney(only.amount, wanted) === 0) continue;
          for (const { isReversed: _, ...entry } of stands) {
            const reason = `Order ${movement.orderCode}, now ${wanted.amount} ${state}`;
            await insertCostEntry(tx, reversalOf(entry, occurredOn, reason));
          }
          if (isNothing(wanted)) continue;
          await post(tx, { ...movement, occurredOn }, share, state, wanted, earlier);
        }
      }
      const { payment } = movement;
      if (!payment || isNothing(payment.amount)) return;
      const parts = partsOf(movement.shares, payment.amount);
      for (const [index, share] of movement.shares.entries()) {
        const part = parts[index];
        if (!part || isNothing(part)) continue;
        await post(tx, { ...movement, occurredOn }, share, 'paid', part, earlier);
      }
    },
  };
}

/** An amount over payers by largest remainder; without any weight the first carries it. */
function partsOf(shares: readonly PayerShare[], amount: Money): Money[] {
  const weights = shares.map(({ weight }) => weight);
  const isWeighed = weights.some((weight) => /[1-9]/.test(weight));
  return allocateMoney(amount, isWeighed ? weights : shares.map((_, i) => (i === 0 ? '1' : '0')));
}

const isNothing = ({ amount }: Money) => !/[1-9]/.test(amount);

const isOf = (entry: CostEntry, share: PayerShare) =>
  entry.grantId === share.grantId && entry.buildId === share.buildId;

async function post(
  tx: Tx,
  movement: OrderMovement,
  share: PayerShare,
  state: CostEntry['state'],
  amount: Money,
  earlier: readonly CostEntry[],
): Promise<void> {
  const { grantId, buildId, budgetLineId } = share;
  const { programmeId, orderId, occurredOn, evidence } = movement;
  const first = earlier.find((entry) => isOf(entry, share));
  const description = `Order ${movement.orderCode}`;
  const charged =
    first?.exchange && first.grantAmount
      ? {
          exchange: first.exchange,
          grantAmount: exchangeMoney(amount, first.exchange.rate, first.grantAmount.currency),
        }
      : grantId === null
        ? null
        : await chargeToGrant(
            tx,
            {
              ...{ programmeId, orderId, state, occurredOn, description, evidence, grantId },
              ...(budgetLineId === null ? {} : { budgetLineId }),
              funding: 'cash',
            },
            amount,
          );
  const entry = await insertCostEntry(tx, {
    id: uuidv7(),
    ...{ programmeId, grantId, budgetLineId, buildId, orderId, state, occurredOn },
    funding: 'cash',
    description,
    evidence,
    amount,
    grantAmount: charged?.grantAmount ?? null,
    exchange: charged?.exchange ?? null,
    reversesId: null,
    invoiceId: state === 'paid' ? (movement.payment?.invoiceId ?? null) : null,
    receiptId: state === 'accrued' ? (movement.receiptId ?? null) : null,
    followsOrder: true,
  });
  await tx.audit('follow', 'cost-entry', entry.id, { orderId, state, amount, grantId });
}
