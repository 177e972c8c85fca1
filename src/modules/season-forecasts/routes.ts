import { z } from 'zod';
import { job } from '../../../shared/contract/job.ts';
import {
  newSeasonForecast,
  seasonForecast,
  seasonForecastSummary,
} from '../../../shared/contract/season-forecast.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { SeasonForecasts } from './use-cases.ts';

const tag = 'Season forecasts';

/** Forecasts: when a season plan is finished under weather like that of the record. */
export function seasonForecastRoutes(routes: Routes, forecasts: SeasonForecasts): void {
  routes.route({
    method: 'POST',
    url: '/season-plans/:id/forecasts',
    operationId: 'forecastSeasonPlan',
    tag,
    summary:
      'Forecast when a season plan is finished under the rain of its stations; the job names the forecast when it is there',
    permission: 'builds:write',
    params: byId,
    body: newSeasonForecast,
    response: job,
    status: 202,
    async handle(tx, { params, body }) {
      const made = await forecasts.request(tx, params.id, body);
      return { body: made, location: `/v1/jobs/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/season-plans/:id/forecasts',
    operationId: 'listSeasonForecasts',
    tag,
    summary: 'List the forecasts of a season plan, newest first, without builds and villages',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject(pageQuery),
    response: pageOf(seasonForecastSummary),
    handle: async (tx, { params, query }) => ({
      body: await forecasts.list(tx, params.id, query),
    }),
  });
  routes.route({
    method: 'GET',
    url: '/season-forecasts/:id',
    operationId: 'getSeasonForecast',
    tag,
    summary:
      'Read a forecast: P50 and P80 of each build, village and the season, chances, stages at risk',
    permission: 'builds:read',
    params: byId,
    response: seasonForecast,
    handle: async (tx, { params }) => ({ body: await forecasts.get(tx, params.id) }),
  });
}
