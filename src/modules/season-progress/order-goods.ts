import Big from 'big.js';
import { goodsStanding } from '../../../shared/costing/goods-standing.ts';
import {
  allocateMoney,
  compareMoney,
  type Money,
  subtractMoney,
  sumMoney,
  zeroMoney,
} from '../../../shared/costing/money.ts';
import { valueOfPart } from '../../../shared/procurement/order-cost-standing.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import type { OrderLine } from './cost-repository.ts';

/** Decimal sums by name. */
export type Sums = Map<string, Big>;

export const addTo = (sums: Sums, key: string, amount: string): void => {
  sums.set(key, (sums.get(key) ?? new Big(0)).plus(amount));
};

/** One material, or one lot of it, as movements until a day leave it. */
export interface PoolSums {
  readonly receivedBy: Sums;
  readonly usedBy: Sums;
  readonly usedByBuild: Sums;
  readonly keyOfBuild: Map<string, string | null>;
  inHand: Big;
}

/** What came for a line of an order, by lot. */
export interface GoodsSums {
  readonly lines: ReadonlyMap<string, OrderLine>;
  /** By `line lot`. */
  readonly received: Sums;
  readonly paid: Sums;
  /** By `material lot`. */
  readonly pools: ReadonlyMap<string, PoolSums>;
}

export interface OrderGoods {
  readonly used: Money;
  readonly inHand: Money;
  readonly gone: Money;
  /** Paid and not received. */
  readonly paidAhead: Money;
}

export interface GoodsByOrder {
  readonly orders: ReadonlyMap<string, OrderGoods>;
  readonly usedByBuild: ReadonlyMap<string, Money>;
}

export const NO_LOT = '-';
/** Where goods come from that no followed order of a programme brought. */
export const ELSEWHERE = '-';

const isAboveZero = ({ amount }: Money) => /^[^-]*[1-9]/.test(amount);
const positive = (value: Big | undefined) =>
  value === undefined || value.lte(0) ? new Big(0) : value;

/**
 * Where the goods of orders are by value. Goods are worth what the order's lines say, and together
 * never more than the ledger has accrued and paid for the order.
 *
 * @param owed accrued and paid by order
 */
export function goodsByOrder(
  programmeId: string,
  sums: GoodsSums,
  owed: ReadonlyMap<string, Money>,
  currency: string,
): GoodsByOrder {
  const parts = partsReceived(sums, owed, currency);
  const byPool = new Map<string, Part[]>();
  for (const part of parts) {
    const pool = byPool.get(part.poolKey);
    if (pool) pool.push(part);
    else byPool.set(part.poolKey, [part]);
  }
  const usedByBuild = new Map<string, Money>();
  const placed = new Map<string, Placed>();
  for (const [poolKey, of] of byPool) {
    const pool = sums.pools.get(poolKey);
    const value = sumMoney(
      of.map((part) => part.value),
      currency,
    );
    const where = goodsStanding({
      received: of.reduce((sum, { quantity }) => sum.plus(quantity), new Big(0)).toFixed(),
      value,
      used: (pool?.usedBy.get(programmeId) ?? new Big(0)).toFixed(),
      othersLeft: (pool ? leftOfOthers(pool, programmeId) : new Big(0)).toFixed(),
      inHand: (pool?.inHand ?? new Big(0)).toFixed(),
    });
    place(placed, of, where);
    if (pool) spreadOverBuilds(usedByBuild, pool, where.used);
  }
  const orders = new Map<string, OrderGoods>();
  for (const [orderId, total] of owed) {
    const { used, inHand, gone } = placed.get(orderId) ?? nowhere(currency);
    const rest = subtractMoney(total, sumMoney([used, inHand, gone], currency));
    const ahead = paidAheadOf(sums, orderId, currency);
    const paidAhead = compareMoney(ahead, rest) <= 0 ? ahead : rest;
    orders.set(orderId, {
      ...{ used, inHand, gone },
      paidAhead: isAboveZero(paidAhead) ? paidAhead : zeroMoney(currency),
    });
  }
  return { orders, usedByBuild };
}

interface Part {
  readonly orderId: string;
  readonly poolKey: string;
  readonly quantity: string;
  readonly value: Money;
}

interface Placed {
  used: Money;
  inHand: Money;
  gone: Money;
}

const nowhere = (currency: string): Placed => ({
  used: zeroMoney(currency),
  inHand: zeroMoney(currency),
  gone: zeroMoney(currency),
});

