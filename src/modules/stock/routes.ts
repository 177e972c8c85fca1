import { z } from 'zod';
import {
  newStockEntry,
  newStockIssue,
  newStockTransfer,
  stockBalance,
  stockBalanceFilters,
  stockEntry,
  stockEntryFilters,
  stockIssue,
  stockTransfer,
} from '../../../shared/contract/stock.ts';
import { stockLotBalance } from '../../../shared/contract/stock-lot.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Stock } from './use-cases.ts';

const tag = 'Stock';

/** The stock ledger: what came into each store, what left it, for which build. */
export function stockRoutes(routes: Routes, stock: Stock): void {
  routes.route({
    method: 'POST',
    url: '/stock-entries',
    operationId: 'recordStockEntry',
    tag,
    summary: 'Receive, issue, return or count a material in a store',
    permission: 'stock:write',
    body: newStockEntry,
    response: stockEntry,
    status: 201,
    async handle(tx, { body }) {
      const entry = await stock.record(tx, body);
      return { body: entry, location: `/v1/stock-entries/${entry.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-entries',
    operationId: 'listStockEntries',
    tag,
    summary: 'Stock card: entries in the order of recording, each with its running balance',
    permission: 'stock:read',
    query: z.strictObject({ ...pageQuery, ...stockEntryFilters }),
    response: pageOf(stockEntry),
    async handle(tx, { query }) {
      return { body: await stock.listEntries(tx, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-entries/:id',
    operationId: 'getStockEntry',
    tag,
    summary: 'Read one stock entry',
    permission: 'stock:read',
    params: byId,
    response: stockEntry,
    async handle(tx, { params }) {
      return { body: await stock.get(tx, params.id) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/stock-transfers',
    operationId: 'transferStock',
    tag,
    summary: 'Move a material from one store to another',
    permission: 'stock:write',
    body: newStockTransfer,
    response: stockTransfer,
    status: 201,
    async handle(tx, { body }) {
      return { body: await stock.transfer(tx, body) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-balances',
    operationId: 'listStockBalances',
    tag,
    summary: 'What lies in the stores',
    permission: 'stock:read',
    query: z.strictObject({ ...pageQuery, ...stockBalanceFilters }),
    response: pageOf(stockBalance),
    async handle(tx, { query }) {
      return { body: await stock.listBalances(tx, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-lot-balances',
    operationId: 'listStockLotBalances',
    tag,
    summary: 'What lies in the stores by lot, and whether each lot may be used',
    permission: 'stock:read',
    query: z.strictObject({ ...pageQuery, ...stockBalanceFilters, lotId: id.optional() }),
    response: pageOf(stockLotBalance),
    async handle(tx, { query }) {
      return { body: await stock.listLotBalances(tx, query) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/stock-issues',
    operationId: 'issueStock',
    tag,
    summary: 'Issue several materials to a build on one slip, first expiring first',
    permission: 'stock:write',
    body: newStockIssue,
    response: stockIssue,
    status: 201,
    async handle(tx, { body }) {
      const slip = await stock.issue(tx, body);
      return { body: slip, location: `/v1/stock-issues/${slip.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-issues/:id',
    operationId: 'getStockIssue',
    tag,
    summary: 'Read one issue slip with the lots that were taken',
    permission: 'stock:read',
    params: byId,
    response: stockIssue,
    async handle(tx, { params }) {
      return { body: await stock.getIssue(tx, params.id) };
    },
  });
}
