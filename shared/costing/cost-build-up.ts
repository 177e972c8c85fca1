import {
  EngineError,
  requireFinite,
  requireNotNegative,
  requirePositive,
  requireWithin,
} from '../errors.ts';
import { lifeCycleCost } from './life-cycle.ts';

export const COST_KINDS = ['material', 'labour', 'transport', 'equipment', 'other'] as const;
export type CostKind = (typeof COST_KINDS)[number];

export interface CostLine {
  readonly code: string;
  readonly kind: CostKind;
  /** Net, in place. */
  readonly quantity: number;
  readonly wasteRatio: number;
  readonly unitPrice: number;
  /** Code of the exchange rate that turns the price into the money of the result; none: it is in it. */
  readonly exchangeCode?: string | undefined;
}

export interface ExchangeRate {
  readonly code: string;
  /** Money of the result for one of the foreign money. */
  readonly rate: number;
}

export interface LifeCycleTerms {
  readonly serviceLifeYears: number;
  /** Real with constant prices or nominal with escalated ones, never mixed. */
  readonly yearlyRateRatio: number;
  readonly yearlyMaintenance: number;
  readonly litresPerYear: number;
  readonly majorCosts: readonly { readonly year: number; readonly cost: number }[];
}

/** What one tank costs, from its lines up. All money but foreign prices is of one currency. */
export interface CostBuildUp {
  readonly lines: readonly CostLine[];
  readonly exchangeRates?: readonly ExchangeRate[] | undefined;
  /** Multiplies the prices of all lines of labour; 1 unless given. */
  readonly labourRateFactor?: number | undefined;
  readonly contingencyRatio: number;
  readonly capacityL: number;
  /** Share of the capacity between tap and overflow that can be used. */
  readonly usableRatio: number;
  readonly lifeCycle?: LifeCycleTerms | undefined;
}

export interface BuiltUpCost {
  readonly capitalCost: number;
  readonly costPerUsableL: number;
  readonly lifeCycle: {
    readonly presentValue: number;
    readonly annualised: number;
    readonly costPerDeliveredL: number;
  } | null;
}

/**
 * What multiplies quantity · (1 + waste) · price of a line: exchange rate and labour factor.
 *
 * @throws {EngineError} `missing-data` for a price in money without a rate
 * @source cost-build-up
 */
export function priceMultiplier(buildUp: CostBuildUp, line: CostLine): number {
  const labour = line.kind === 'labour' ? (buildUp.labourRateFactor ?? 1) : 1;
  if (line.exchangeCode === undefined) return labour;
  const found = buildUp.exchangeRates?.find(({ code }) => code === line.exchangeCode);
  if (found === undefined) {
    const limit = `line ${line.code} needs the rate of ${line.exchangeCode}`;
    throw new EngineError('missing-data', 'exchangeRates', line.exchangeCode, limit);
  }
  return labour * found.rate;
}

function requireDistinct(parameter: string, codes: readonly string[]): void {
  const seen = new Set<string>();
  for (const [index, code] of codes.entries()) {
    if (seen.has(code)) {
      throw new EngineError('inconsistent', `${parameter}[${index}].code`, code, 'occurs twice');
    }
    seen.add(code);
  }
}

function requireBuildUp(buildUp: CostBuildUp): void {
  const { lines, exchangeRates = [], labourRateFactor = 1, contingencyRatio } = buildUp;
  if (lines.length === 0) {
    throw new EngineError('missing-data', 'lines', 0, 'must have at least one line');
  }
  requireDistinct(
    'lines',
    lines.map(({ code }) => code),
  );
  requireDistinct(
    'exchangeRates',
    exchangeRates.map(({ code }) => code),
  );
  for (const [index, { quantity, wasteRatio, unitPrice }] of lines.entries()) {
    requireNotNegative({
      [`lines[${index}].quantity`]: quantity,
      [`lines[${index}].wasteRatio`]: wasteRatio,
      [`lines[${index}].unitPrice`]: unitPrice,
    });
  }
  for (const [index, { rate }] of exchangeRates.entries()) {
    requirePositive({ [`exchangeRates[${index}].rate`]: rate });
  }
  requireNotNegative({ labourRateFactor, contingencyRatio });
  requirePositive({ capacityL: buildUp.capacityL, usableRatio: buildUp.usableRatio });
  requireWithin('usableRatio', buildUp.usableRatio, 0, 1);
  if (buildUp.lifeCycle !== undefined) requireLifeCycle(buildUp.lifeCycle);
}

function requireLifeCycle(terms: LifeCycleTerms): void {
  const { serviceLifeYears, majorCosts } = terms;
  requirePositive({ 'lifeCycle.litresPerYear': terms.litresPerYear });
  requireNotNegative({
    'lifeCycle.yearlyRateRatio': terms.yearlyRateRatio,
    'lifeCycle.yearlyMaintenance': terms.yearlyMaintenance,
  });
  requireWithin('lifeCycle.serviceLifeYears', serviceLifeYears, 1, 200);
  for (const [index, { year, cost }] of majorCosts.entries()) {
    const place = `lifeCycle.majorCosts[${index}]`;
    requireWithin(`${place}.year`, year, 0, serviceLifeYears);
    requireNotNegative({ [`${place}.cost`]: cost });
  }
}

/**
 * Cost of one tank, per litre of usable capacity and, over its life, per litre delivered.
 *
 *   K = (1 + c) · Σ q·(1 + w)·p·e,   K / (V·f),   (PV · CRF) / W with PV = K + maintenance + repairs
 *
 * What is delivered in a year is taken as given, apart from the capacity.
 *
 * @param buildUp q quantity, w wasteRatio, p unitPrice, e exchange rate and labour factor,
 *   c contingencyRatio, V capacityL, f usableRatio, W litresPerYear
 * @returns money of the inputs, not rounded; `lifeCycle` null where its terms are not given
 * @throws {EngineError} naming the field
 * @source cost-build-up; irc-life-cycle; unit-cost-practice
 */
export function builtUpCost(buildUp: CostBuildUp): BuiltUpCost {
  requireBuildUp(buildUp);
  const { lines, contingencyRatio, capacityL, usableRatio, lifeCycle } = buildUp;
  const base = lines.reduce(
    (sum, line) =>
      sum + line.quantity * (1 + line.wasteRatio) * line.unitPrice * priceMultiplier(buildUp, line),
    0,
  );
  const capitalCost = (1 + contingencyRatio) * base;
  requireFinite({ lines: capitalCost });
  const costPerUsableL = capitalCost / (capacityL * usableRatio);
  if (lifeCycle === undefined) return { capitalCost, costPerUsableL, lifeCycle: null };
  const { serviceLifeYears, yearlyRateRatio, yearlyMaintenance, litresPerYear } = lifeCycle;
  const { presentValue, annualised } = lifeCycleCost({
    capitalCost,
    yearlyOperatingCost: yearlyMaintenance,
    majorCosts: lifeCycle.majorCosts,
    years: serviceLifeYears,
    yearlyRateRatio,
  });
  const costPerDeliveredL = annualised / litresPerYear;
  return {
    capitalCost,
    costPerUsableL,
    lifeCycle: { presentValue, annualised, costPerDeliveredL },
  };
}
