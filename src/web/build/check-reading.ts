import { formatNumber } from '../language/format.ts';
import { say } from './say.ts';
import type { Stage } from './stages.tsx';

export type StageCheck = Stage['checks'][number];
export type Reading = Stage['readings'][number];

/** A measured value in the unit of its check; yes-no checks say yes or no. */
export function valueText({ unit }: StageCheck, value: number): string {
  if (unit === 'yes-no') return say(value === 1 ? 'yes' : 'no');
  return `${formatNumber(value, 6)}\u00a0${unit}`;
}

/** The limits of a check in words. */
export function limitsText(check: StageCheck): string {
  const { minimum, maximum, nominal, unit } = check;
  if (unit === 'yes-no') return say('yes');
  if (minimum !== undefined && maximum !== undefined) {
    return say('between', { low: valueText(check, minimum), high: valueText(check, maximum) });
  }
  if (minimum !== undefined) return say('at-least', { value: valueText(check, minimum) });
  if (maximum !== undefined) return say('at-most', { value: valueText(check, maximum) });
  if (nominal !== undefined) return say('about-value', { value: valueText(check, nominal) });
  return say('no-limit');
}

/** The last reading of a check; undefined when it was not measured. */
export const lastReading = (stage: Stage, { code }: StageCheck): Reading | undefined =>
  stage.readings.findLast(({ checkCode }) => checkCode === code);
