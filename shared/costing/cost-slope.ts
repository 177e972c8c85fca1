import { builtUpCost, type CostBuildUp, priceMultiplier } from './cost-build-up.ts';
import type { CostFactor } from './cost-factor.ts';
import { capitalRecoveryFactor } from './life-cycle.ts';

/** Change of a cost per litre with one factor, money per litre and unit of the factor. */
export interface CostSlopes {
  readonly costPerUsableL: number;
  /** Null without life-cycle terms, and for a life in whole years, which has no slope. */
  readonly costPerDeliveredL: number | null;
}

/** Below this rate the slope of the recovery factor is taken from its series about 0. */
const SMALL_RATE = 1e-6;

/**
 * Slope of the capital recovery factor with the rate, d/di of i/(1 − vⁿ) with v = 1/(1 + i):
 *
 *   CRF/i · (1 − n·CRF·vⁿ⁺¹),   (n + 1)/2n + i·(n² − 1)/6n about 0
 *
 * @source compound-growth
 */
export function capitalRecoverySlope(yearlyRateRatio: number, years: number): number {
  const i = yearlyRateRatio;
  const n = years;
  const factor = capitalRecoveryFactor(i, n);
  if (i < SMALL_RATE) return (n + 1) / (2 * n) + (i * (n * n - 1)) / (6 * n);
  return (factor / i) * (1 - n * factor * Math.exp(-(n + 1) * Math.log1p(i)));
}

/** dK/dx of the capital cost; 0 for a factor that does not enter it. */
function capitalSlope(buildUp: CostBuildUp, { kind, code }: CostFactor): number {
  const withContingency = 1 + buildUp.contingencyRatio;
  const sumOver = (term: (index: number) => number) =>
    buildUp.lines.reduce((sum, _, index) => sum + term(index), 0);
  const amountOf = (index: number) => {
    const line = buildUp.lines[index];
    if (line === undefined) return 0;
    const { quantity, wasteRatio, unitPrice } = line;
    return quantity * (1 + wasteRatio) * unitPrice * priceMultiplier(buildUp, line);
  };
  const line = buildUp.lines.find((one) => one.code === code);
  switch (kind) {
    case 'unit-price':
      if (line === undefined) return 0;
      return (
        withContingency * line.quantity * (1 + line.wasteRatio) * priceMultiplier(buildUp, line)
      );
    case 'waste-ratio':
      if (line === undefined) return 0;
      return withContingency * line.quantity * line.unitPrice * priceMultiplier(buildUp, line);
    case 'labour-rate': {
      const atOne = { ...buildUp, labourRateFactor: 1 };
      return (
        withContingency *
        buildUp.lines
          .filter((one) => one.kind === 'labour')
          .reduce(
            (sum, one) =>
              sum +
              one.quantity * (1 + one.wasteRatio) * one.unitPrice * priceMultiplier(atOne, one),
            0,
          )
      );
    }
    case 'exchange-rate': {
      const rate = buildUp.exchangeRates?.find((one) => one.code === code)?.rate ?? 1;
      const foreign = sumOver((index) =>
        buildUp.lines[index]?.exchangeCode === code ? amountOf(index) : 0,
      );
      return (withContingency * foreign) / rate;
    }
    case 'contingency-ratio':
      return sumOver(amountOf);
    default:
      return 0;
  }
}

/**
 * Exact slopes of both costs per litre with one factor, all others held.
 *
 * @throws {EngineError} as `builtUpCost`
 * @source cost-build-up differentiated; compound-growth
 */
export function costSlopes(buildUp: CostBuildUp, factor: CostFactor): CostSlopes {
  const { capacityL, usableRatio, lifeCycle: terms } = buildUp;
  const { costPerUsableL, lifeCycle } = builtUpCost(buildUp);
  const capital = capitalSlope(buildUp, factor);
  const perUsableL =
    factor.kind === 'capacity'
      ? -costPerUsableL / capacityL
      : factor.kind === 'usable-ratio'
        ? -costPerUsableL / usableRatio
        : capital / (capacityL * usableRatio);
  if (terms === undefined || lifeCycle === null || factor.kind === 'service-life') {
    return { costPerUsableL: perUsableL, costPerDeliveredL: null };
  }
  const { yearlyRateRatio: i, serviceLifeYears: n, litresPerYear, majorCosts } = terms;
  const recovery = capitalRecoveryFactor(i, n);
  const annual = (): number => {
    switch (factor.kind) {
      case 'maintenance':
        return 1;
      case 'major-cost':
        return recovery * (1 + i) ** -Number(factor.code);
      case 'litres-per-year':
        return -lifeCycle.annualised / litresPerYear;
      case 'discount-rate': {
        let slope = 0;
        for (let year = 1; year <= n; year += 1) {
          slope -= (year * terms.yearlyMaintenance) / (1 + i) ** (year + 1);
        }
        for (const { year, cost } of majorCosts) slope -= (year * cost) / (1 + i) ** (year + 1);
        return slope * recovery + lifeCycle.presentValue * capitalRecoverySlope(i, n);
      }
      default:
        return capital * recovery;
    }
  };
  return { costPerUsableL: perUsableL, costPerDeliveredL: annual() / litresPerYear };
}
