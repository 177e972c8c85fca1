import { EngineError } from '../errors.ts';
import {
  compareQuantities,
  type Quantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';

/** What came off the vehicle, counted by the receiver. */
export interface ReceiptCount {
  readonly dispatched: Quantity;
  /** Everything unloaded, damaged pieces included. */
  readonly unloaded: Quantity;
  /** Of the unloaded: torn, mouldy or otherwise unfit. */
  readonly damaged: Quantity;
}

export interface ReceiptReconciliation {
  readonly good: Quantity;
  readonly damaged: Quantity;
  readonly missing: Quantity;
  readonly excess: Quantity;
}

/**
 * Good, damaged, missing and excess of a delivery, so that
 * dispatched + excess = good + damaged + missing.
 *
 * @throws {EngineError} `out-of-range` for a negative count, `inconsistent` when more is damaged
 *   than was unloaded
 * @source care-food-manual-1998
 */
export function reconcileReceipt(count: ReceiptCount): ReceiptReconciliation {
  for (const field of ['dispatched', 'unloaded', 'damaged'] as const) {
    if (compareQuantities(count[field], '0') < 0) {
      throw new EngineError('out-of-range', field, count[field], 'must not be negative');
    }
  }
  const { dispatched, unloaded } = count;
  if (compareQuantities(count.damaged, unloaded) > 0) {
    throw new EngineError('inconsistent', 'damaged', count.damaged, `only ${unloaded} came`);
  }
  const isShort = compareQuantities(unloaded, dispatched) < 0;
  return {
    good: subtractQuantities(unloaded, count.damaged),
    damaged: sumQuantities([count.damaged]),
    missing: isShort ? subtractQuantities(dispatched, unloaded) : '0',
    excess: isShort ? '0' : subtractQuantities(unloaded, dispatched),
  };
}
