import type { OrderCosts } from '../../../shared/contract/order.ts';
import { type Money, subtractMoney, sumMoney } from '../../../shared/costing/money.ts';
import { orderCostStanding } from '../../../shared/procurement/order-cost-standing.ts';
import type { Quantity } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
import type { OrderLedger, PayerShare } from '../cost-entries/order-ledger.ts';
import {
  findCostShares,
  findKeptOrder,
  listCostLines,
  sumPaidInvoices,
} from './cost-repository.ts';

/** Orders that still commit what did not come. */
const OPEN = new Set(['placed', 'partly-received', 'received']);

export interface CostMovement {
  readonly occurredOn: string;
  /** Number of the paper behind it. */
  readonly evidence: string;
  readonly receiptId?: string | undefined;
  readonly payment?: { readonly invoiceId: string; readonly amount: Money } | undefined;
}

/** What an order costs, kept in the ledger from its placing to its last payment. */
export interface OrderAccounts {
  /** Who pays for an order that is placed now. */
  sharesFor(
    tx: Tx,
    orderId: string,
    budgetLineCode: string | undefined,
  ): Promise<readonly PayerShare[]>;
  /** Brings the ledger to how the order stands; nothing for an order that it does not follow. */
  settle(tx: Tx, orderId: string, movement: CostMovement): Promise<void>;
  paidOf(tx: Tx, orderId: string): Promise<ReadonlyMap<string, Quantity>>;
  read(tx: Tx, orderId: string): Promise<OrderCosts>;
}

export function createOrderAccounts(ledger: OrderLedger): OrderAccounts {
  return {
    async sharesFor(tx, orderId, budgetLineCode) {
      const shares = await findCostShares(tx, orderId);
      return budgetLineCode === undefined
        ? shares
        : ledger.withBudgetLines(tx, shares, budgetLineCode);
    },

    async settle(tx, orderId, movement) {
      const order = await findKeptOrder(tx, orderId);
      if (!order?.shares) return;
      const lines = await listCostLines(tx, orderId, order.currency);
      const { committed, accrued } = orderCostStanding(
        lines,
        order.currency,
        OPEN.has(order.status),
      );
      await ledger.follow(tx, {
        ...movement,
        orderId,
        orderCode: order.code,
        programmeId: order.programmeId,
        shares: order.shares,
        committed,
        accrued,
      });
    },

    async paidOf(tx, orderId) {
      const order = await findKeptOrder(tx, orderId);
      const lines = order ? await listCostLines(tx, orderId, order.currency) : [];
      return new Map(lines.map(({ id, paidQuantity }) => [id, paidQuantity]));
    },

    async read(tx, orderId) {
      const order = await findKeptOrder(tx, orderId);
      if (!order) throw notFound('order', orderId);
      const { currency, status, shares } = order;
      const lines = await listCostLines(tx, orderId, currency);
      const isOpen = status === 'draft' ? false : OPEN.has(status);
      const standing = orderCostStanding(lines, currency, isOpen);
      const { paid, otherCharges } = await sumPaidInvoices(tx, orderId, currency);
      const { committed, accrued, paidAtOrderPrices } = standing;
      return {
        orderId,
        isFollowed: shares !== null,
        amount: sumMoney(
          lines.map(({ amount }) => amount),
          currency,
        ),
        ...{ committed, accrued, paidAtOrderPrices, paid, otherCharges },
        priceDifference: subtractMoney(subtractMoney(paid, paidAtOrderPrices), otherCharges),
        lines: lines.map((line, index) => {
          const own = standing.lines[index] ?? { committed, accrued, paidAtOrderPrices };
          return {
            orderLineId: line.id,
            materialCode: line.materialCode,
            amount: line.amount,
            committed: own.committed,
            accrued: own.accrued,
            paidAtOrderPrices: own.paidAtOrderPrices,
            invoicedAmount: line.invoicedAmount,
            priceDifference: subtractMoney(line.invoicedAmount, own.paidAtOrderPrices),
          };
        }),
      };
    },
  };
}
