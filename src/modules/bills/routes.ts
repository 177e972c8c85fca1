import { type Bill, bill, billQuery, buildBill } from '../../../shared/contract/bill.ts';
import {
  priceSensitivity,
  priceSensitivityQuery,
} from '../../../shared/contract/price-sensitivity.ts';
import { byId } from '../../../shared/contract/values.ts';
import type { Routes } from '../../http/route.ts';
import { type Column, csvTable } from '../../http/table-export.ts';
import type { Bills } from './use-cases.ts';

const COLUMNS: readonly Column<Bill['lines'][number]>[] = [
  { header: 'part', value: (line) => line.part },
  { header: 'stage', value: (line) => line.stageCode },
  { header: 'material', value: (line) => line.materialCode },
  { header: 'material_name', value: (line) => line.materialName },
  { header: 'category', value: (line) => line.category },
  { header: 'unit', value: (line) => line.unitCode },
  { header: 'net_quantity', value: (line) => line.netQuantity, isNumber: true },
  { header: 'with_waste_quantity', value: (line) => line.withWasteQuantity, isNumber: true },
  { header: 'amount', value: (line) => line.amount.amount, isNumber: true },
  { header: 'currency', value: (line) => line.amount.currency },
  { header: 'in_kind', value: (line) => (line.isInKind ? 'yes' : 'no') },
];

/** Bills of quantities: of one build line by line, and totals over many. */
export function billRoutes(routes: Routes, bills: Bills): void {
  const tag = 'Bills';
  routes.route({
    method: 'GET',
    url: '/builds/:id/bill',
    operationId: 'getBuildBill',
    tag,
    summary: 'Read the bill of quantities of one build',
    permission: 'builds:read',
    params: byId,
    response: buildBill,
    async handle(tx, { params }) {
      return { body: await bills.ofBuild(tx, params.id) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/builds/:id/price-sensitivity',
    operationId: 'getBuildPriceSensitivity',
    tag,
    summary:
      'Say which price or waste allowance of a bill moves the cost per litre of its tank most',
    permission: 'builds:read',
    params: byId,
    query: priceSensitivityQuery,
    response: priceSensitivity,
    async handle(tx, { params, query }) {
      return { body: await bills.sensitivity(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/bills',
    operationId: 'getBill',
    tag,
    summary: 'Total the bills of a build, village, grant or programme by part, stage and material',
    permission: 'builds:read',
    query: billQuery,
    response: bill,
    async handle(tx, { query }) {
      return { body: await bills.totals(tx, query) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/bills.csv',
    operationId: 'downloadBill',
    tag,
    summary: 'Download the finest totals of a bill as CSV',
    permission: 'builds:read',
    query: billQuery,
    mediaTypes: ['text/csv'],
    async handle(tx, { query }) {
      const { lines } = await bills.totals(tx, query);
      return csvTable('bill.csv', COLUMNS, lines);
    },
  });
}
