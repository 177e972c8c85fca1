import { z } from 'zod';
import { buildLots, lotTrace, recalledLot } from '../../../shared/contract/lot-trace.ts';
import {
  lotRecall,
  lotTest,
  newLotRecall,
  newLotTest,
  newRecallLift,
  newStockLot,
  stockLot,
  stockLotFilters,
  stockLotWhole,
} from '../../../shared/contract/stock-lot.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { StockLots } from './use-cases.ts';

const tag = 'Lots';

/** Lots of materials, their tests and recalls, and where each lot went. */
export function stockLotRoutes(routes: Routes, lots: StockLots): void {
  routes.route({
    method: 'POST',
    url: '/stock-lots',
    operationId: 'createStockLot',
    tag,
    summary: 'Make a lot of a material known',
    permission: 'stock:write',
    body: newStockLot,
    response: stockLotWhole,
    status: 201,
    async handle(tx, { body }) {
      const lot = await lots.create(tx, body);
      return { body: lot, location: `/v1/stock-lots/${lot.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-lots',
    operationId: 'listStockLots',
    tag,
    summary: 'List lots by code, each with whether it may be used today',
    permission: 'stock:read',
    query: z.strictObject({ ...pageQuery, ...stockLotFilters }),
    response: pageOf(stockLot),
    async handle(tx, { query }) {
      return { body: await lots.list(tx, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-lots/:id',
    operationId: 'getStockLot',
    tag,
    summary: 'Read one lot with its tests and recalls',
    permission: 'stock:read',
    params: byId,
    response: stockLotWhole,
    handle: async (tx, { params }) => ({ body: await lots.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/stock-lots/:id/tests',
    operationId: 'recordLotTest',
    tag,
    summary: 'Record a test of a lot; the latest decides whether it may be used',
    permission: 'stock:write',
    params: byId,
    body: newLotTest,
    response: lotTest,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await lots.test(tx, params.id, body) }),
  });
  routes.route({
    method: 'POST',
    url: '/stock-lots/:id/recalls',
    operationId: 'recallStockLot',
    tag,
    summary: 'Recall a lot: nothing more is issued of it; answers what to lock and whom to visit',
    permission: 'stock:write',
    params: byId,
    body: newLotRecall,
    response: recalledLot,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await lots.recall(tx, params.id, body) }),
  });
  routes.route({
    method: 'POST',
    url: '/stock-lots/:id/recall-lifts',
    operationId: 'liftLotRecall',
    tag,
    summary: 'Lift a recall of a lot, with the reason',
    permission: 'stock:approve',
    params: byId,
    body: newRecallLift,
    response: lotRecall,
    status: 201,
    handle: async (tx, { params, body }) => ({ body: await lots.lift(tx, params.id, body) }),
  });
  routes.route({
    method: 'GET',
    url: '/stock-lots/:id/trace',
    operationId: 'traceStockLot',
    tag,
    summary: 'Where a lot came from, where it lies, and every build that it went to',
    permission: 'stock:read',
    params: byId,
    response: lotTrace,
    handle: async (tx, { params }) => ({ body: await lots.trace(tx, params.id) }),
  });
  routes.route({
    method: 'GET',
    url: '/builds/:id/lots',
    operationId: 'listLotsOfBuild',
    tag,
    summary: 'Every lot that went into a build, with where each came from',
    permission: 'stock:read',
    params: byId,
    response: buildLots,
    handle: async (tx, { params }) => ({ body: await lots.lotsOfBuild(tx, params.id) }),
  });
}
