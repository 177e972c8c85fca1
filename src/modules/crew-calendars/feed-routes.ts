import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { calendarFeedSecret } from '../../../shared/contract/calendar-feed.ts';
import { problemResponses } from '../../http/route.ts';
import { CALENDAR_TYPE } from './routes.ts';
import type { CrewCalendars } from './use-cases.ts';

/** Calendar programs ask often; a plan is published some times a season. */
const CACHE_CONTROL = 'private, max-age=900';

/** The calendar behind a secret address: calendar programs cannot sign in. */
export function calendarFeedRoutes(app: FastifyInstance, calendars: CrewCalendars): void {
  app.withTypeProvider<ZodTypeProvider>().route({
    method: 'GET',
    url: '/calendar-feeds/:token/calendar.ics',
    config: { permission: 'public' },
    schema: {
      operationId: 'readCalendarFeed',
      tags: ['Crew calendars'],
      summary: 'The work of a crew as iCalendar, for whoever has the address of the feed',
      security: [],
      params: calendarFeedSecret,
      response: {
        200: { description: 'Calendar', content: { [CALENDAR_TYPE]: { schema: z.string() } } },
        ...problemResponses,
      },
    } as never,
    handler: async (request, reply) => {
      const { token } = request.params as z.output<typeof calendarFeedSecret>;
      const calendar = await calendars.byToken(token, request.id);
      const tag = `W/"${calendar.tag}"`;
      reply.header('cache-control', CACHE_CONTROL).header('etag', tag);
      if (isKnown(request.headers['if-none-match'], tag)) return reply.code(304).send();
      return reply
        .header('content-type', `${CALENDAR_TYPE}; charset=utf-8`)
        .header('content-disposition', 'inline; filename="crew.ics"')
        .header('content-security-policy', "default-src 'none'; sandbox")
        .serializer((payload: unknown) => payload as string)
        .send(Buffer.from(await calendar.write()));
    },
  });
}

const isKnown = (ifNoneMatch: string | undefined, tag: string): boolean =>
  ifNoneMatch?.split(',').some((each) => each.trim().replace(/^(?!W\/)/, 'W/') === tag) ?? false;
