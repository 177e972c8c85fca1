import { requireWithin } from '../errors.ts';
import { requireCount } from './require-count.ts';

export interface LotDecisionErrors {
  /** Chance that a group at the target is turned down. */
  readonly targetRejectedRatio: number;
  /** Chance that a group at the lower threshold is passed. */
  readonly thresholdAcceptedRatio: number;
}

/**
 * Errors of a decision rule that passes a group of tanks when at least d of n visited are good,
 * for a large group. It classes the group; it does not estimate its rate.
 *
 *   α = P(X < d | p_high), β = P(X ≥ d | p_low), X binomial (n, p)
 *
 * @param sampleCount n; leastGoodCount d, at most n; targetRatio p_high; thresholdRatio p_low
 * @throws {EngineError} `out-of-range` for counts that are not whole, d above n, or shares outside
 *   0 to 1
 * @source lqas-manuals
 */
export function lotDecisionErrors(
  sampleCount: number,
  leastGoodCount: number,
  targetRatio: number,
  thresholdRatio: number,
): LotDecisionErrors {
  requireRule(sampleCount, leastGoodCount);
  requireWithin('targetRatio', targetRatio, 0, 1);
  requireWithin('thresholdRatio', thresholdRatio, 0, 1);
  const below = (p: number) => sumBelow(leastGoodCount, (k) => binomial(sampleCount, k, p));
  return {
    targetRejectedRatio: below(targetRatio),
    thresholdAcceptedRatio: 1 - below(thresholdRatio),
  };
}

/**
 * The same errors for a small group, drawn without putting back (hypergeometric).
 *
 * @param groupCount N tanks in the group, of which goodAtTargetCount or goodAtThresholdCount are good
 * @throws {EngineError} `out-of-range` for counts that are not whole or exceed the group
 * @source lqas-manuals
 */
export function smallLotDecisionErrors(
  groupCount: number,
  sampleCount: number,
  leastGoodCount: number,
  goodAtTargetCount: number,
  goodAtThresholdCount: number,
): LotDecisionErrors {
  requireRule(sampleCount, leastGoodCount);
  for (const [name, count] of Object.entries({ goodAtTargetCount, goodAtThresholdCount })) {
    requireCount(name, count);
    requireWithin(name, count, 0, groupCount);
  }
  requireWithin('sampleCount', sampleCount, 0, groupCount);
  const below = (good: number) =>
    sumBelow(leastGoodCount, (k) => hypergeometric(groupCount, good, sampleCount, k));
  return {
    targetRejectedRatio: below(goodAtTargetCount),
    thresholdAcceptedRatio: 1 - below(goodAtThresholdCount),
  };
}

/**
 * Chance that a sample without putting back misses every faulty tank of a group.
 *
 * @throws {EngineError} `out-of-range` for counts that are not whole or exceed the group
 * @source lqas-manuals
 */
export function chanceToMissAllFaults(
  groupCount: number,
  faultyCount: number,
  sampleCount: number,
): number {
  for (const [name, count] of Object.entries({ groupCount, faultyCount, sampleCount })) {
    requireCount(name, count);
    requireWithin(name, count, 0, groupCount);
  }
  return hypergeometric(groupCount, faultyCount, sampleCount, 0);
}

/**
 * Greatest share of faulty tanks that agrees, at 95 % one-sided, with a sample without a fault.
 *
 *   p = 1 − 0.05^(1/n)
 *
 * @throws {EngineError} `out-of-range` for a sample that is not whole from 1
 * @source lqas-manuals
 */
export function faultRatioBoundWithoutFaults(sampleCount: number): number {
  requireCount('sampleCount', sampleCount, 1);
  return 1 - 0.05 ** (1 / sampleCount);
}

function requireRule(sampleCount: number, leastGoodCount: number): void {
  requireCount('sampleCount', sampleCount);
  requireCount('leastGoodCount', leastGoodCount);
  requireWithin('leastGoodCount', leastGoodCount, 0, sampleCount);
}

function sumBelow(end: number, term: (k: number) => number): number {
  let sum = 0;
  for (let k = 0; k < end; k += 1) sum += term(k);
  return sum;
}

function binomial(n: number, k: number, p: number): number {
  return choose(n, k) * p ** k * (1 - p) ** (n - k);
}

function hypergeometric(group: number, good: number, sample: number, k: number): number {
  if (k > good || sample - k > group - good) return 0;
  // Taken as a product of ratios: the binomial coefficients themselves may overflow.
  let product = choose(sample, k);
  for (let i = 0; i < k; i += 1) product *= (good - i) / (group - i);
  for (let i = 0; i < sample - k; i += 1) product *= (group - good - i) / (group - k - i);
  return product;
}

function choose(n: number, k: number): number {
  let product = 1;
  for (let i = 1; i <= k; i += 1) product = (product * (n - k + i)) / i;
  return product;
}
