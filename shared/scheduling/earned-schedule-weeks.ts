import { compareMoney, type Money, zeroMoney } from '../costing/money.ts';
import { addDays, daysBetween } from '../units/calendar.ts';
import { type EarnedSchedule, earnedSchedule } from './earned-schedule.ts';
import { curveDays, type ValueChange, valueCurve } from './value-curve.ts';

const WEEK_DAYS = 7;
/** A forecast further away says nothing: twenty years. Ours. */
const MOST_FORECAST_WEEKS = 1_044;

export interface EarnedScheduleInWeeks extends EarnedSchedule {
  readonly actualTimeWeeks: number;
  readonly plannedDurationWeeks: number;
  /** Start + IEAC(t); null while nothing is earned or when it lies more than twenty years away. */
  readonly forecastFinishOn: string | null;
}

/**
 * Earned schedule of a plan in weeks from its start.
 *
 * PV is read at the end of each week of seven days from the start on; AT counts the data date in
 * full: AT = (data date − start + 1)/7.
 *
 * @param input plannedChanges: what the plan earns on each day
 * @returns null before the start, or for a plan that is worth nothing
 * @throws {EngineError} `out-of-range` for malformed dates or an earned value above the plan's
 * @source lipke-2003
 */
export function earnedScheduleInWeeks(input: {
  readonly plannedChanges: readonly ValueChange[];
  readonly startsOn: string;
  readonly finishesOn: string;
  readonly dataOn: string;
  readonly earnedValue: Money;
}): EarnedScheduleInWeeks | null {
  const { startsOn, finishesOn, dataOn, earnedValue: earned } = input;
  const actualTimeWeeks = (daysBetween(startsOn, dataOn) + 1) / WEEK_DAYS;
  if (actualTimeWeeks <= 0) return null;
  const days = curveDays(startsOn, finishesOn, 'week');
  const curve = valueCurve(input.plannedChanges, days, earned.currency);
  const last = curve.at(-1);
  if (last === undefined || compareMoney(last, zeroMoney(earned.currency)) <= 0) return null;
  const found = earnedSchedule({
    cumulativePlannedValue: curve.map(({ amount }) => Number(amount)),
    earnedValue: Number(earned.amount),
    actualTimePeriods: actualTimeWeeks,
  });
  const { estimatedDurationPeriods } = found;
  return {
    ...found,
    actualTimeWeeks,
    plannedDurationWeeks: days.length - 1,
    forecastFinishOn:
      estimatedDurationPeriods === null || estimatedDurationPeriods > MOST_FORECAST_WEEKS
        ? null
        : addDays(startsOn, Math.ceil(estimatedDurationPeriods * WEEK_DAYS) - 1),
  };
}
