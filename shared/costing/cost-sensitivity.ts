import { EngineError, requireWithin } from '../errors.ts';
import { type BuiltUpCost, builtUpCost, type CostBuildUp } from './cost-build-up.ts';
import {
  COST_FACTOR_KINDS,
  type CostFactor,
  type CostFactorKind,
  type CostFactorRange,
  costFactors,
  type RangedFactor,
  rangedFactor,
  withFactor,
} from './cost-factor.ts';
import { costSlopes } from './cost-slope.ts';

/** Largest share by which factors vary unless a range is given. */
export const MAX_RANGE_RATIO = 0.9;
export const DEFAULT_RANGE_RATIO = 0.1;
/** Least cost of a tank of which shares are taken; less is no price in any currency. Ours. */
const LEAST_COST = 1e-12;

export interface CostSensitivityInput {
  readonly buildUp: CostBuildUp;
  /** Share of its base by which a factor without a range goes down and up; 0.1 unless given. */
  readonly rangeRatio?: number | undefined;
  readonly ranges?: readonly CostFactorRange[] | undefined;
  /** Factors that are looked at; all unless given. */
  readonly kinds?: readonly CostFactorKind[] | undefined;
}

/** One cost per litre against one factor, with all others at their base. */
export interface FactorEffect {
  readonly atLow: number;
  readonly atHigh: number;
  /** Greatest minus least of the costs at low, base and high. */
  readonly swing: number;
  readonly swingRatio: number;
  /** 1 is the greatest swing. */
  readonly rank: number;
  /** Relative change of the cost for a relative change of the factor, at base; null for whole years. */
  readonly elasticity: number | null;
  /** Of the variance to first order with independent factors; null when no spread is given. */
  readonly varianceShareRatio: number | null;
}

export interface FactorSensitivity extends RangedFactor {
  readonly costPerUsableL: FactorEffect;
  readonly costPerDeliveredL: FactorEffect | null;
}

export interface CostSensitivity {
  readonly base: BuiltUpCost;
  /** By rank of the cost per litre of usable capacity. */
  readonly factors: readonly FactorSensitivity[];
}

interface Tried {
  readonly factor: RangedFactor;
  readonly atLow: number;
  readonly atHigh: number;
  readonly slope: number | null;
}

/** Digits to which swings are told apart; beyond them the order of the kinds and lines decides. */
const RANKED_DIGITS = 12;

function effectsOf(base: number, tried: readonly Tried[]): FactorEffect[] {
  const swings = tried.map(
    ({ atLow, atHigh }) => Math.max(atLow, base, atHigh) - Math.min(atLow, base, atHigh),
  );
  const compared = swings.map((swing) => Number((swing / base).toPrecision(RANKED_DIGITS)));
  const order = tried
    .map((_, index) => index)
    .sort((a, b) => (compared[b] ?? 0) - (compared[a] ?? 0) || a - b);
  const rankOf = new Map(order.map((index, position) => [index, position + 1]));
  const hasSpread = tried.some(({ factor }) => factor.standardDeviation !== null);
  const deviations = tried.map(({ factor, atLow, atHigh, slope }) => {
    const width = factor.high - factor.low;
    const secant = width > 0 ? (atHigh - atLow) / width : 0;
    return Math.abs((slope ?? secant) * (factor.standardDeviation ?? 0)) / base;
  });
  // scaled by the greatest, so that squares neither vanish nor overflow
  const greatest = Math.max(...deviations);
  const squares = deviations.map((deviation) => (greatest > 0 ? (deviation / greatest) ** 2 : 0));
  const total = squares.reduce((a, b) => a + b, 0);
  return tried.map(({ factor, atLow, atHigh, slope }, index) => ({
    atLow,
    atHigh,
    swing: swings[index] ?? 0,
    swingRatio: (swings[index] ?? 0) / base,
    rank: rankOf.get(index) ?? 0,
    elasticity: slope === null ? null : (slope * factor.base) / base,
    varianceShareRatio: hasSpread && total > 0 ? (squares[index] ?? 0) / total : null,
  }));
}

