import { z } from 'zod';
import { newOrderPlan, orderPlan, orderPlanSummary } from '../../../shared/contract/order-plan.ts';
import { byId } from '../../../shared/contract/values.ts';
import { type PackCode, unitName } from '../../../shared/units/unit-codes.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { type Column, CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import type { OrderPlans } from './use-cases.ts';

type PlanLine = Awaited<ReturnType<OrderPlans['lines']>>['lines'][number];

const tag = 'Order plans';

const LINE_COLUMNS: readonly Column<PlanLine>[] = [
  { header: 'order', value: ({ orderCode }) => orderCode },
  { header: 'supplier_code', value: ({ supplierCode }) => supplierCode },
  { header: 'supplier', value: ({ supplierName }) => supplierName },
  { header: 'village_code', value: ({ villageCode }) => villageCode },
  { header: 'village', value: ({ villageName }) => villageName },
  { header: 'material_code', value: ({ materialCode }) => materialCode },
  { header: 'material', value: ({ materialName }) => materialName },
  { header: 'unit_code', value: ({ unitCode }) => unitCode },
  { header: 'unit', value: ({ unitCode }) => unitName(unitCode as PackCode) },
  { header: 'need_quantity', value: ({ needQuantity }) => needQuantity, isNumber: true },
  { header: 'pack_code', value: ({ packCode }) => packCode },
  { header: 'pack', value: ({ packCode }) => unitName(packCode as PackCode) },
  { header: 'pack_content', value: ({ packContent }) => packContent, isNumber: true },
  { header: 'pack_count', value: ({ packCount }) => packCount },
  { header: 'ordered_quantity', value: ({ orderedQuantity }) => orderedQuantity, isNumber: true },
  {
    header: 'rounding_quantity',
    value: ({ roundingQuantity }) => roundingQuantity,
    isNumber: true,
  },
  { header: 'price_per_pack', value: ({ pricePerPack }) => pricePerPack, isNumber: true },
  { header: 'amount', value: ({ amount }) => amount, isNumber: true },
  { header: 'currency', value: ({ currency }) => currency },
];

/** Order plans: what a programme has to buy, from whom, in how many packs. */
export function orderPlanRoutes(routes: Routes, plans: OrderPlans): void {
  routes.route({
    method: 'POST',
    url: '/programmes/:id/order-plans',
    operationId: 'planOrders',
    tag,
    summary: 'Add up what builds need and no order covers, and draft the cheapest orders',
    permission: 'orders:write',
    params: byId,
    body: newOrderPlan,
    response: orderPlan,
    status: 201,
    async handle(tx, { params, body }) {
      const made = await plans.make(tx, params.id, body);
      return { body: made, location: `/v1/order-plans/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/programmes/:id/order-plans',
    operationId: 'listOrderPlans',
    tag,
    summary: 'List the order plans of a programme, the newest first',
    permission: 'orders:read',
    params: byId,
    query: z.strictObject(pageQuery),
    response: pageOf(orderPlanSummary),
    async handle(tx, { params, query }) {
      return { body: await plans.list(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/order-plans/:id',
    operationId: 'getOrderPlan',
    tag,
    summary: 'Read one order plan with its orders and what no offer serves',
    permission: 'orders:read',
    params: byId,
    response: orderPlan,
    async handle(tx, { params }) {
      return { body: await plans.get(tx, params.id) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/order-plans/:id/lines.csv',
    operationId: 'downloadOrderPlanLinesCsv',
    tag,
    summary: 'The lines of a plan as CSV',
    permission: 'orders:read',
    params: byId,
    mediaTypes: [CSV_TYPE],
    async handle(tx, { params }) {
      const { code, lines } = await plans.lines(tx, params.id);
      return csvTable(`${code}.csv`, LINE_COLUMNS, lines);
    },
  });
  routes.download({
    method: 'GET',
    url: '/order-plans/:id/lines.xlsx',
    operationId: 'downloadOrderPlanLinesXlsx',
    tag,
    summary: 'The lines of a plan as a workbook',
    permission: 'orders:read',
    params: byId,
    mediaTypes: [XLSX_TYPE],
    async handle(tx, { params }) {
      const { code, lines } = await plans.lines(tx, params.id);
      return xlsxTable(`${code}.xlsx`, code, LINE_COLUMNS, lines);
    },
  });
}
