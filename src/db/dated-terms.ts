import { toDate } from './wire-values.ts';

/**
 * The condition of a list of terms that hold between two dates and may be withdrawn: `validOn` keeps
 * those that hold on the day, other filters are equal to their columns.
 */
export function holdsOn({ validOn, ...equal }: Readonly<Record<string, unknown>>): object {
  if (typeof validOn !== 'string') return equal;
  const day = toDate(validOn);
  return {
    ...equal,
    validFrom: { lte: day },
    validUntil: { gte: day },
    OR: [{ withdrawnOn: null }, { withdrawnOn: { gt: day } }],
  };
}
