import { z } from 'zod';
import {
  newReport,
  type ReportContent,
  type ReportFigure,
  type ReportRecord,
  type ReportSummary,
  report,
  reportRecord,
  reportSummary,
} from '../../../shared/contract/report.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { type Column, csvTable } from '../../http/table-export.ts';
import type { Reports } from './use-cases.ts';

const FIGURE_COLUMNS: readonly Column<ReportFigure>[] = [
  { header: 'code', value: ({ code }) => code },
  { header: 'title', value: ({ title }) => title },
  { header: 'value', value: ({ value }) => value },
  { header: 'unit', value: ({ unit }) => unit },
  { header: 'basis', value: ({ basis }) => basis },
  { header: 'formula', value: ({ formula }) => formula },
  { header: 'records', value: ({ recordsUrl }) => recordsUrl },
];

const BUILD_COLUMNS: readonly Column<ReportContent['builds'][number]>[] = [
  { header: 'build', value: ({ buildCode }) => buildCode },
  { header: 'village', value: ({ villageName }) => villageName },
  { header: 'capacity_l', value: ({ capacityL }) => capacityL },
  { header: 'people_served', value: ({ peopleServed }) => peopleServed },
  { header: 'share_ratio', value: ({ shareRatio }) => shareRatio },
  { header: 'status', value: ({ status }) => status },
  { header: 'percent_complete', value: ({ percentComplete }) => percentComplete },
  { header: 'handed_over_on', value: ({ handedOverOn }) => handedOverOn },
];

/** Frozen reports of grants: what a donor reads, and the records behind every figure. */
export function reportRoutes(routes: Routes, reports: Reports): void {
  const tag = 'Reports';
  routes.route({
    method: 'POST',
    url: '/grants/:id/reports',
    operationId: 'freezeReport',
    tag,
    summary: 'Compute and freeze the report of a grant at a data date',
    permission: 'reports:write',
    params: byId,
    body: newReport,
    response: report,
    status: 201,
    async handle(tx, { params, body }) {
      const frozen = await reports.freeze(tx, params.id, body);
      return { body: frozen, location: `/v1/reports/${frozen.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/reports',
    operationId: 'listReports',
    tag,
    summary: 'List frozen reports, the newest first; donors see those of their own grants',
    permission: 'reports:read',
    query: z.strictObject({ ...pageQuery, grantId: id.optional() }),
    response: pageOf(reportSummary),
    async handle(tx, { query: { limit, cursor, grantId } }) {
      const list = `/reports?${grantId ?? ''}`;
      const after = cursor ? openCursor(tx.actor, list, cursor) : null;
      const rows = await reports.list(tx, grantId, after, limit);
      const keyOf = (row: ReportSummary) => [row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/reports/:id',
    operationId: 'getReport',
    tag,
    summary: 'Read a frozen report',
    permission: 'reports:read',
    params: byId,
    response: report,
    handle: async (tx, { params }) => ({ body: await reports.get(tx, params.id) }),
  });
  routes.route({
    method: 'GET',
    url: '/reports/:id/figures/:code/records',
    operationId: 'listReportFigureRecords',
    tag,
    summary: 'The records behind a figure, each with what it contributes',
    permission: 'reports:read',
    params: z.strictObject({ id, code: z.string().max(60) }),
    query: z.strictObject(pageQuery),
    response: pageOf(reportRecord),
    async handle(tx, { params, query: { limit, cursor } }) {
      const list = `/reports/${params.id}/figures/${params.code}`;
      const after = cursor ? openCursor(tx.actor, list, cursor) : null;
      const rows = await reports.figureRecords(tx, params.id, params.code, after, limit);
      const keyOf = (row: ReportRecord) => [row.noun, row.recordId];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/reports/:id/figures.csv',
    operationId: 'downloadReportFigures',
    tag,
    summary: 'The figures of a report as CSV',
    permission: 'reports:read',
    params: byId,
    mediaTypes: ['text/csv'],
    async handle(tx, { params }) {
      const found = await reports.get(tx, params.id);
      return csvTable(`${found.code}-figures.csv`, FIGURE_COLUMNS, found.content.figures);
    },
  });
  routes.download({
    method: 'GET',
    url: '/reports/:id/builds.csv',
    operationId: 'downloadReportBuilds',
    tag,
    summary: 'The builds of a report as CSV',
    permission: 'reports:read',
    params: byId,
    mediaTypes: ['text/csv'],
    async handle(tx, { params }) {
      const found = await reports.get(tx, params.id);
      return csvTable(`${found.code}-builds.csv`, BUILD_COLUMNS, found.content.builds);
    },
  });
}
