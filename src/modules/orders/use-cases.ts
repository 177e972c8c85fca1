import type {
  NewOrderAmendment,
  NewOrderCancellation,
  NewOrderClosure,
  NewOrderDecision,
  NewOrderPlacement,
  Order,
  OrderCosts,
} from '../../../shared/contract/order.ts';
import { compareMoney } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { amendOrder } from './amend-order.ts';
import { decideOrder, requireApproved } from './decide-order.ts';
import { hasPapers } from './line-repository.ts';
import type { CostMovement, OrderAccounts } from './order-costs.ts';
import {
  cancelOrder,
  closeOrder,
  findOrder,
  listOrders,
  lockOrder,
  placeOrder,
  settleOrder,
} from './repository.ts';

export interface Orders {
  readonly list: typeof listOrders;
  get(tx: Tx, id: string): Promise<Order>;
  /** The order, held against others until the transaction ends. */
  lock(tx: Tx, id: string): Promise<Order>;
  decide(tx: Tx, id: string, input: NewOrderDecision): Promise<Order>;
  place(tx: Tx, id: string, input: NewOrderPlacement): Promise<Order>;
  amend(tx: Tx, id: string, input: NewOrderAmendment): Promise<Order>;
  cancel(tx: Tx, id: string, input: NewOrderCancellation): Promise<Order>;
  close(tx: Tx, id: string, input: NewOrderClosure): Promise<Order>;
  costs(tx: Tx, id: string): Promise<OrderCosts>;
  /** Brings status and ledger of an order to what was received or paid of it. */
  settle(tx: Tx, id: string, movement: CostMovement): Promise<void>;
}

export function createOrders(clock: Clock, accounts: OrderAccounts): Orders {
  async function get(tx: Tx, id: string): Promise<Order> {
    const order = await findOrder(tx, id);
    if (!order) throw notFound('order', id);
    return order;
  }

  async function lock(tx: Tx, id: string): Promise<Order> {
    const order = await lockOrder(tx, id);
    if (!order) throw notFound('order', id);
    return order;
  }

  function requireDay(pointer: string, day: string, notBefore: string, beginning: string) {
    const message =
      day > clock.today()
        ? `must not be after today, ${clock.today()}`
        : day < notBefore
          ? `must not be before ${beginning} ${notBefore}`
          : null;
    if (message === null) return;
    throw invalidContent([{ pointer, code: 'date.out-of-range', message, rejectedValue: day }]);
  }

  function requireDayOf({ placedOn, pricedOn }: Order, pointer: string, day: string) {
    const beginning = placedOn ? 'the day it was placed,' : 'the day of its prices,';
    requireDay(pointer, day, placedOn ?? pricedOn, beginning);
  }

  return {
    list: listOrders,
    get,
    lock,
    async decide(tx, id, input) {
      await decideOrder(tx, await lock(tx, id), input);
      return get(tx, id);
    },
    async place(tx, id, { placedOn = clock.today(), budgetLineCode }) {
      const order = await lock(tx, id);
      if (order.status !== 'draft') {
        throw ruleBroken(
          'order-placed-once',
          `Order ${order.code} is ${order.status}; only a draft is placed.`,
        );
      }
      requireDay('/placedOn', placedOn, order.pricedOn, 'the day of its prices,');
      requireApproved(order, 'it is not placed');
      const shares = await accounts.sharesFor(tx, id, budgetLineCode);
      await placeOrder(tx, id, placedOn, shares);
      await accounts.settle(tx, id, { occurredOn: placedOn, evidence: `order ${order.code}` });
      await tx.audit('place', 'order', id, { placedOn, budgetLineCode });
      return get(tx, id);
    },
    async amend(tx, id, { amendedOn = clock.today(), ...input }) {
      const order = await lock(tx, id);
      const earlier = order.amendments.find((one) => one.id === input.id);
      if (earlier) {
        if (earlier.reason === input.reason) return order;
        throw new DomainError('conflict', {
          detail: `Amendment ${earlier.id} says something else.`,
        });
      }
      requireDayOf(order, '/amendedOn', amendedOn);
      const { neededBy } = input;
      if (neededBy !== undefined && neededBy < (order.placedOn ?? order.pricedOn)) {
        throw invalidContent([
          {
            pointer: '/neededBy',
            code: 'date.out-of-range',
            message: `must not be before ${order.placedOn ?? order.pricedOn}`,
            rejectedValue: neededBy,
          },
        ]);
      }
      const paidOf = await accounts.paidOf(tx, id);
      const amountAfter = await amendOrder(tx, order, { ...input, amendedOn }, paidOf);
      await settleOrder(tx, id);
      if (order.status !== 'draft') {
        await accounts.settle(tx, id, {
          occurredOn: amendedOn,
          evidence: `amendment ${order.amendments.length + 1} of ${order.code}`,
        });
      }
      const amended = await get(tx, id);
      if (compareMoney(amountAfter, order.amount) > 0 && amended.approval !== 'approved') {
        await tx.audit('await-approval', 'order', id, { amount: amountAfter });
      }
      return amended;
    },
    async cancel(tx, id, { cancelledOn = clock.today(), reason }) {
      const order = await lock(tx, id);
      if (order.status === 'cancelled' || order.status === 'closed') {
        throw ruleBroken(
          'order-cancelled-once',
          `Order ${order.code} was ${order.status} on ${order.cancelledOn ?? order.closedOn} already.`,
        );
      }
      if (await hasPapers(tx, id)) {
        throw ruleBroken(
          'order-received',
          `Goods of order ${order.code} were delivered, received or invoiced; it cannot be cancelled any more, only closed.`,
        );
      }
      requireDayOf(order, '/cancelledOn', cancelledOn);
      await cancelOrder(tx, id, cancelledOn);
      await accounts.settle(tx, id, { occurredOn: cancelledOn, evidence: `cancelled: ${reason}` });
      await tx.audit('cancel', 'order', id, { cancelledOn, reason });
      return get(tx, id);
    },
    async close(tx, id, { closedOn = clock.today(), reason }) {
      const order = await lock(tx, id);
      const isShort =
        order.status === 'partly-received' ||
        (order.status === 'placed' && (await hasPapers(tx, id)));
      if (!isShort) {
        throw ruleBroken(
          'order-closed-short',
          `Order ${order.code} is ${order.status}; only what came in part is closed. An order of which nothing came is cancelled.`,
        );
      }
      requireDayOf(order, '/closedOn', closedOn);
      await closeOrder(tx, id, closedOn, reason);
      await accounts.settle(tx, id, { occurredOn: closedOn, evidence: `closed: ${reason}` });
      await tx.audit('close', 'order', id, { closedOn, reason });
      return get(tx, id);
    },
    costs: (tx, id) => accounts.read(tx, id),
    async settle(tx, id, movement) {
      await settleOrder(tx, id);
      await accounts.settle(tx, id, movement);
    },
  };
}
