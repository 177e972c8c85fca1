import { timeZone } from './session.ts';

/** The calendar date of this moment where the organisation works. */
export function today(): string {
  const parts = new Intl.DateTimeFormat('en-CA', { timeZone: timeZone.value, dateStyle: 'short' });
  return parts.format(new Date());
}
