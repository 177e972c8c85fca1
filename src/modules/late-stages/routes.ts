import { z } from 'zod';
import { lateStage, lateStageFilters } from '../../../shared/contract/late-stage.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import { LATE_STAGE_COLUMNS } from './late-stage-columns.ts';
import type { LateStages } from './use-cases.ts';

const tag = 'Late stages';

/** What is late against the published plan, and why. */
export function lateStageRoutes(routes: Routes, lateStages: LateStages): void {
  routes.route({
    method: 'GET',
    url: '/programmes/:id/late-stages',
    operationId: 'listLateStages',
    tag,
    summary:
      'List the stages that are late against the published plan, the worst first, each with its reasons down to the root',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...lateStageFilters }),
    response: pageOf(lateStage),
    handle: async (tx, { params, query }) => ({
      body: await lateStages.list(tx, params.id, query),
    }),
  });
  routes.download({
    method: 'GET',
    url: '/programmes/:id/late-stages.csv',
    operationId: 'downloadLateStagesCsv',
    tag,
    summary: 'The stages that are late, as CSV',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject(lateStageFilters),
    mediaTypes: [CSV_TYPE],
    handle: async (tx, { params, query }) =>
      csvTable('late-stages.csv', LATE_STAGE_COLUMNS, await lateStages.all(tx, params.id, query)),
  });
  routes.download({
    method: 'GET',
    url: '/programmes/:id/late-stages.xlsx',
    operationId: 'downloadLateStagesXlsx',
    tag,
    summary: 'The stages that are late, as a workbook',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject(lateStageFilters),
    mediaTypes: [XLSX_TYPE],
    handle: async (tx, { params, query }) =>
      xlsxTable(
        'late-stages.xlsx',
        'Late stages',
        LATE_STAGE_COLUMNS,
        await lateStages.all(tx, params.id, query),
      ),
  });
}
