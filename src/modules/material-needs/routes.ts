import { z } from 'zod';
import {
  type MaterialNeed,
  materialNeeds,
  needsChange as needsChangeAnswer,
  needsChangeRequest,
  needsQuery,
  suggestedTransfers,
} from '../../../shared/contract/material-needs.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { type Column, CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import type { NeedLines } from './need-lines.ts';
import { needsChange } from './needs-change.ts';
import type { MaterialNeeds } from './use-cases.ts';

const tag = 'Material needs';
const READING_LIMIT_MS = 30_000;

const COLUMNS: readonly Column<MaterialNeed>[] = [
  { header: 'week_starts_on', value: ({ periodStartsOn }) => periodStartsOn },
  { header: 'village_code', value: ({ villageCode }) => villageCode },
  { header: 'village', value: ({ villageName }) => villageName },
  { header: 'material_code', value: ({ materialCode }) => materialCode },
  { header: 'material', value: ({ materialName }) => materialName },
  { header: 'unit_code', value: ({ unitCode }) => unitCode },
  { header: 'gross_quantity', value: ({ grossQuantity }) => grossQuantity, isNumber: true },
  { header: 'overdue_quantity', value: ({ overdueQuantity }) => overdueQuantity, isNumber: true },
  {
    header: 'from_village_stock',
    value: ({ fromVillageStock }) => fromVillageStock,
    isNumber: true,
  },
  { header: 'from_transfers', value: ({ fromTransfers }) => fromTransfers, isNumber: true },
  { header: 'from_open_orders', value: ({ fromOpenOrders }) => fromOpenOrders, isNumber: true },
  { header: 'net_quantity', value: ({ netQuantity }) => netQuantity, isNumber: true },
  { header: 'pack_count', value: ({ plannedReceipt }) => plannedReceipt?.packCount ?? null },
  { header: 'place_by', value: ({ plannedReceipt }) => plannedReceipt?.placeBy ?? null },
  { header: 'arrives_on', value: ({ plannedReceipt }) => plannedReceipt?.arrivesOn ?? null },
];

/** What a season needs of every material, by village and week. */
export function materialNeedRoutes(routes: Routes, needs: MaterialNeeds, lines: NeedLines): void {
  routes.route({
    method: 'GET',
    url: '/programmes/:id/material-needs',
    operationId: 'listMaterialNeeds',
    tag,
    summary:
      'Needs by material, village and week, netted against stock, orders and goods on the road',
    permission: 'orders:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...needsQuery }),
    response: materialNeeds,
    statementTimeoutMs: READING_LIMIT_MS,
    async handle(tx, { params, query }) {
      return { body: await lines.page(tx, { programmeId: params.id, ...query }) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/programmes/:id/suggested-transfers',
    operationId: 'listSuggestedTransfers',
    tag,
    summary: 'Stock of other stores that would cover needs before anything is bought',
    permission: 'orders:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...needsQuery }),
    response: suggestedTransfers,
    statementTimeoutMs: READING_LIMIT_MS,
    async handle(tx, { params, query }) {
      return { body: await lines.transfers(tx, { programmeId: params.id, ...query }) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/programmes/:id/material-needs/changes',
    operationId: 'compareMaterialNeeds',
    tag,
    summary: 'What moving the starts of builds would do to the needs; nothing is written',
    permission: 'orders:read',
    params: byId,
    body: needsChangeRequest,
    response: needsChangeAnswer,
    statementTimeoutMs: READING_LIMIT_MS,
    async handle(tx, { params, body }) {
      return { body: await needsChange(tx, needs, params.id, body) };
    },
  });
  for (const [format, mediaType] of [
    ['csv', CSV_TYPE],
    ['xlsx', XLSX_TYPE],
  ] as const) {
    routes.download({
      method: 'GET',
      url: `/programmes/:id/material-needs.${format}`,
      operationId: `downloadMaterialNeeds${format === 'csv' ? 'Csv' : 'Xlsx'}`,
      tag,
      summary: `Needs by material, village and week as ${format === 'csv' ? 'CSV' : 'a workbook'}`,
      permission: 'orders:read',
      params: byId,
      query: z.strictObject(needsQuery),
      mediaTypes: [mediaType],
      async handle(tx, { params, query }) {
        const { code, lines: rows } = await lines.all(tx, { programmeId: params.id, ...query });
        const name = `${code}-needs`;
        return format === 'csv'
          ? csvTable(`${name}.csv`, COLUMNS, rows)
          : xlsxTable(`${name}.xlsx`, code, COLUMNS, rows);
      },
    });
  }
}
