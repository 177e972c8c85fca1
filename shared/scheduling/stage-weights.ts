import Big from 'big.js';
import { allocateDecimal, type Money } from '../costing/money.ts';
import { EngineError } from '../errors.ts';
import type { StageProjection } from './stage-progress.ts';
import type { StageTemplate } from './stage-template.ts';

/** Decimals of a stage weight. */
const WEIGHT_DECIMALS = 6;

/**
 * Weight of every stage by its budgeted cost, six decimals that add up to exactly 1.
 *
 * @param costByStage a stage without an entry weighs nothing
 * @throws {EngineError} `out-of-range` for a stage outside the template, a negative cost or no cost
 *   at all, `inconsistent` when currencies differ
 * @source largest-remainder
 */
export function stageWeights(
  template: StageTemplate,
  costByStage: Readonly<Record<string, Money>>,
): Record<string, string> {
  const codes = template.map((stage) => stage.code);
  const currencies = new Set<string>();
  for (const [code, { currency }] of Object.entries(costByStage)) {
    if (!codes.includes(code)) {
      throw new EngineError('out-of-range', 'costByStage', code, 'is not in the template');
    }
    currencies.add(currency);
  }
  if (currencies.size > 1) {
    throw new EngineError(
      'inconsistent',
      'costByStage',
      [...currencies].join(', '),
      'must be in one currency',
    );
  }
  const parts = allocateDecimal(
    '1',
    codes.map((code) => costByStage[code]?.amount ?? '0'),
    WEIGHT_DECIMALS,
  );
  return Object.fromEntries(codes.map((code, index) => [code, parts[index] ?? '0']));
}

/**
 * Share of a build that is done: the weights of its accepted stages. A stage counts in full when it
 * is accepted and not at all before; rejected work counts nothing again.
 *
 * @returns decimal text from "0" to "1"
 * @throws {EngineError} `inconsistent` when the weights do not add up to exactly 1
 * @source iso-21508
 */
export function completeRatio(
  projection: StageProjection,
  weightByStage: Readonly<Record<string, string>>,
): string {
  let all = new Big(0);
  let done = new Big(0);
  for (const stage of projection.stages) {
    const weight = new Big(weightByStage[stage.stageCode] ?? '0');
    all = all.plus(weight);
    if (stage.status === 'accepted') done = done.plus(weight);
  }
  if (!all.eq(1)) {
    throw new EngineError('inconsistent', 'weightByStage', all.toFixed(), 'must add up to 1');
  }
  return done.toFixed();
}
