import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

export interface UnitPriceBreak {
  readonly fromQuantity: number;
  readonly unitCost: number;
}

export interface DiscountInput {
  readonly demandPerYear: number;
  readonly orderCost: number;
  /** Cost of holding, of the value held, per year; 0.2 for 20 %. */
  readonly holdingRatePerYear: number;
  /** Below the first break. */
  readonly unitCost: number;
  /** In rising order of quantity, with falling prices. */
  readonly priceBreaks?: readonly UnitPriceBreak[] | undefined;
  readonly breakRule: 'all-units' | 'incremental';
}

export interface DiscountCandidate {
  readonly fromQuantity: number;
  readonly unitCost: number;
  /** Economic order quantity at the price of this bracket. */
  readonly economicQuantity: number;
  /** The economic quantity lies in its own bracket. */
  readonly isRealisable: boolean;
  /** What would be ordered in this bracket; null when another bracket serves better for certain. */
  readonly quantity: number | null;
  /** Of `quantity`; where that is null, of the economic quantity at the price that it really has. */
  readonly yearlyCost: number;
}

export interface DiscountChoice {
  readonly quantity: number;
  readonly yearlyCost: number;
  readonly candidates: readonly DiscountCandidate[];
}

/**
 * Economic order quantity at a steady demand: Q = √(2·K·λ / (I·c)).
 *
 * @param demandPerYear λ
 * @param orderCost K
 * @param holdingCostPerUnitYear I·c, above 0
 * @throws {EngineError} `not-finite` or `out-of-range`
 * @source harris-1913
 */
export function economicOrderQuantity(
  demandPerYear: number,
  orderCost: number,
  holdingCostPerUnitYear: number,
): number {
  requireNotNegative({ demandPerYear, orderCost });
  requirePositive({ holdingCostPerUnitYear });
  return Math.sqrt((2 * orderCost * demandPerYear) / holdingCostPerUnitYear);
}

interface Bracket {
  readonly from: number;
  readonly below: number;
  readonly unitCost: number;
  /** R: what `from` units cost under the incremental rule. */
  readonly costAtFrom: number;
}

function bracketsOf(input: DiscountInput): Bracket[] {
  const steps = [{ fromQuantity: 0, unitCost: input.unitCost }, ...(input.priceBreaks ?? [])];
  let costAtFrom = 0;
  return steps.map(({ fromQuantity: from, unitCost }, index) => {
    const before = steps[index - 1];
    if (before !== undefined) {
      const at = `priceBreaks[${index - 1}]`;
      requirePositive({ [`${at}.fromQuantity`]: from, [`${at}.unitCost`]: unitCost });
      if (from <= before.fromQuantity) {
        const limit = `must be above ${before.fromQuantity}`;
        throw new EngineError('inconsistent', `${at}.fromQuantity`, from, limit);
      }
      if (unitCost >= before.unitCost) {
        const limit = `must be below ${before.unitCost}`;
        throw new EngineError('inconsistent', `${at}.unitCost`, unitCost, limit);
      }
      costAtFrom += before.unitCost * (from - before.fromQuantity);
    }
    const below = steps[index + 1]?.fromQuantity ?? Number.POSITIVE_INFINITY;
    return { from, below, unitCost, costAtFrom };
  });
}

function goodsCost(brackets: readonly Bracket[], quantity: number, isIncremental: boolean): number {
  const reached = brackets.filter(({ from }) => from <= quantity).at(-1);
  if (reached === undefined) return 0;
  const { from, unitCost, costAtFrom } = reached;
  return isIncremental ? costAtFrom + unitCost * (quantity - from) : unitCost * quantity;
}

/**
 * The order quantity of least yearly cost at a steady demand under price breaks.
 *
 * All-units: the price of the bracket reached holds for every unit; best is an economic quantity
 * in its own bracket or a break point. Incremental: the lower price holds above the break only,
 * C(Q) = R_j + c_j·(Q − b_j), with Q_j = √(2λ·(K + R_j − c_j·b_j) / (I·c_j)); best is an economic
 * quantity in its own bracket, never a break point. Yearly cost λ·C(Q)/Q + K·λ/Q + I·(C(Q)/Q)·Q/2.
 *
 * @param input λ = demandPerYear, K = orderCost, I = holdingRatePerYear, c = unitCost
 * @throws {EngineError} `not-finite`, `out-of-range`, `inconsistent` for breaks that do not rise or
 *   prices that do not fall
 * @source quantity-discounts
 */
export function bestDiscountQuantity(input: DiscountInput): DiscountChoice {
  const { demandPerYear, orderCost, holdingRatePerYear, unitCost, breakRule } = input;
  requirePositive({ demandPerYear, orderCost, holdingRatePerYear, unitCost });
  const isIncremental = breakRule === 'incremental';
  const brackets = bracketsOf(input);
  const candidates = brackets.map((bracket): DiscountCandidate => {
    const { from, below, unitCost: c, costAtFrom } = bracket;
    const fixed = isIncremental ? costAtFrom - c * from : 0;
    const economicQuantity = economicOrderQuantity(
      demandPerYear,
      orderCost + fixed,
      holdingRatePerYear * c,
    );
    const isRealisable = economicQuantity >= from && economicQuantity < below;
    const atBreak = !isIncremental && economicQuantity < from ? from : null;
    const quantity = isRealisable ? economicQuantity : atBreak;
    const q = quantity ?? economicQuantity;
    const goods = goodsCost(brackets, q, isIncremental);
    const yearlyCost =
      (demandPerYear * goods) / q +
      (orderCost * demandPerYear) / q +
      (holdingRatePerYear * goods) / 2;
    return {
      fromQuantity: from,
      unitCost: c,
      economicQuantity,
      isRealisable,
      quantity,
      yearlyCost,
    };
  });
  let best: { quantity: number; yearlyCost: number } | null = null;
  for (const { quantity, yearlyCost } of candidates) {
    if (quantity === null) continue;
    if (best === null || yearlyCost < best.yearlyCost) best = { quantity, yearlyCost };
  }
  if (best === null || !Number.isFinite(best.yearlyCost)) {
    throw new EngineError(
      'out-of-range',
      'demandPerYear',
      demandPerYear,
      'has no finite best order',
    );
  }
  return { ...best, candidates };
}
