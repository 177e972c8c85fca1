import { z } from 'zod';
import { id, instant } from './values.ts';

const feedFields = {
  id,
  crewId: id,
  createdById: id,
  createdAt: instant,
  revokedAt: instant.nullable(),
};

/** A calendar of a crew's work that phones and desks subscribe to. */
export const calendarFeed = z.object(feedFields).meta({ id: 'CalendarFeed' });

/** A feed with its address, which is shown this once. */
export const issuedCalendarFeed = z
  .object({
    ...feedFields,
    address: z.string().nullable().meta({
      description:
        'Path to subscribe to, without signing in: whoever knows it reads the calendar. Null when a repeated Idempotency-Key is answered.',
    }),
  })
  .meta({ id: 'IssuedCalendarFeed' });

export const calendarFeedSecret = z.strictObject({ token: z.string().max(200) });

export type CalendarFeed = z.infer<typeof calendarFeed>;
export type IssuedCalendarFeed = z.infer<typeof issuedCalendarFeed>;
