import Big from 'big.js';
import {
  compareQuantities,
  type Quantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';
import { allocateMoney, type Money, zeroMoney } from './money.ts';

/** Goods of one material, or of one lot of it, that orders of a programme brought. */
export interface GoodsPool {
  /** Received for orders of the programme, and what that cost. */
  readonly received: Quantity;
  readonly value: Money;
  /** Issued to builds of the programme less what came back; negative when more came back. */
  readonly used: string;
  /** Of the same goods from elsewhere: what their own use left over. */
  readonly othersLeft: Quantity;
  /** In stores and on the road, whoever bought it. */
  readonly inHand: string;
}

/** Where the value of a pool is; together its value. */
export interface GoodsStanding {
  readonly used: Money;
  readonly inHand: Money;
  /** Lost, written off, counted short, or used by somebody else. */
  readonly gone: Money;
}

const HALF_EVEN = 2;
const QUANTITY_DECIMALS = 6;

/**
 * Where goods that a programme bought are by value, at their price of receipt: in builds, in hand, or
 * gone otherwise.
 *
 * A programme's builds use its own goods first. What they leave is in hand as far as there is stock;
 * goods of several buyers that cannot be told apart are in hand in proportion to what each has left:
 *
 *     left = max(0, received − used),  inHand = min(left, H · left/(left + othersLeft))
 *
 * The value is shared over the three quantities by largest remainder.
 *
 * @throws {EngineError} `out-of-range` for text that is no decimal or a negative received quantity
 * @source costing-own; largest-remainder
 */
export function goodsStanding(pool: GoodsPool): GoodsStanding {
  const { received, value, othersLeft } = pool;
  const zero = zeroMoney(value.currency);
  if (compareQuantities(received, '0') === 0) return { used: zero, inHand: zero, gone: value };
  const used = clamped(pool.used, received);
  const left = subtractQuantities(received, used);
  const stock = new Big(pool.inHand).lt(0) ? '0' : pool.inHand;
  const share = shareOfStock(stock, left, othersLeft);
  const inHand = compareQuantities(share, left) > 0 ? left : share;
  const gone = subtractQuantities(left, inHand);
  const [inBuilds = zero, stays = zero, lost = zero] = allocateMoney(value, [used, inHand, gone]);
  return { used: inBuilds, inHand: stays, gone: lost };
}

function clamped(used: string, received: Quantity): Quantity {
  if (new Big(used).lte(0)) return '0';
  return compareQuantities(used, received) > 0 ? received : used;
}

function shareOfStock(stock: Quantity, left: Quantity, othersLeft: Quantity): Quantity {
  if (compareQuantities(othersLeft, '0') === 0) return stock;
  if (compareQuantities(left, '0') === 0) return '0';
  const all = sumQuantities([left, othersLeft]);
  // big.js divides to a set number of decimals: 20, far below the 6 kept
  const Precise = Big();
  Precise.DP = 20;
  return new Precise(stock).times(left).div(all).toFixed(QUANTITY_DECIMALS, HALF_EVEN);
}
