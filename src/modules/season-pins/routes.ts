import { z } from 'zod';
import { newSeasonPin, seasonPin, seasonPinFilters } from '../../../shared/contract/season-plan.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { SeasonPins } from './use-cases.ts';

const tag = 'Season plans';

/** Pins: a crew or a day of start that the plans of a season keep to. */
export function seasonPinRoutes(routes: Routes, pins: SeasonPins): void {
  routes.route({
    method: 'POST',
    url: '/season-pins',
    operationId: 'createSeasonPin',
    tag,
    summary:
      'Hold a build to a crew, or a stage to a day; a what-if with the same pin shows its cost',
    permission: 'builds:write',
    body: newSeasonPin,
    response: seasonPin,
    status: 201,
    async handle(tx, { body }) {
      return { body: await pins.create(tx, body) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/season-pins',
    operationId: 'listSeasonPins',
    tag,
    summary: 'List the pins that hold',
    permission: 'builds:read',
    query: z.strictObject({ ...pageQuery, ...seasonPinFilters }),
    response: pageOf(seasonPin),
    async handle(tx, { query }) {
      return { body: await pins.list(tx, query) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/season-pins/:id/endings',
    operationId: 'endSeasonPin',
    tag,
    summary: 'End a pin: plans made from now on are free again',
    permission: 'builds:write',
    params: byId,
    body: z.strictObject({}),
    response: seasonPin,
    status: 201,
    async handle(tx, { params }) {
      return { body: await pins.end(tx, params.id) };
    },
  });
}
