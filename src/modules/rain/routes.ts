import { z } from 'zod';
import {
  newRainSeries,
  newRainStation,
  type RainSeriesHead,
  rainFileQuery,
  rainSeries,
  rainSeriesHead,
  rainSeriesRecorded,
  rainStation,
  rainStationPatch,
} from '../../../shared/contract/rain.ts';
import { byId } from '../../../shared/contract/values.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Rain } from './use-cases.ts';

/** Two hundred years of days, as JSON or as lines of a file. */
const BODY_LIMIT_BYTES = 4 * 1024 * 1024;

/** Rain stations and their daily records, which are added and never changed. */
export function rainRoutes(routes: Routes, rain: Rain): void {
  documentRoutes(routes, {
    path: '/rain-stations',
    names: ['RainStation', 'RainStations'],
    tag: 'Rain',
    read: 'rain:read',
    write: 'rain:write',
    item: rainStation,
    create: newRainStation,
    patch: rainStationPatch,
    store: rain.stations,
  });
  routes.route({
    method: 'POST',
    url: '/rain-stations/:id/series',
    operationId: 'recordRainSeries',
    tag: 'Rain',
    summary:
      'Record a daily series, as JSON or as CSV with the columns date and rain_mm; the newest is the current one',
    permission: 'rain:write',
    params: byId,
    query: rainFileQuery,
    body: newRainSeries,
    upload: ['text/csv'],
    bodyLimitBytes: BODY_LIMIT_BYTES,
    response: rainSeriesRecorded,
    status: 201,
    async handle(tx, { params, query, body, upload }) {
      const recorded =
        upload.mediaType === 'text/csv'
          ? await rain.recordFile(tx, params.id, upload.bytes, query)
          : await rain.record(tx, params.id, body, query);
      return { body: recorded, location: `/v1/rain-series/${recorded.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/rain-stations/:id/series',
    operationId: 'listRainSeries',
    tag: 'Rain',
    summary: 'List the series of a station without their days, newest first',
    permission: 'rain:read',
    params: byId,
    query: z.strictObject(pageQuery),
    response: pageOf(rainSeriesHead),
    async handle(tx, { params, query: { limit, cursor } }) {
      const list = `/rain-stations/${params.id}/series`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const rows = await rain.list(tx, params.id, { limit, after });
      const keyOf = (row: RainSeriesHead) => [row.createdAt, row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/rain-series/:id',
    operationId: 'getRainSeries',
    tag: 'Rain',
    summary: 'Read a series with its days, its missing days and its summary',
    permission: 'rain:read',
    params: byId,
    response: rainSeries,
    async handle(tx, { params }) {
      return { body: await rain.get(tx, params.id) };
    },
  });
}
