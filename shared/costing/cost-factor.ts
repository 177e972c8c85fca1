import {
  EngineError,
  requireFinite,
  requireNotNegative,
  requirePositive,
  requireWithin,
} from '../errors.ts';
import type { CostBuildUp, LifeCycleTerms } from './cost-build-up.ts';

/** In the order in which factors of equal swing are ranked. */
export const COST_FACTOR_KINDS = [
  'unit-price',
  'waste-ratio',
  'labour-rate',
  'exchange-rate',
  'contingency-ratio',
  'capacity',
  'usable-ratio',
  'service-life',
  'discount-rate',
  'maintenance',
  'major-cost',
  'litres-per-year',
] as const;
export type CostFactorKind = (typeof COST_FACTOR_KINDS)[number];

/** One price or assumption of a build-up. */
export interface CostFactor {
  readonly kind: CostFactorKind;
  /** Of a line, of an exchange rate, or the year of a major cost; null where there is only one. */
  readonly code: string | null;
  readonly base: number;
}

/** How far a factor may lie from its base, in its own unit; both ends by the range ratio unless given. */
export interface CostFactorRange {
  readonly kind: CostFactorKind;
  readonly code?: string | null | undefined;
  readonly low?: number | undefined;
  readonly high?: number | undefined;
  /** Spread for the shares of the variance. */
  readonly standardDeviation?: number | undefined;
}

export interface RangedFactor extends CostFactor {
  readonly low: number;
  readonly high: number;
  readonly standardDeviation: number | null;
}

/**
 * Every factor of a build-up with its base: prices and waste line by line, then the assumptions.
 * Major costs of one year are one factor.
 *
 * @source one-at-a-time
 */
export function costFactors(buildUp: CostBuildUp): CostFactor[] {
  const { lines, exchangeRates = [], labourRateFactor = 1, lifeCycle } = buildUp;
  const usedRates = new Set(lines.map(({ exchangeCode }) => exchangeCode));
  const single = (kind: CostFactorKind, base: number): CostFactor => ({ kind, code: null, base });
  return [
    ...lines.map(({ code, unitPrice }) => ({ kind: 'unit-price' as const, code, base: unitPrice })),
    ...lines.map(({ code, wasteRatio }) => ({
      kind: 'waste-ratio' as const,
      code,
      base: wasteRatio,
    })),
    ...(lines.some(({ kind }) => kind === 'labour')
      ? [single('labour-rate', labourRateFactor)]
      : []),
    ...exchangeRates
      .filter(({ code }) => usedRates.has(code))
      .map(({ code, rate }) => ({ kind: 'exchange-rate' as const, code, base: rate })),
    single('contingency-ratio', buildUp.contingencyRatio),
    single('capacity', buildUp.capacityL),
    single('usable-ratio', buildUp.usableRatio),
    ...(lifeCycle === undefined ? [] : lifeCycleFactors(lifeCycle, single)),
  ];
}

function lifeCycleFactors(
  terms: LifeCycleTerms,
  single: (kind: CostFactorKind, base: number) => CostFactor,
): CostFactor[] {
  const costByYear = new Map<number, number>();
  for (const { year, cost } of terms.majorCosts) {
    costByYear.set(year, (costByYear.get(year) ?? 0) + cost);
  }
  return [
    single('service-life', terms.serviceLifeYears),
    single('discount-rate', terms.yearlyRateRatio),
    single('maintenance', terms.yearlyMaintenance),
    ...[...costByYear].map(([year, cost]) => ({
      kind: 'major-cost' as const,
      code: String(year),
      base: cost,
    })),
    single('litres-per-year', terms.litresPerYear),
  ];
}

/**
 * The build-up with one factor at another value. A shorter life leaves out what falls due after it.
 *
 * @source one-at-a-time
 */
