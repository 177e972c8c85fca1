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
  const coming = [...supplies.keys()].sort(
    (a, b) => (supplies[a]?.arrives ?? 0) - (supplies[b]?.arrives ?? 0),
  );
  const taken = supplies.map(() => 0);
  // those that have come and hold something, what expires first in front
  const live: number[] = [];
  let next = 0;
  const uncovered = demand.map((need, index) => {
    const period = index + 1;
    for (; next < coming.length; next += 1) {
      const at = coming[next] ?? 0;
      const supply = supplies[at];
      if (supply === undefined || supply.arrives > period) break;
      if (supply.quantity <= 0) continue;
      const behind = live.findIndex(
        (other) => (supplies[other]?.lastPeriod ?? 0) > supply.lastPeriod,
      );
      live.splice(behind < 0 ? live.length : behind, 0, at);
    }
    let open = need;
    while (live.length > 0) {
      const at = live[0] ?? 0;
      const { quantity = 0, lastPeriod = 0 } = supplies[at] ?? {};
      if (lastPeriod >= period) {
        if (open <= 0) break;
        const part = Math.min(open, quantity - (taken[at] ?? 0));
        taken[at] = (taken[at] ?? 0) + part;
        open -= part;
        if ((taken[at] ?? 0) < quantity) continue;
      }
      live.shift();
    }
    return open;
  });
  return { uncovered, taken };
}
