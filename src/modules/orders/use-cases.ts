import type {
  NewOrderCancellation,
  NewOrderPlacement,
  Order,
} from '../../../shared/contract/order.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { cancelOrder, findOrder, listOrders, lockOrder, placeOrder } from './repository.ts';

/** What the ledger of costs does when an order is placed or cancelled. */
export interface OrderCosts {
  commit(tx: Tx, order: Order): Promise<void>;
  release(tx: Tx, order: Order, reason: string): Promise<void>;
}

export interface Orders {
  readonly list: typeof listOrders;
  get(tx: Tx, id: string): Promise<Order>;
  place(tx: Tx, id: string, input: NewOrderPlacement): Promise<Order>;
  cancel(tx: Tx, id: string, input: NewOrderCancellation): Promise<Order>;
}

export function createOrders(clock: Clock, costs?: OrderCosts): Orders {
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

  return {
    list: listOrders,
    get,
    async place(tx, id, { placedOn = clock.today() }) {
      const order = await lock(tx, id);
      if (order.status !== 'draft') {
        throw ruleBroken(
          'order-placed-once',
          `Order ${order.code} is ${order.status}; only a draft is placed.`,
        );
      }
      requireDay('/placedOn', placedOn, order.pricedOn, 'the day of its prices,');
      await placeOrder(tx, id, placedOn);
      await costs?.commit(tx, { ...order, status: 'placed', placedOn });
      await tx.audit('place', 'order', id, { placedOn });
      return get(tx, id);
    },
    async cancel(tx, id, { cancelledOn = clock.today(), reason }) {
      const order = await lock(tx, id);
      if (order.status === 'cancelled') {
        throw ruleBroken(
          'order-cancelled-once',
          `Order ${order.code} was cancelled on ${order.cancelledOn} already.`,
        );
      }
      if (order.lines.some(({ receivedQuantity }) => receivedQuantity !== '0')) {
        throw ruleBroken(
          'order-received',
          `Goods of order ${order.code} were received; it cannot be cancelled any more.`,
        );
      }
      const { placedOn, pricedOn } = order;
      requireDay(
        '/cancelledOn',
        cancelledOn,
        placedOn ?? pricedOn,
        placedOn ? 'the day it was placed,' : 'the day of its prices,',
      );
      await cancelOrder(tx, id, cancelledOn);
      if (order.status === 'placed') await costs?.release(tx, order, reason);
      await tx.audit('cancel', 'order', id, { cancelledOn, reason });
      return get(tx, id);
    },
  };
}
