import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

function requireYears(parameter: string, value: number, least: number): void {
  if (!Number.isSafeInteger(value) || value < least || value > 200) {
    throw new EngineError(
      'out-of-range',
      parameter,
      value,
      `must be a whole number from ${least} to 200`,
    );
  }
}

/**
 * Yearly payment that recovers a sum of 1 over n years: CRF = i(1 + i)ⁿ/((1 + i)ⁿ − 1), 1/n at no
 * interest.
 *
 * @param yearlyRateRatio i, real with constant prices or nominal with escalated ones, never mixed
 * @throws {EngineError} `out-of-range` for a negative rate or years outside 1 to 200
 * @source compound-growth
 */
export function capitalRecoveryFactor(yearlyRateRatio: number, years: number): number {
  requireNotNegative({ yearlyRateRatio });
  requireYears('years', years, 1);
  if (yearlyRateRatio === 0) return 1 / years;
  // expm1 keeps the digits of small rates, where (1 + i)ⁿ − 1 would lose them
  return yearlyRateRatio / -Math.expm1(-years * Math.log1p(yearlyRateRatio));
}

export interface LifeCycleInput {
  readonly capitalCost: number;
  readonly yearlyOperatingCost: number;
  /** Repairs and replacements, each at the end of its year. */
  readonly majorCosts: readonly { readonly year: number; readonly cost: number }[];
  readonly years: number;
  readonly yearlyRateRatio: number;
}

export interface LifeCycleCost {
  readonly presentValue: number;
  readonly annualised: number;
}

/**
 * Present value and annualised cost of a tank over its life.
 *
 *   PV = CapEx + Σ C_t/(1 + i)^t,   annualised = PV · CRF
 *
 * Operating cost falls due at the end of years 1 to n.
 *
 * @returns both in the money of the inputs, not rounded
 * @throws {EngineError} `out-of-range` for a negative cost or rate, or a year outside the life
 * @source irc-life-cycle
 */
export function lifeCycleCost(input: LifeCycleInput): LifeCycleCost {
  const { capitalCost, yearlyOperatingCost, majorCosts, years, yearlyRateRatio } = input;
  requireNotNegative({ capitalCost, yearlyOperatingCost, yearlyRateRatio });
  requireYears('years', years, 1);
  let presentValue = capitalCost;
  for (let year = 1; year <= years; year += 1) {
    presentValue += yearlyOperatingCost / (1 + yearlyRateRatio) ** year;
  }
  for (const [index, { year, cost }] of majorCosts.entries()) {
    requireYears(`majorCosts[${index}].year`, year, 0);
    requireNotNegative({ [`majorCosts[${index}].cost`]: cost });
    if (year > years) {
      throw new EngineError('out-of-range', `majorCosts[${index}].year`, year, `life is ${years}`);
    }
    presentValue += cost / (1 + yearlyRateRatio) ** year;
  }
  return { presentValue, annualised: presentValue * capitalRecoveryFactor(yearlyRateRatio, years) };
}

export interface UnitCosts {
  readonly costPerTank: number;
  /** Per litre of usable capacity, not of the gross volume. */
  readonly costPerUsableL: number;
  readonly costPerPerson: number | null;
}

/**
 * Cost per tank, per litre of usable capacity and per person served; null per person when nobody is
 * counted yet. State beside it whether the cost is cash only, with in-kind or with overheads.
 *
 * @source unit-cost-practice
 */
export function unitCosts(input: {
  readonly totalCost: number;
  readonly tankCount: number;
  readonly usableCapacityL: number;
  readonly personsServed: number;
}): UnitCosts {
  const { totalCost, tankCount, usableCapacityL, personsServed } = input;
  requireNotNegative({ totalCost, personsServed });
  requirePositive({ tankCount, usableCapacityL });
  return {
    costPerTank: totalCost / tankCount,
    costPerUsableL: totalCost / usableCapacityL,
    costPerPerson: personsServed === 0 ? null : totalCost / personsServed,
  };
}
