import { EngineError, requireNotNegative } from '../errors.ts';

const STRENGTH_LEFT = [
  [0, 1],
  [3, 0.8],
  [6, 0.7],
  [12, 0.6],
  [24, 0.5],
] as const;

/** Days in store after which cement is not issued without a test. */
export const CEMENT_TEST_AFTER_DAYS = 90;

/**
 * Strength that cement in bags keeps after months in store, by straight lines between the table's
 * rows. For warning only: never add cement to make up for it.
 *
 * @returns strength left as a share of fresh
 * @throws {EngineError} `out-of-range` above 24 months, where the table ends
 * @source cement-store-a
 */
export function cementStrengthLeftRatio(storedMonths: number): number {
  requireNotNegative({ storedMonths });
  for (let row = 1; row < STRENGTH_LEFT.length; row += 1) {
    const [fromMonths, fromRatio] = STRENGTH_LEFT[row - 1] ?? [0, 1];
    const [toMonths, toRatio] = STRENGTH_LEFT[row] ?? [0, 1];
    if (storedMonths <= toMonths) {
      const share = (storedMonths - fromMonths) / (toMonths - fromMonths);
      return fromRatio + share * (toRatio - fromRatio);
    }
  }
  throw new EngineError('out-of-range', 'storedMonths', storedMonths, 'must be at most 24');
}
