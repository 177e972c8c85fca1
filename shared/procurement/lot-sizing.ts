import { EngineError, requireFinite, requireNotNegative } from '../errors.ts';

export interface LotSizingInput {
  /** One value a period, the first period first. */
  readonly demand: readonly number[];
  /** What an order in each period costs, one for all or one a period. */
  readonly orderCost: number | readonly number[];
  /** On a unit left at the end of each period, one for all or one a period. */
  readonly holdingCostPerUnit: number | readonly number[];
  /** To be there after the last period, asked for in the last period. */
  readonly endStock?: number | undefined;
}

export interface LotSizing {
  /** Least cost of the first t periods, t = 1 to T. */
  readonly leastCosts: readonly number[];
  readonly orders: readonly { readonly period: number; readonly quantity: number }[];
}

const perPeriod = (
  name: string,
  value: number | readonly number[],
  periodCount: number,
): number[] => {
  const list = typeof value === 'number' ? Array.from({ length: periodCount }, () => value) : value;
  if (list.length !== periodCount) {
    throw new EngineError('inconsistent', name, list.length, `must have ${periodCount} values`);
  }
  for (const [index, one] of list.entries()) requireNotNegative({ [`${name}[${index}]`]: one });
  return [...list];
};

/**
 * The dynamic lot size of one item without limits on an order: which periods to order in, and how
 * much, so that orders and stock together cost least.
 *
 *     F(t) = min_{1≤j≤t} { F(j−1) + s_j + Σ_{k=j+1..t} d_k · Σ_{m=j..k−1} h_m },  F(0) = 0
 *
 * @param input d = demand, s = orderCost, h = holdingCostPerUnit
 * @returns F(1..T) and the orders of the best plan; of equal plans the one with the latest orders
 * @throws {EngineError} `not-finite` or `out-of-range` for a negative value, `inconsistent` for a
 *   list of another length
 * @source wagner-whitin-1958
 */
export function wagnerWhitin(input: LotSizingInput): LotSizing {
  const demand = perPeriod('demand', input.demand, input.demand.length);
  const periodCount = demand.length;
  if (periodCount === 0) throw new EngineError('missing-data', 'demand', 0, 'must not be empty');
  const endStock = input.endStock ?? 0;
  requireNotNegative({ endStock });
  demand[periodCount - 1] = (demand[periodCount - 1] ?? 0) + endStock;
  const orderCost = perPeriod('orderCost', input.orderCost, periodCount);
  const holding = perPeriod('holdingCostPerUnit', input.holdingCostPerUnit, periodCount);

  const least = [0];
  const from = [0];
  for (let t = 1; t <= periodCount; t += 1) {
    // a period without demand needs no order
    let [best, bestFrom] =
      demand[t - 1] === 0 ? [least[t - 1] ?? 0, 0] : [Number.POSITIVE_INFINITY, 0];
    // the stock that demand j..t costs when it is ordered in j, built up from j = t backwards
    let carried = 0;
    let later = 0;
    for (let j = t; j >= 1; j -= 1) {
      carried += later * (holding[j - 1] ?? 0);
      later += demand[j - 1] ?? 0;
      const cost = (least[j - 1] ?? 0) + (orderCost[j - 1] ?? 0) + carried;
      if (cost < best) [best, bestFrom] = [cost, j];
    }
    least.push(best);
    from.push(bestFrom);
  }
  requireFinite({ leastCost: least.at(-1) ?? 0 });
  const orders: { period: number; quantity: number }[] = [];
  for (let t = periodCount; t > 0; ) {
    const j = from[t] ?? 0;
    if (j > 0) {
      const quantity = demand.slice(j - 1, t).reduce((sum, d) => sum + d, 0);
      orders.unshift({ period: j, quantity });
    }
    t = j > 0 ? j - 1 : t - 1;
  }
  return { leastCosts: least.slice(1), orders };
}

/** One way to buy: it arrives in one period and may serve until another, both from 1. */
export interface SupplyWay {
  readonly arrivesInPeriod: number;
  readonly lastPeriod: number;
  readonly orderCost: number;
  readonly unitCost: number;
}

export interface ServedStretch {
  /** Index of the way in the list given. */
  readonly way: number;
  readonly firstPeriod: number;
  readonly lastPeriod: number;
}

/**
 * The dynamic lot size with several suppliers, prices that change, periods without arrivals and a
 * shelf life, still without limits on an order: each way to buy serves one stretch of periods.
 *
 *     F(t) = min_{j≤t} { F(j−1) + min_w [ s_w + Σ_{k=j..t} d_k · (c_w + h·(k − a_w)) ] },
 *     w over the ways with a_w ≤ j and t ≤ last period of w
 *
 * Exact: of the ways that are used, each period is served by the one of least c − h·a that has
 * come and still keeps, and with one shelf life for all that choice never turns back to a way
 * that was passed over.
 *
 * @param demand d, one value a period
 * @param ways a = arrivesInPeriod, s = orderCost, c = unitCost
 * @param holdingCostPerUnit h, per unit and period
 * @returns least cost and the stretches served, or null when a demand can be served by no way
 * @source wagner-whitin-1958; order-plan-own
 */
export function lotSizeOverWays(
  demand: readonly number[],
  ways: readonly SupplyWay[],
  holdingCostPerUnit: number,
): { readonly cost: number; readonly stretches: readonly ServedStretch[] } | null {
  const periodCount = demand.length;
  const least = new Float64Array(periodCount + 1).fill(Number.POSITIVE_INFINITY);
  const choice = new Array<ServedStretch | null>(periodCount + 1).fill(null);
  least[0] = 0;
  // Σ d and Σ d·k up to each period, for the cost of a stretch in one step
  const [sum, moment] = [new Float64Array(periodCount + 1), new Float64Array(periodCount + 1)];
  for (let k = 1; k <= periodCount; k += 1) {
    const d = demand[k - 1] ?? 0;
    sum[k] = (sum[k - 1] ?? 0) + d;
    moment[k] = (moment[k - 1] ?? 0) + d * k;
  }
  for (let t = 1; t <= periodCount; t += 1) {
    if ((demand[t - 1] ?? 0) === 0) least[t] = least[t - 1] ?? 0;
    for (const [index, way] of ways.entries()) {
      const { arrivesInPeriod: a, lastPeriod, orderCost, unitCost } = way;
      if (a > t || lastPeriod < t) continue;
      for (let j = a; j <= t; j += 1) {
        const before = least[j - 1] ?? Number.POSITIVE_INFINITY;
        if (before === Number.POSITIVE_INFINITY) continue;
        const units = (sum[t] ?? 0) - (sum[j - 1] ?? 0);
        if (units === 0) continue;
        const periods = (moment[t] ?? 0) - (moment[j - 1] ?? 0) - a * units;
        const cost = before + orderCost + unitCost * units + holdingCostPerUnit * periods;
        if (cost < (least[t] ?? 0)) {
          least[t] = cost;
          choice[t] = { way: index, firstPeriod: j, lastPeriod: t };
        }
      }
    }
  }
  const cost = least[periodCount] ?? Number.POSITIVE_INFINITY;
  if (cost === Number.POSITIVE_INFINITY) return null;
  const stretches: ServedStretch[] = [];
  for (let t = periodCount; t > 0; ) {
    const stretch = choice[t] ?? null;
    if (stretch !== null) stretches.unshift(stretch);
    t = stretch === null ? t - 1 : stretch.firstPeriod - 1;
  }
  return { cost, stretches };
}