function rangesByFactor(factors: readonly CostFactor[], ranges: readonly CostFactorRange[]) {
  const keyOf = (kind: CostFactorKind, code: string | null | undefined) =>
    JSON.stringify([kind, code ?? null]);
  const known = new Set(factors.map(({ kind, code }) => keyOf(kind, code)));
  const rangeByKey = new Map<string, { range: CostFactorRange; place: string }>();
  for (const [index, range] of ranges.entries()) {
    const key = keyOf(range.kind, range.code);
    const named = `${range.kind}${range.code == null ? '' : ` ${range.code}`}`;
    if (!known.has(key)) {
      const limit = 'names no factor of this build-up';
      throw new EngineError('inconsistent', `ranges[${index}]`, named, limit);
    }
    if (rangeByKey.has(key)) {
      throw new EngineError('inconsistent', `ranges[${index}]`, named, 'occurs twice');
    }
    rangeByKey.set(key, { range, place: `ranges[${index}]` });
  }
  return ({ kind, code }: CostFactor) => rangeByKey.get(keyOf(kind, code));
}

/**
 * Which price or assumption moves the cost per litre of a tank most: each factor alone to its low and
 * its high value, all others at base.
 *
 *   elasticity E = (∂y/∂x)·x/y,   share of variance = (∂y/∂x·σ)² / Σ(∂y/∂x·σ)²
 *
 * Elasticities of all prices sum to 1 where the cost is nothing but lines and contingency, and with
 * maintenance and major costs over the life too, as the cost is homogeneous in prices. One factor at
 * a time says nothing of factors that move together.
 *
 * @param input ranges in the unit of their factor; `labour-rate` is a multiple of the rates given
 * @returns costs per litre in the money of the build-up, not rounded; factors by rank, equal swings in
 *   the order of kinds and of lines
 * @throws {EngineError} naming the field: of the build-up, or `ranges[i]`
 * @source one-at-a-time; iso-15686-5; iec-60300-3-3; gum-propagation clause 5.1.2
 */
export function costSensitivity(input: CostSensitivityInput): CostSensitivity {
  const { buildUp, rangeRatio = DEFAULT_RANGE_RATIO, ranges = [] } = input;
  requireWithin('rangeRatio', rangeRatio, 0, MAX_RANGE_RATIO);
  const base = builtUpCost(buildUp);
  if (base.capitalCost < LEAST_COST) {
    const limit = `must together cost at least ${LEAST_COST}`;
    throw new EngineError('out-of-range', 'lines', base.capitalCost, limit);
  }
  const all = costFactors(buildUp);
  const rangeOf = rangesByFactor(all, ranges);
  const kinds = new Set(input.kinds ?? COST_FACTOR_KINDS);
  const tried = all
    .filter(({ kind }) => kinds.has(kind))
    .map((factor) => {
      const given = rangeOf(factor);
      const ranged = rangedFactor(factor, given?.range, rangeRatio, given?.place);
      return {
        factor: ranged,
        low: builtUpCost(withFactor(buildUp, factor, ranged.low)),
        high: builtUpCost(withFactor(buildUp, factor, ranged.high)),
        slopes: costSlopes(buildUp, factor),
      };
    });
  const capital = effectsOf(
    base.costPerUsableL,
    tried.map(({ factor, low, high, slopes }) => ({
      factor,
      atLow: low.costPerUsableL,
      atHigh: high.costPerUsableL,
      slope: slopes.costPerUsableL,
    })),
  );
  const perDeliveredL = base.lifeCycle?.costPerDeliveredL ?? null;
  const delivered =
    perDeliveredL === null
      ? null
      : effectsOf(
          perDeliveredL,
          tried.map(({ factor, low, high, slopes }) => ({
            factor,
            atLow: low.lifeCycle?.costPerDeliveredL ?? perDeliveredL,
            atHigh: high.lifeCycle?.costPerDeliveredL ?? perDeliveredL,
            slope: slopes.costPerDeliveredL,
          })),
        );
  const factors = tried.flatMap(({ factor }, index): FactorSensitivity[] => {
    const costPerUsableL = capital[index];
    if (costPerUsableL === undefined) return [];
    return [{ ...factor, costPerUsableL, costPerDeliveredL: delivered?.[index] ?? null }];
  });
  return {
    base,
    factors: factors.sort((a, b) => a.costPerUsableL.rank - b.costPerUsableL.rank),
  };
}
