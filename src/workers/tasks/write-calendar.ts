import { type CalendarToWrite, crewCalendar } from '../../modules/crew-calendars/crew-calendar.ts';

/** A crew's work as iCalendar text; folding its lines is slow enough to keep others waiting. */
export const writeCalendar = (calendar: CalendarToWrite): string => crewCalendar(calendar);
