import Big from 'big.js';
import { currencyExponent } from '../costing/currency.ts';
import type { Money } from '../costing/money.ts';
import { EngineError } from '../errors.ts';
import { addDays, calendarDay, daysBetween } from '../units/calendar.ts';

/** Points of one curve: five years of days. */
const MOST_POINTS = 1_830;
const STEP_DAYS = { day: 1, week: 7 } as const;

export type CurveStep = keyof typeof STEP_DAYS;

/** A change of a value on a day: decimal text, negative when value is lost again. */
export interface ValueChange {
  readonly on: string;
  readonly amount: string;
}

/**
 * Days at which a curve is read: the day before the start, then the end of each day or week of seven
 * days counted from the start, up to the first that is not before `untilOn`.
 *
 * @throws {EngineError} `out-of-range` for a malformed date or more than five years of days,
 *   `inconsistent` when `untilOn` lies before the start
 * @source costing-own
 */
export function curveDays(startsOn: string, untilOn: string, step: CurveStep): string[] {
  calendarDay(startsOn, 'startsOn');
  calendarDay(untilOn, 'untilOn');
  if (untilOn < startsOn) {
    throw new EngineError('inconsistent', 'untilOn', untilOn, `must not be before ${startsOn}`);
  }
  const length = STEP_DAYS[step];
  const steps = Math.ceil((daysBetween(startsOn, untilOn) + 1) / length);
  if (steps > MOST_POINTS) {
    throw new EngineError(
      'out-of-range',
      'untilOn',
      untilOn,
      `takes more than ${MOST_POINTS} steps`,
    );
  }
  return Array.from({ length: steps + 1 }, (_, turn) => addDays(startsOn, turn * length - 1));
}

/**
 * The value reached by the end of each day asked for: the exact sum of all changes until then.
 *
 *     V(t) = Σ change with day ≤ t
 *
 * @param changes in any order
 * @param days in ascending order
 * @throws {EngineError} `inconsistent` when the days do not ascend, `out-of-range` for an unknown
 *   currency
 * @source iso-21508; costing-own
 */
export function valueCurve(
  changes: readonly ValueChange[],
  days: readonly string[],
  currency: string,
): Money[] {
  const exponent = currencyExponent(currency);
  const ordered = changes.toSorted((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0));
  let next = 0;
  let reached = new Big(0);
  return days.map((day, index) => {
    const before = days[index - 1];
    if (before !== undefined && before >= day) {
      throw new EngineError('inconsistent', 'days', day, `must come after ${before}`);
    }
    for (let change = ordered[next]; change !== undefined && change.on <= day; ) {
      reached = reached.plus(change.amount);
      next += 1;
      change = ordered[next];
    }
    return { amount: reached.toFixed(exponent), currency };
  });
}
