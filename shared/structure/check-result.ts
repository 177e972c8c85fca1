import { requireFinite } from '../errors.ts';
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

/** Largest utilisation reported; a demand without any capacity reports this. Ours. */
export const MAX_UTILISATION_RATIO = 1e6;

/** Rounding of the machine that is no failure. */
const ROUNDING_SLACK = 1e-9;

function utilisation(demand: number, capacity: number): number {
  if (demand <= 0 && capacity >= 0) return 0;
  if (capacity <= 0) return demand > capacity ? MAX_UTILISATION_RATIO : 0;
  return Math.min(demand / capacity, MAX_UTILISATION_RATIO);
}

/**
 * Judges demand against capacity: fail above 1, review above 0.9, pass below.
 *
 * A demand of zero or less asks nothing of the capacity and reports 0; a positive demand on no
 * capacity reports `MAX_UTILISATION_RATIO` and fails. The ratio is always finite.
 *
 * @throws {EngineError} `not-finite` when demand or capacity is not a finite number
 * @source project-limit review threshold 0.9
 */
export function judge(check: Omit<CheckResult, 'utilisationRatio' | 'outcome'>): CheckResult {
  if (!Number.isFinite(check.demand)) requireFinite({ [`${check.id}.demand`]: check.demand });
  if (!Number.isFinite(check.capacity)) requireFinite({ [`${check.id}.capacity`]: check.capacity });
  const utilisationRatio = utilisation(check.demand, check.capacity);
  const outcome =
    utilisationRatio > 1 + ROUNDING_SLACK
      ? 'fail'
      : utilisationRatio > REVIEW_UTILISATION_RATIO
        ? 'review'
        : 'pass';
  return { ...check, utilisationRatio, outcome };
}

/**
 * Judges a rule of detailing, such as the widest distance between bands: kept or not kept. Standing at
 * such a limit uses up no strength, so that it neither asks for a review nor counts as a utilisation.
 *
 * @throws {EngineError} `not-finite` when demand or capacity is not a finite number
 * @source project-limit detailing
 */
export function judgeDetail(check: Omit<CheckResult, 'utilisationRatio' | 'outcome'>): CheckResult {
  const judged = judge(check);
  return judged.outcome === 'review' ? { ...judged, outcome: 'pass' } : judged;
}

/** Checks that are rules of detailing. */
export const DETAIL_CHECK_IDS: ReadonlySet<string> = new Set(['band-spacing']);
