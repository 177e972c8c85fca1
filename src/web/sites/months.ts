import { language } from '../language/language.ts';
import { localeOf } from '../language/locale.ts';

/** The name of a calendar month, January 1. */
export const monthName = (month: number, length: 'long' | 'short' = 'long'): string =>
  new Intl.DateTimeFormat(localeOf(language.value), { month: length, timeZone: 'UTC' }).format(
    Date.UTC(2001, month - 1, 15),
  );