/** What was received, by order line and lot, with its worth. */
function partsReceived(
  { lines, received }: GoodsSums,
  owed: ReadonlyMap<string, Money>,
  currency: string,
): Part[] {
  const lotsOfLine = new Map<string, { lot: string; quantity: Big }[]>();
  for (const [key, quantity] of received) {
    const [lineId = '', lot = NO_LOT] = key.split(' ');
    const lots = lotsOfLine.get(lineId) ?? [];
    if (quantity.gt(0)) lots.push({ lot, quantity });
    lotsOfLine.set(lineId, lots);
  }
  const byOrder = new Map<string, (Part & { worth: Money })[]>();
  for (const [lineId, lots] of lotsOfLine) {
    const line = lines.get(lineId);
    if (line === undefined || lots.length === 0) continue;
    const quantity = lots.reduce((sum, lot) => sum.plus(lot.quantity), new Big(0));
    const amount = moneyOf(line.amount, currency);
    const worth = valueOfPart(amount, quantityText(line.orderedQuantity), quantity.toFixed());
    const shares = allocateMoney(
      worth,
      lots.map((lot) => lot.quantity.toFixed()),
    );
    const of = byOrder.get(line.orderId) ?? [];
    for (const [index, lot] of lots.entries()) {
      of.push({
        orderId: line.orderId,
        poolKey: `${line.materialId} ${lot.lot}`,
        quantity: lot.quantity.toFixed(),
        value: zeroMoney(currency),
        worth: shares[index] ?? zeroMoney(currency),
      });
    }
    byOrder.set(line.orderId, of);
  }
  return [...byOrder].flatMap(([orderId, of]) => {
    const worths = of.map(({ worth }) => worth);
    const limit = owed.get(orderId) ?? zeroMoney(currency);
    const values =
      compareMoney(sumMoney(worths, currency), limit) <= 0
        ? worths
        : isAboveZero(limit)
          ? allocateMoney(
              limit,
              worths.map(({ amount }) => amount),
            )
          : worths.map(() => zeroMoney(currency));
    return of.map(({ worth: _, ...part }, index) => ({
      ...part,
      value: values[index] ?? zeroMoney(currency),
    }));
  });
}

/** Of a pool, what other programmes and goods from elsewhere have left by their own use. */
function leftOfOthers({ receivedBy, usedBy }: PoolSums, programmeId: string): Big {
  let left = new Big(0);
  let beyond = new Big(0);
  for (const [user, used] of usedBy) {
    const own = receivedBy.get(user) ?? new Big(0);
    if (used.gt(own)) beyond = beyond.plus(used).minus(own);
  }
  for (const [source, received] of receivedBy) {
    if (source === programmeId) continue;
    const used = source === ELSEWHERE ? beyond : positive(usedBy.get(source));
    left = left.plus(positive(received.minus(used)));
  }
  return left;
}

/** The value of a pool back to the orders that brought it, in proportion to what each brought. */
function place(placed: Map<string, Placed>, parts: readonly Part[], where: Placed): void {
  const weights = parts.map(({ value }) => value.amount);
  if (!parts.some(({ value }) => isAboveZero(value))) return;
  for (const at of ['used', 'inHand', 'gone'] as const) {
    const shares = allocateMoney(where[at], weights);
    for (const [index, { orderId, value }] of parts.entries()) {
      const share = shares[index];
      if (share === undefined) continue;
      const of = placed.get(orderId) ?? nowhere(value.currency);
      of[at] = sumMoney([of[at], share], value.currency);
      placed.set(orderId, of);
    }
  }
}

function spreadOverBuilds(usedByBuild: Map<string, Money>, pool: PoolSums, used: Money): void {
  const builds = [...pool.usedByBuild].filter(([, quantity]) => quantity.gt(0));
  if (builds.length === 0 || !isAboveZero(used)) return;
  const shares = allocateMoney(
    used,
    builds.map(([, quantity]) => quantity.toFixed()),
  );
  for (const [index, [buildId]] of builds.entries()) {
    const share = shares[index] ?? zeroMoney(used.currency);
    const known = usedByBuild.get(buildId) ?? zeroMoney(used.currency);
    usedByBuild.set(buildId, sumMoney([known, share], used.currency));
  }
}

function paidAheadOf(
  { lines, received, paid }: GoodsSums,
  orderId: string,
  currency: string,
): Money {
  const came = new Map<string, Big>();
  for (const [key, quantity] of received) {
    const lineId = key.split(' ')[0] ?? '';
    came.set(lineId, (came.get(lineId) ?? new Big(0)).plus(quantity));
  }
  const ahead: Money[] = [];
  for (const [lineId, quantity] of paid) {
    const line = lines.get(lineId);
    if (line?.orderId !== orderId) continue;
    const amount = moneyOf(line.amount, currency);
    const ordered = quantityText(line.orderedQuantity);
    const worth = (part: Big | undefined) => valueOfPart(amount, ordered, positive(part).toFixed());
    const [ofPaid, ofCame] = [worth(quantity), worth(came.get(lineId))];
    if (compareMoney(ofPaid, ofCame) > 0) ahead.push(subtractMoney(ofPaid, ofCame));
  }
  return sumMoney(ahead, currency);
}
