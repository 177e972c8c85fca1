import { z } from 'zod';
import {
  invoice,
  invoiceFilters,
  invoiceSummary,
  newInvoice,
  newInvoicePayment,
  newInvoiceRelease,
} from '../../../shared/contract/invoice.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Invoices } from './use-cases.ts';

const tag = 'Invoices';

/** Invoices of suppliers: matched with order and receipts, released by another person, paid. */
export function invoiceRoutes(routes: Routes, invoices: Invoices): void {
  routes.route({
    method: 'POST',
    url: '/invoices',
    operationId: 'recordInvoice',
    tag,
    summary: 'Record an invoice and match it with its order and what was received',
    permission: 'money:write',
    body: newInvoice,
    response: invoice,
    status: 201,
    async handle(tx, { body }) {
      const recorded = await invoices.record(tx, body);
      return { body: recorded, location: `/v1/invoices/${recorded.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/invoices',
    operationId: 'listInvoices',
    tag,
    summary: 'List invoices by the day on which they are due',
    permission: 'money:read',
    query: z.strictObject({ ...pageQuery, ...invoiceFilters }),
    response: pageOf(invoiceSummary),
    handle: async (tx, { query }) => ({ body: await invoices.list(tx, query) }),
  });
  routes.route({
    method: 'GET',
    url: '/invoices/:id',
    operationId: 'getInvoice',
    tag,
    summary: 'Read one invoice with its lines and what the match found',
    permission: 'money:read',
    params: byId,
    response: invoice,
    handle: async (tx, { params }) => ({ body: await invoices.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/invoices/:id/matches',
    operationId: 'matchInvoice',
    tag,
    summary: 'Match an invoice again, after more was received or the order was amended',
    permission: 'money:write',
    params: byId,
    response: invoice,
    handle: async (tx, { params }) => ({ body: await invoices.match(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/invoices/:id/releases',
    operationId: 'releaseInvoice',
    tag,
    summary: 'Release or reject a held invoice that another person recorded, with the reason',
    permission: 'orders:approve',
    params: byId,
    body: newInvoiceRelease,
    response: invoice,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await invoices.release(tx, params.id, body) }),
  });
  routes.route({
    method: 'POST',
    url: '/invoices/:id/payments',
    operationId: 'payInvoice',
    tag,
    summary: 'Say that an invoice was paid; the ledger moves what was owed to what is paid',
    permission: 'money:write',
    params: byId,
    body: newInvoicePayment,
    response: invoice,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await invoices.pay(tx, params.id, body) }),
  });
}
