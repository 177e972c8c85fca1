import { dayNumber } from '../units/calendar.ts';
import type { WatertightnessOutcome } from './watertightness.ts';

export interface DatedTest {
  /** ISO date on which the test ended. */
  readonly testedOn: string;
  readonly outcome: WatertightnessOutcome;
}

export type WatertightnessStanding = 'not-tested' | 'passed' | 'failed' | 'repair-not-recorded';

/**
 * Where a tank stands after all its tests. A pass after a fail counts only when a repair was
 * recorded on a day after the failed test and not after the passed one: a failed test is never averaged away.
 *
 * @param tests in any order; inconclusive tests change nothing
 * @param repairedOn ISO dates of recorded repairs
 * @throws {EngineError} `out-of-range` for malformed dates
 * @source own-watertightness-judgement
 */
export function watertightnessStanding(
  tests: readonly DatedTest[],
  repairedOn: readonly string[],
): WatertightnessStanding {
  const repairs = repairedOn.map((on, index) => dayNumber(on, `repairedOn[${index}]`));
  const dated = tests
    .map(({ testedOn, outcome }, index) => ({
      day: dayNumber(testedOn, `tests[${index}].testedOn`),
      outcome,
    }))
    .filter(({ outcome }) => outcome !== 'inconclusive')
    .toSorted((a, b) => a.day - b.day || (a.outcome === 'fail' ? 1 : -1));
  let standing: WatertightnessStanding = 'not-tested';
  let failedDay: number | null = null;
  for (const { day, outcome } of dated) {
    if (outcome === 'fail') {
      failedDay = day;
      standing = 'failed';
      continue;
    }
    const since = failedDay;
    const isRepaired = since === null || repairs.some((repair) => repair > since && repair <= day);
    standing = isRepaired ? 'passed' : 'repair-not-recorded';
    if (isRepaired) failedDay = null;
  }
  return standing;
}
