import { allocateMoney, type Money, subtractMoney, sumMoney, zeroMoney } from '../costing/money.ts';
import { EngineError } from '../errors.ts';
import { compareQuantities, type Quantity, subtractQuantities } from '../takeoff/quantity.ts';

/** A line of an order with what came of it and what was paid of it. */
export interface OrderCostLine {
  readonly orderedQuantity: Quantity;
  /** What the ordered quantity costs. */
  readonly amount: Money;
  /** Taken in as good; more than was ordered counts as ordered. */
  readonly receivedQuantity: Quantity;
  /** Of paid invoices, received or not. */
  readonly paidQuantity: Quantity;
}

export interface OrderCostLineStanding {
  /** Ordered, neither received nor paid. */
  readonly committed: Money;
  /** Received and not paid. */
  readonly accrued: Money;
  /** Paid, at the prices of the order. */
  readonly paidAtOrderPrices: Money;
}

export interface OrderCostStanding extends OrderCostLineStanding {
  readonly lines: readonly OrderCostLineStanding[];
}

/**
 * What a part of an ordered quantity is worth at the order's price: the line's amount shared between
 * the part and the rest by largest remainder, so that parts never lose a minor unit and the whole
 * quantity is worth exactly the amount.
 *
 * @param quantity above the ordered quantity counts as ordered
 * @throws {EngineError} `out-of-range` for a negative quantity or amount
 * @source largest-remainder
 */
export function valueOfPart(amount: Money, ordered: Quantity, quantity: Quantity): Money {
  if (compareQuantities(quantity, '0') < 0) {
    throw new EngineError('out-of-range', 'quantity', quantity, 'must not be negative');
  }
  if (compareQuantities(ordered, '0') === 0) return zeroMoney(amount.currency);
  if (compareQuantities(quantity, ordered) >= 0) return amount;
  const [part = zeroMoney(amount.currency)] = allocateMoney(amount, [
    quantity,
    subtractQuantities(ordered, quantity),
  ]);
  return part;
}

/**
 * What of an order is committed, accrued and paid.
 *
 * With v(q) the worth of a quantity, r received and p paid of a line of amount A: committed
 * A − v(max(r, p)), accrued v(r) − v(min(r, p)), paid v(p); together A, whatever r and p. Damaged
 * and missing goods are no part of r, so they are never owed. An order that is closed or cancelled
 * commits nothing any more.
 *
 * @throws {EngineError} `inconsistent` when a line is in another currency, `out-of-range` for a
 *   negative quantity
 * @source costing-own; largest-remainder
 */
export function orderCostStanding(
  lines: readonly OrderCostLine[],
  currency: string,
  isOpen: boolean,
): OrderCostStanding {
  const standings = lines.map((line): OrderCostLineStanding => {
    const { amount, orderedQuantity, receivedQuantity, paidQuantity } = line;
    const worth = (quantity: Quantity) => valueOfPart(amount, orderedQuantity, quantity);
    const isPaidAhead = compareQuantities(paidQuantity, receivedQuantity) > 0;
    const [received, paid] = [worth(receivedQuantity), worth(paidQuantity)];
    return {
      committed: isOpen
        ? subtractMoney(amount, isPaidAhead ? paid : received)
        : zeroMoney(currency),
      accrued: isPaidAhead ? zeroMoney(currency) : subtractMoney(received, paid),
      paidAtOrderPrices: paid,
    };
  });
  const total = (state: keyof OrderCostLineStanding) =>
    sumMoney(
      standings.map((standing) => standing[state]),
      currency,
    );
  return {
    committed: total('committed'),
    accrued: total('accrued'),
    paidAtOrderPrices: total('paidAtOrderPrices'),
    lines: standings,
  };
}
