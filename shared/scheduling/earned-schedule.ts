import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

export interface EarnedSchedule {
  readonly earnedSchedulePeriods: number;
  readonly scheduleVariancePeriods: number;
  readonly schedulePerformanceIndex: number;
  /** Planned duration / SPI(t); null while nothing is earned. */
  readonly estimatedDurationPeriods: number | null;
}

/**
 * Earned schedule: the time at which the plan had earned what is earned now.
 *
 *   ES = C + (EV − PV_C)/(PV_C+1 − PV_C),   SV(t) = ES − AT,   SPI(t) = ES/AT,
 *   IEAC(t) = PD/SPI(t)
 *
 * C is the number of whole periods with PV_C ≤ EV. Where the plan stands still at EV, the first of
 * those periods counts once all is earned, the last before.
 *
 * @param input cumulativePlannedValue: PV after periods 0, 1, … PD, starting at 0, never falling;
 *   earnedValue from 0 to the last PV; actualTimePeriods AT above 0
 * @throws {EngineError} `inconsistent` for a plan that falls, `out-of-range` naming the field
 * @source lipke-2003
 */
export function earnedSchedule(input: {
  readonly cumulativePlannedValue: readonly number[];
  readonly earnedValue: number;
  readonly actualTimePeriods: number;
}): EarnedSchedule {
  const { cumulativePlannedValue: pv, earnedValue: ev, actualTimePeriods: at } = input;
  requireNotNegative({ earnedValue: ev });
  requirePositive({ actualTimePeriods: at });
  const last = pv.at(-1);
  if (pv.length < 2 || pv[0] !== 0 || last === undefined) {
    throw new EngineError(
      'out-of-range',
      'cumulativePlannedValue',
      pv.length,
      'must start at 0 and hold at least two values',
    );
  }
  for (const [index, value] of pv.entries()) {
    requireNotNegative({ [`cumulativePlannedValue[${index}]`]: value });
    if (value < (pv[index - 1] ?? 0)) {
      throw new EngineError(
        'inconsistent',
        `cumulativePlannedValue[${index}]`,
        value,
        'must not fall below the value before it',
      );
    }
  }
  if (ev > last) {
    throw new EngineError('out-of-range', 'earnedValue', ev, `must not exceed the plan's ${last}`);
  }
  const es = ev === last ? pv.indexOf(last) : interpolated(pv, ev);
  const index = es / at;
  return {
    earnedSchedulePeriods: es,
    scheduleVariancePeriods: es - at,
    schedulePerformanceIndex: index,
    estimatedDurationPeriods: index === 0 ? null : (pv.length - 1) / index,
  };
}

function interpolated(pv: readonly number[], ev: number): number {
  let whole = 0;
  while ((pv[whole + 1] ?? Infinity) <= ev) whole += 1;
  const from = pv[whole] ?? 0;
  const to = pv[whole + 1] ?? from;
  return whole + (to === from ? 0 : (ev - from) / (to - from));
}
