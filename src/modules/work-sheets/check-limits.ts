import type { WorkSheetStage } from '../../../shared/contract/work-sheet.ts';

type Check = WorkSheetStage['checks'][number];

/** What a check must come to, in words with its unit. */
export function limitsText({ unit, nominal, minimum, maximum }: Check): string {
  if (unit === 'yes-no') {
    if (minimum === 1) return 'must be yes';
    return maximum === 0 ? 'must be no' : 'yes or no';
  }
  const range = rangeText(minimum, maximum);
  const name = nominal === undefined ? '' : `${range === '' ? '' : ', '}${nominal} meant`;
  return range === '' && name === '' ? `in ${unit}` : `${range}${name} (${unit})`;
}

function rangeText(minimum: number | undefined, maximum: number | undefined): string {
  if (minimum !== undefined && maximum !== undefined) return `${minimum} to ${maximum}`;
  if (minimum !== undefined) return `at least ${minimum}`;
  return maximum === undefined ? '' : `at most ${maximum}`;
}
