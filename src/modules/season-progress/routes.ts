import { z } from 'zod';
import {
  seasonProgress,
  seasonProgressGrouped,
  valueCurveFilters,
  valueCurveRecord,
} from '../../../shared/contract/season-progress.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import { CURVE_COLUMNS, PROGRESS_COLUMNS } from './progress-columns.ts';
import type { SeasonProgressReads } from './use-cases.ts';
import type { ValueCurves } from './value-curve.ts';

const tag = 'Progress and money';
const TIMEOUT_MS = 60_000;

/** Progress of a season in money: planned and earned value, actual cost, and what follows from them. */
export function seasonProgressRoutes(
  routes: Routes,
  progress: SeasonProgressReads,
  curves: ValueCurves,
): void {
  routes.route({
    method: 'GET',
    url: '/programmes/:id/season-progress',
    operationId: 'getSeasonProgress',
    tag,
    summary:
      'Planned value, earned value, actual cost and forecasts at a data date, by build, crew, village, grant or in one',
    permission: 'money:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...seasonProgressGrouped }),
    response: seasonProgress,
    statementTimeoutMs: TIMEOUT_MS,
    handle: async (tx, { params, query }) => ({
      body: await progress.progress(tx, params.id, query),
    }),
  });
  routes.route({
    method: 'GET',
    url: '/programmes/:id/value-curve',
    operationId: 'getValueCurve',
    tag,
    summary:
      'Planned value over time between its earliest and its latest, with earned value and actual cost to the data date',
    permission: 'money:read',
    params: byId,
    query: z.strictObject(valueCurveFilters),
    response: valueCurveRecord,
    statementTimeoutMs: TIMEOUT_MS,
    handle: async (tx, { params, query }) => ({ body: await curves.curve(tx, params.id, query) }),
  });
  routes.download({
    method: 'GET',
    url: '/programmes/:id/season-progress.csv',
    operationId: 'downloadSeasonProgressCsv',
    tag,
    summary: 'The rows of the progress as CSV',
    permission: 'money:read',
    params: byId,
    query: z.strictObject(seasonProgressGrouped),
    mediaTypes: [CSV_TYPE],
    statementTimeoutMs: TIMEOUT_MS,
    handle: async (tx, { params, query }) =>
      csvTable('season-progress.csv', PROGRESS_COLUMNS, await progress.rows(tx, params.id, query)),
  });
  routes.download({
    method: 'GET',
    url: '/programmes/:id/season-progress.xlsx',
    operationId: 'downloadSeasonProgressXlsx',
    tag,
    summary: 'The rows of the progress as a workbook',
    permission: 'money:read',
    params: byId,
    query: z.strictObject(seasonProgressGrouped),
    mediaTypes: [XLSX_TYPE],
    statementTimeoutMs: TIMEOUT_MS,
    handle: async (tx, { params, query }) =>
      xlsxTable(
        'season-progress.xlsx',
        'Progress',
        PROGRESS_COLUMNS,
        await progress.rows(tx, params.id, query),
      ),
  });
  routes.download({
    method: 'GET',
    url: '/programmes/:id/value-curve.csv',
    operationId: 'downloadValueCurveCsv',
    tag,
    summary: 'The points of the value curve as CSV',
    permission: 'money:read',
    params: byId,
    query: z.strictObject(valueCurveFilters),
    mediaTypes: [CSV_TYPE],
    statementTimeoutMs: TIMEOUT_MS,
    handle: async (tx, { params, query }) => {
      const { points } = await curves.curve(tx, params.id, query);
      return csvTable('value-curve.csv', CURVE_COLUMNS, points);
    },
  });
  routes.download({
    method: 'GET',
    url: '/programmes/:id/value-curve.xlsx',
    operationId: 'downloadValueCurveXlsx',
    tag,
    summary: 'The points of the value curve as a workbook',
    permission: 'money:read',
    params: byId,
    query: z.strictObject(valueCurveFilters),
    mediaTypes: [XLSX_TYPE],
    statementTimeoutMs: TIMEOUT_MS,
    handle: async (tx, { params, query }) => {
      const { points } = await curves.curve(tx, params.id, query);
      return xlsxTable('value-curve.xlsx', 'Value curve', CURVE_COLUMNS, points);
    },
  });
}
