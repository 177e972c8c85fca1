import { EngineError, requireFinite, requireWithin } from '../errors.ts';

/** Least, most likely and greatest cost of one line. */
export interface ThreePointCost {
  readonly least: number;
  readonly mostLikely: number;
  readonly greatest: number;
}

export interface Contingency {
  readonly base: number;
  readonly mean: number;
  readonly standardDeviation: number;
  /** Total cost that is not exceeded with the asked probability. */
  readonly percentile: number;
  /** Percentile − base; negative when the base already covers it. */
  readonly contingency: number;
}

function requireThreePoints(lines: readonly ThreePointCost[]): void {
  if (lines.length === 0) {
    throw new EngineError('missing-data', 'lines', 0, 'must have at least one line');
  }
  for (const [index, { least, mostLikely, greatest }] of lines.entries()) {
    requireFinite({
      [`lines[${index}].least`]: least,
      [`lines[${index}].mostLikely`]: mostLikely,
      [`lines[${index}].greatest`]: greatest,
    });
    if (least > mostLikely || mostLikely > greatest) {
      throw new EngineError(
        'inconsistent',
        `lines[${index}].mostLikely`,
        mostLikely,
        `must lie between ${least} and ${greatest}`,
      );
    }
  }
}

/**
 * Quantile of the standard normal distribution, by bisection on its distribution function.
 *
 * @throws {EngineError} `out-of-range` outside 1e-9 to 1 − 1e-9
 * @source triangular-distribution
 */
export function normalQuantile(probability: number): number {
  requireWithin('probability', probability, 1e-9, 1 - 1e-9);
  let low = -7;
  let high = 7;
  for (let step = 0; step < 60; step += 1) {
    const middle = (low + high) / 2;
    if (normalDistribution(middle) < probability) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Φ(x) = ½ + φ(x)·(x + x³/3 + x⁵/(3·5) + …), converging for all x used here. */
function normalDistribution(x: number): number {
  let term = x;
  let sum = x;
  for (let k = 3; Math.abs(term) > 1e-17 * Math.abs(sum) && k < 400; k += 2) {
    term *= (x * x) / k;
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-x * x) / 2)) / Math.sqrt(2 * Math.PI);
}

/**
 * Contingency of an estimate at a probability, with the total taken as normal.
 *
 *   mean = (l + m + h)/3,   variance = (l² + m² + h² − lm − lh − mh)/18
 *
 * Lines that follow one price driver widen the spread: the variance of the total is
 * Σσ² + ρ·[(Σσ)² − Σσ²], ρ = correlationRatio.
 *
 * @param input probability: 0.80 for P80
 * @throws {EngineError} `inconsistent` when a line is not in order, `out-of-range` for ρ outside 0..1
 * @source triangular-distribution
 */
export function normalContingency(input: {
  readonly lines: readonly ThreePointCost[];
  readonly probability: number;
  readonly correlationRatio?: number | undefined;
}): Contingency {
  const { lines, probability, correlationRatio = 0 } = input;
  requireThreePoints(lines);
  requireWithin('correlationRatio', correlationRatio, 0, 1);
  let base = 0;
  let mean = 0;
  let variance = 0;
  let spread = 0;
  for (const { least: l, mostLikely: m, greatest: h } of lines) {
    const lineVariance = (l * l + m * m + h * h - l * m - l * h - m * h) / 18;
    base += m;
    mean += (l + m + h) / 3;
    variance += lineVariance;
    spread += Math.sqrt(Math.max(lineVariance, 0));
  }
  const total = variance + correlationRatio * Math.max(spread * spread - variance, 0);
  const standardDeviation = Math.sqrt(Math.max(total, 0));
  const percentile = mean + normalQuantile(probability) * standardDeviation;
  return { base, mean, standardDeviation, percentile, contingency: percentile - base };
}

function triangularQuantile(line: ThreePointCost, u: number): number {
  const { least: l, mostLikely: m, greatest: h } = line;
  if (h === l) return l;
  const split = (m - l) / (h - l);
  return u < split
    ? l + Math.sqrt(u * (h - l) * (m - l))
    : h - Math.sqrt((1 - u) * (h - l) * (h - m));
}

/**
 * Contingency of an estimate at a probability by simulation of triangular lines.
 *
 * @param input random: uniform on [0, 1), seeded by the caller; isCommonDriver: all lines move
 *   together, otherwise they are independent; drawCount from 100 to 1,000,000
 * @returns mean and spread are those of the draws; the percentile is the ⌈p·n⌉-th smallest total
 * @throws {EngineError} `inconsistent` or `out-of-range` naming the field
 * @source triangular-distribution
 */
export function simulatedContingency(input: {
  readonly lines: readonly ThreePointCost[];
  readonly probability: number;
  readonly drawCount: number;
  readonly isCommonDriver: boolean;
  readonly random: () => number;
}): Contingency {
  const { lines, probability, drawCount, isCommonDriver, random } = input;
  requireThreePoints(lines);
  requireWithin('probability', probability, 1e-9, 1);
  requireWithin('drawCount', drawCount, 100, 1_000_000);
  const totals = new Float64Array(Math.floor(drawCount));
  let sum = 0;
  for (let draw = 0; draw < totals.length; draw += 1) {
    const common = isCommonDriver ? random() : 0;
    let total = 0;
    for (const line of lines) {
      total += triangularQuantile(line, isCommonDriver ? common : random());
    }
    totals[draw] = total;
    sum += total;
  }
  const mean = sum / totals.length;
  let squares = 0;
  for (const total of totals) squares += (total - mean) ** 2;
  totals.sort();
  const percentile = totals[Math.ceil(probability * totals.length) - 1] ?? mean;
  const base = lines.reduce((running, line) => running + line.mostLikely, 0);
  return {
    base,
    mean,
    standardDeviation: Math.sqrt(squares / totals.length),
    percentile,
    contingency: percentile - base,
  };
}
