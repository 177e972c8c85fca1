import { EngineError, requireFinite, requireNotNegative, requirePositive } from '../errors.ts';

/**
 * A price carried forward at a yearly growth: C·(1 + g)^t, t in years.
 *
 * @param input C = price, g = yearlyGrowthRatio (above −1), t = years
 * @returns price in the same money, not rounded
 * @throws {EngineError} `out-of-range` when the growth is −1 or less, or a value is negative
 * @source compound-growth
 */
export function escalatedPrice(input: {
  readonly price: number;
  readonly yearlyGrowthRatio: number;
  readonly years: number;
}): number {
  const { price, yearlyGrowthRatio, years } = input;
  requireFinite({ yearlyGrowthRatio });
  requireNotNegative({ price, years });
  requirePositive({ 'yearlyGrowthRatio + 1': 1 + yearlyGrowthRatio });
  return price * (1 + yearlyGrowthRatio) ** years;
}

export interface PriceAdjustmentTerm {
  /** Share of the price that follows this index. */
  readonly coefficient: number;
  readonly baseIndex: number;
  readonly currentIndex: number;
}

/** How far the coefficients may add up from 1 before they are refused. Ours. */
const COEFFICIENT_SUM_TOLERANCE = 1e-9;

/**
 * Factor by which a contract price moves with published indices.
 *
 *   Pn = a + b·Ln/Lo + c·En/Eo + d·Mn/Mo + …,   a + b + c + d + … = 1
 *
 * @param fixedCoefficient a, the part that never moves
 * @throws {EngineError} `inconsistent` when the coefficients do not add up to 1, `out-of-range` for
 *   a negative coefficient or an index that is not above 0
 * @source fidic-13-8
 */
export function priceAdjustmentFactor(
  fixedCoefficient: number,
  terms: readonly PriceAdjustmentTerm[],
): number {
  requireNotNegative({ fixedCoefficient });
  let sum = fixedCoefficient;
  let factor = fixedCoefficient;
  for (const [index, { coefficient, baseIndex, currentIndex }] of terms.entries()) {
    requireNotNegative({ [`terms[${index}].coefficient`]: coefficient });
    requirePositive({
      [`terms[${index}].baseIndex`]: baseIndex,
      [`terms[${index}].currentIndex`]: currentIndex,
    });
    sum += coefficient;
    factor += (coefficient * currentIndex) / baseIndex;
  }
  if (Math.abs(sum - 1) > COEFFICIENT_SUM_TOLERANCE) {
    throw new EngineError('inconsistent', 'coefficients', sum, 'must add up to 1');
  }
  return factor;
}
