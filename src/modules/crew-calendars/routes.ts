import { z } from 'zod';
import { calendarFeed, issuedCalendarFeed } from '../../../shared/contract/calendar-feed.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { CrewCalendars } from './use-cases.ts';

const tag = 'Crew calendars';
export const CALENDAR_TYPE = 'text/calendar';

/** Calendars of what the published plan gives a crew to do, and the addresses to subscribe to them. */
export function crewCalendarRoutes(routes: Routes, calendars: CrewCalendars): void {
  routes.route({
    method: 'POST',
    url: '/crews/:id/calendar-feeds',
    operationId: 'issueCalendarFeed',
    tag,
    summary: 'Make an address that a calendar program subscribes to; it is answered this once',
    permission: 'builds:write',
    params: byId,
    response: issuedCalendarFeed,
    status: 201,
    withoutSecret: (made) => ({ ...made, address: null }),
    handle: async (tx, { params }) => ({ body: await calendars.issue(tx, params.id) }),
  });
  routes.route({
    method: 'GET',
    url: '/crews/:id/calendar-feeds',
    operationId: 'listCalendarFeeds',
    tag,
    summary: 'List the calendar feeds of a crew, newest first, without their addresses',
    permission: 'builds:write',
    params: byId,
    query: z.strictObject(pageQuery),
    response: pageOf(calendarFeed),
    handle: async (tx, { params, query }) => ({
      body: await calendars.list(tx, params.id, query),
    }),
  });
  routes.route({
    method: 'POST',
    url: '/calendar-feeds/:id/revocations',
    operationId: 'revokeCalendarFeed',
    tag,
    summary: 'Revoke a calendar feed: its address answers no more',
    permission: 'builds:write',
    params: byId,
    response: calendarFeed,
    status: 201,
    handle: async (tx, { params }) => ({ body: await calendars.revoke(tx, params.id) }),
  });
  routes.download({
    method: 'GET',
    url: '/crews/:id/calendar.ics',
    operationId: 'downloadCrewCalendar',
    tag,
    summary: 'The work of a crew in the published plan as iCalendar',
    permission: 'builds:read',
    params: byId,
    mediaTypes: [CALENDAR_TYPE],
    async handle(tx, { params }) {
      const { crewCode, write } = await calendars.calendar(tx, params.id);
      return {
        content: await write(),
        mediaType: `${CALENDAR_TYPE}; charset=utf-8`,
        fileName: `${crewCode}.ics`,
      };
    },
  });
}
