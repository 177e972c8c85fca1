/** A quantity that may serve from one period to another, both from 1. */
export interface DatedSupply {
  readonly arrives: number;
  readonly lastPeriod: number;
  /** May be infinite. */
  readonly quantity: number;
}

export interface ServedDemand {
  /** What nothing covers, by period. */
  readonly uncovered: number[];
  /** What is taken of each supply, in the order given. */
  readonly taken: number[];
}

/**
 * Serves demands in the order of their periods, each from what has come and expires first.
 *
 * No other way covers more up to any period: of two supplies that could serve now, the one that
 * can wait longer is kept.
 *
 * @param demand one value a period
 * @source stock-practice; order-plan-own
 */
export function serveFirstExpiring(
  demand: readonly number[],
  supplies: readonly DatedSupply[],
): ServedDemand {
  const order = [...supplies.keys()].sort((a, b) => {
    const [one, two] = [supplies[a], supplies[b]];
    return (
      (one?.lastPeriod ?? 0) - (two?.lastPeriod ?? 0) || (one?.arrives ?? 0) - (two?.arrives ?? 0)
    );
  });
  const taken = supplies.map(() => 0);
  const uncovered = demand.map((need, index) => {
    const period = index + 1;
    let open = need;
    for (const at of order) {
      if (open <= 0) break;
      const supply = supplies[at];
      if (supply === undefined || supply.arrives > period || supply.lastPeriod < period) continue;
      const part = Math.min(open, supply.quantity - (taken[at] ?? 0));
      taken[at] = (taken[at] ?? 0) + part;
      open -= part;
    }
    return open;
  });
  return { uncovered, taken };
}
