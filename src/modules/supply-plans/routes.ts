import { z } from 'zod';
import { job } from '../../../shared/contract/job.ts';
import {
  newSupplyPlan,
  type SupplyPlanLine,
  supplyLineExplanation,
  supplyLineFilters,
  supplyPlan,
  supplyPlanLine,
  supplyPlanSummary,
} from '../../../shared/contract/supply-plan.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { type PackCode, unitName } from '../../../shared/units/unit-codes.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { type Column, CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import type { SupplyPlans } from './use-cases.ts';

const tag = 'Supply plans';

const COLUMNS: readonly Column<SupplyPlanLine>[] = [
  { header: 'position', value: ({ position }) => position },
  { header: 'place_by', value: ({ placeBy }) => placeBy },
  { header: 'arrives_on', value: ({ arrivesOn }) => arrivesOn },
  { header: 'supplier_code', value: ({ supplierCode }) => supplierCode },
  { header: 'village_code', value: ({ deliveryVillageCode }) => deliveryVillageCode },
  { header: 'material_code', value: ({ materialCode }) => materialCode },
  { header: 'material', value: ({ materialName }) => materialName },
  { header: 'pack', value: ({ packCode }) => unitName(packCode as PackCode) },
  { header: 'pack_content', value: ({ packContent }) => packContent, isNumber: true },
  { header: 'pack_count', value: ({ packCount }) => packCount },
  { header: 'quantity', value: ({ quantity }) => quantity, isNumber: true },
  { header: 'unit_code', value: ({ unitCode }) => unitCode },
  { header: 'price_per_pack', value: ({ pricePerPack }) => pricePerPack, isNumber: true },
  { header: 'amount', value: ({ amount }) => amount.amount, isNumber: true },
  { header: 'currency', value: ({ amount }) => amount.currency },
  { header: 'requisitioned', value: ({ isRequisitioned }) => isRequisitioned },
];

/** Supply plans: what to order for a season, from whom and in which week, with its proof. */
export function supplyPlanRoutes(routes: Routes, plans: SupplyPlans): void {
  routes.route({
    method: 'POST',
    url: '/programmes/:id/supply-plans',
    operationId: 'planSupply',
    tag,
    summary: 'Plan the orders of the season; the job names the plan when it is found',
    permission: 'orders:write',
    params: byId,
    body: newSupplyPlan,
    response: job,
    status: 202,
    async handle(tx, { params, body }) {
      const made = await plans.request(tx, params.id, body);
      return { body: made, location: `/v1/jobs/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/programmes/:id/supply-plans',
    operationId: 'listSupplyPlans',
    tag,
    summary: 'List the supply plans of a programme, the newest first',
    permission: 'orders:read',
    params: byId,
    query: z.strictObject(pageQuery),
    response: pageOf(supplyPlanSummary),
    async handle(tx, { params, query }) {
      return { body: await plans.list(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/supply-plans/:id',
    operationId: 'getSupplyPlan',
    tag,
    summary: 'Read a supply plan: cost, bound, gap, ways of buying beside it, what cannot be had',
    permission: 'orders:read',
    params: byId,
    response: supplyPlan,
    async handle(tx, { params }) {
      return { body: await plans.get(tx, params.id) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/supply-plans/:id/lines',
    operationId: 'listSupplyPlanLines',
    tag,
    summary: 'List the lines of a supply plan by the day on which they are to be placed',
    permission: 'orders:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...supplyLineFilters }),
    response: pageOf(supplyPlanLine),
    async handle(tx, { params, query }) {
      return { body: await plans.listLines(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/supply-plans/:id/lines/:lineId/explanation',
    operationId: 'explainSupplyPlanLine',
    tag,
    summary: 'Why this supplier, this week and this quantity',
    permission: 'orders:read',
    params: z.strictObject({ id, lineId: id }),
    response: supplyLineExplanation,
    async handle(tx, { params }) {
      return { body: await plans.explanation(tx, params.id, params.lineId) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/supply-plans/:id/lines.csv',
    operationId: 'downloadSupplyPlanLinesCsv',
    tag,
    summary: 'The lines of a supply plan as CSV',
    permission: 'orders:read',
    params: byId,
    mediaTypes: [CSV_TYPE],
    async handle(tx, { params }) {
      const { code, lines } = await plans.lines(tx, params.id);
      return csvTable(`${code}.csv`, COLUMNS, lines);
    },
  });
  routes.download({
    method: 'GET',
    url: '/supply-plans/:id/lines.xlsx',
    operationId: 'downloadSupplyPlanLinesXlsx',
    tag,
    summary: 'The lines of a supply plan as a workbook',
    permission: 'orders:read',
    params: byId,
    mediaTypes: [XLSX_TYPE],
    async handle(tx, { params }) {
      const { code, lines } = await plans.lines(tx, params.id);
      return xlsxTable(`${code}.xlsx`, code, COLUMNS, lines);
    },
  });
}
