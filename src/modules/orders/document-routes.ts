import { z } from 'zod';
import { orderFilters } from '../../../shared/contract/order.ts';
import { byId } from '../../../shared/contract/values.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import { ORDER_COLUMNS } from './order-columns.ts';
import { DOCUMENT_STYLE_HASH } from './order-document.ts';
import type { OrderPapers } from './order-papers.ts';
import type { Orders } from './use-cases.ts';

const tag = 'Orders';
const HTML_TYPE = 'text/html';

/** Orders on paper and in files. */
export function orderDocumentRoutes(routes: Routes, orders: Orders, papers: OrderPapers): void {
  routes.download({
    method: 'GET',
    url: '/orders/:id/document',
    operationId: 'getOrderDocument',
    tag,
    summary: 'The order as a page to print, sign and send',
    permission: 'orders:read',
    params: byId,
    mediaTypes: [HTML_TYPE],
    async handle(tx, { params }) {
      const { code, html } = await papers.page(tx, params.id);
      return {
        content: html,
        mediaType: `${HTML_TYPE}; charset=utf-8`,
        fileName: `${code}.html`,
        page: { styleHash: DOCUMENT_STYLE_HASH },
      };
    },
  });
  routes.download({
    method: 'GET',
    url: '/orders/:id/document.xlsx',
    operationId: 'downloadOrderXlsx',
    tag,
    summary: 'The lines of one order as a workbook',
    permission: 'orders:read',
    params: byId,
    mediaTypes: [XLSX_TYPE],
    async handle(tx, { params }) {
      const { code } = await orders.get(tx, params.id);
      const lines = await papers.table(tx, { orderId: params.id });
      return xlsxTable(`${code}.xlsx`, code, ORDER_COLUMNS, lines);
    },
  });
  routes.download({
    method: 'GET',
    url: '/orders.csv',
    operationId: 'downloadOrdersCsv',
    tag,
    summary: 'Orders with their lines as CSV',
    permission: 'orders:read',
    query: z.strictObject(orderFilters),
    mediaTypes: [CSV_TYPE],
    handle: async (tx, { query }) =>
      csvTable('orders.csv', ORDER_COLUMNS, await papers.table(tx, query)),
  });
  routes.download({
    method: 'GET',
    url: '/orders.xlsx',
    operationId: 'downloadOrdersXlsx',
    tag,
    summary: 'Orders with their lines as a workbook',
    permission: 'orders:read',
    query: z.strictObject(orderFilters),
    mediaTypes: [XLSX_TYPE],
    handle: async (tx, { query }) =>
      xlsxTable('orders.xlsx', 'Orders', ORDER_COLUMNS, await papers.table(tx, query)),
  });
}