export function withFactor(
  buildUp: CostBuildUp,
  { kind, code }: Pick<CostFactor, 'kind' | 'code'>,
  value: number,
): CostBuildUp {
  const inLines = (field: 'unitPrice' | 'wasteRatio'): CostBuildUp => ({
    ...buildUp,
    lines: buildUp.lines.map((line) => (line.code === code ? { ...line, [field]: value } : line)),
  });
  const inLifeCycle = (change: Partial<LifeCycleTerms>): CostBuildUp =>
    buildUp.lifeCycle === undefined
      ? buildUp
      : { ...buildUp, lifeCycle: { ...buildUp.lifeCycle, ...change } };
  switch (kind) {
    case 'unit-price':
      return inLines('unitPrice');
    case 'waste-ratio':
      return inLines('wasteRatio');
    case 'labour-rate':
      return { ...buildUp, labourRateFactor: value };
    case 'exchange-rate':
      return {
        ...buildUp,
        exchangeRates: (buildUp.exchangeRates ?? []).map((one) =>
          one.code === code ? { ...one, rate: value } : one,
        ),
      };
    case 'contingency-ratio':
      return { ...buildUp, contingencyRatio: value };
    case 'capacity':
      return { ...buildUp, capacityL: value };
    case 'usable-ratio':
      return { ...buildUp, usableRatio: value };
    case 'service-life': {
      const kept = buildUp.lifeCycle?.majorCosts.filter(({ year }) => year <= value);
      return inLifeCycle({ serviceLifeYears: value, majorCosts: kept ?? [] });
    }
    case 'discount-rate':
      return inLifeCycle({ yearlyRateRatio: value });
    case 'maintenance':
      return inLifeCycle({ yearlyMaintenance: value });
    case 'major-cost': {
      const others = buildUp.lifeCycle?.majorCosts.filter(({ year }) => String(year) !== code);
      return inLifeCycle({ majorCosts: [...(others ?? []), { year: Number(code), cost: value }] });
    }
    case 'litres-per-year':
      return inLifeCycle({ litresPerYear: value });
  }
}

const OPEN_AT_ZERO: readonly CostFactorKind[] = [
  'exchange-rate',
  'capacity',
  'usable-ratio',
  'service-life',
  'litres-per-year',
];

/**
 * A factor between its low and high value: those given, else base · (1 ∓ r). A share of the capacity
 * ends at 1, a life is in whole years from 1 to 200.
 *
 * @param place what errors call the range
 * @throws {EngineError} `inconsistent` when low, base and high are not in order; `out-of-range` for an
 *   end that the factor cannot have
 * @source one-at-a-time
 */
export function rangedFactor(
  factor: CostFactor,
  range: CostFactorRange | undefined,
  rangeRatio: number,
  place = 'range',
): RangedFactor {
  const { kind, base } = factor;
  const isLife = kind === 'service-life';
  const most = kind === 'usable-ratio' ? 1 : isLife ? 200 : Number.POSITIVE_INFINITY;
  const whole = (value: number) => (isLife ? Math.max(1, Math.round(value)) : value);
  const low = range?.low ?? whole(base * (1 - rangeRatio));
  const high = range?.high ?? Math.min(most, whole(base * (1 + rangeRatio)));
  const standardDeviation = range?.standardDeviation ?? null;
  requireFinite({ [`${place}.low`]: low, [`${place}.high`]: high });
  if (OPEN_AT_ZERO.includes(kind)) requirePositive({ [`${place}.low`]: low });
  requireNotNegative({ [`${place}.low`]: low });
  requireWithin(`${place}.high`, high, 0, most);
  for (const [end, value] of Object.entries({ low, high })) {
    if (!isLife || Number.isInteger(value)) continue;
    throw new EngineError('out-of-range', `${place}.${end}`, value, 'must be in whole years');
  }
  if (low > base) {
    throw new EngineError('inconsistent', `${place}.low`, low, `must not exceed the base, ${base}`);
  }
  if (high < base) {
    const limit = `must not be below the base, ${base}`;
    throw new EngineError('inconsistent', `${place}.high`, high, limit);
  }
  requireNotNegative({ [`${place}.standardDeviation`]: standardDeviation ?? 0 });
  return { ...factor, low, high, standardDeviation };
}
