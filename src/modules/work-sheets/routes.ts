import { byId } from '../../../shared/contract/values.ts';
import { workSheet, workSheetQuery } from '../../../shared/contract/work-sheet.ts';
import type { Routes } from '../../http/route.ts';
import type { WorkSheets } from './use-cases.ts';
import { SHEET_STYLE_HASH, workSheetPage } from './work-sheet-page.ts';

const tag = 'Work sheets';
const HTML_TYPE = 'text/html';

/** What a crew does in a week, to read and to print. */
export function workSheetRoutes(routes: Routes, sheets: WorkSheets): void {
  routes.route({
    method: 'GET',
    url: '/crews/:id/work-sheet',
    operationId: 'getWorkSheet',
    tag,
    summary:
      'The week of a crew in the published plan, day by day, with needs, checks, holds, materials, waits and cautions',
    permission: 'builds:read',
    params: byId,
    query: workSheetQuery,
    response: workSheet,
    handle: async (tx, { params, query }) => ({
      body: await sheets.read(tx, params.id, query.weekOf),
    }),
  });
  routes.download({
    method: 'GET',
    url: '/crews/:id/work-sheet.html',
    operationId: 'getWorkSheetPage',
    tag,
    summary: 'The week of a crew as a page to print and fill in',
    permission: 'builds:read',
    params: byId,
    query: workSheetQuery,
    mediaTypes: [HTML_TYPE],
    async handle(tx, { params, query }) {
      const sheet = await sheets.read(tx, params.id, query.weekOf);
      return {
        content: workSheetPage(sheet),
        mediaType: `${HTML_TYPE}; charset=utf-8`,
        fileName: `${sheet.crewCode}-${sheet.weekStartsOn}.html`,
        page: { styleHash: SHEET_STYLE_HASH },
      };
    },
  });
}
