import type { SourceId } from '../sources.ts';

export type CheckOutcome = 'pass' | 'review' | 'fail';

/**
 * One check of a design. `utilisationRatio` is demand over capacity; above 1 the check fails.
 * `unit` is the unit of both `demand` and `capacity`, written as in the names of the engine.
 */
export interface CheckResult {
  readonly id: string;
  readonly title: string;
  readonly demand: number;
  readonly capacity: number;
  readonly unit: string;
  readonly utilisationRatio: number;
  readonly outcome: CheckOutcome;
  readonly source: SourceId;
}

/** Utilisation above which a licensed engineer must look, although the check passes. Ours. */
export const REVIEW_UTILISATION_RATIO = 0.9;

/** Judges demand against capacity: fail above 1, review above 0.9, pass below. */
export function judge(check: Omit<CheckResult, 'utilisationRatio' | 'outcome'>): CheckResult {
  const utilisationRatio = check.capacity > 0 ? check.demand / check.capacity : Infinity;
  const outcome =
    utilisationRatio > 1 ? 'fail' : utilisationRatio > REVIEW_UTILISATION_RATIO ? 'review' : 'pass';
  return { ...check, utilisationRatio, outcome };
}
