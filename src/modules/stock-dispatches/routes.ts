import { z } from 'zod';
import {
  newStockArrival,
  newStockDispatch,
  stockDispatch,
  stockDispatchFilters,
} from '../../../shared/contract/stock-dispatch.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { StockDispatches } from './use-cases.ts';

const tag = 'Dispatches';

/** Goods on the road between stores, and what of them arrived. */
export function stockDispatchRoutes(routes: Routes, dispatches: StockDispatches): void {
  routes.route({
    method: 'POST',
    url: '/stock-dispatches',
    operationId: 'dispatchStock',
    tag,
    summary: 'Send materials from one store to another; they are on the road until they arrive',
    permission: 'stock:write',
    body: newStockDispatch,
    response: stockDispatch,
    status: 201,
    async handle(tx, { body }) {
      const sent = await dispatches.dispatch(tx, body);
      return { body: sent, location: `/v1/stock-dispatches/${sent.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/stock-dispatches',
    operationId: 'listStockDispatches',
    tag,
    summary: 'List dispatches in the order of recording; isOnTheRoad=true for what has not arrived',
    permission: 'stock:read',
    query: z.strictObject({ ...pageQuery, ...stockDispatchFilters }),
    response: pageOf(stockDispatch),
    handle: async (tx, { query }) => ({ body: await dispatches.list(tx, query) }),
  });
  routes.route({
    method: 'GET',
    url: '/stock-dispatches/:id',
    operationId: 'getStockDispatch',
    tag,
    summary: 'Read one dispatch with what arrived of it',
    permission: 'stock:read',
    params: byId,
    response: stockDispatch,
    handle: async (tx, { params }) => ({ body: await dispatches.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/stock-dispatches/:id/arrivals',
    operationId: 'recordStockArrival',
    tag,
    summary: 'Say what arrived: dispatched + excess = good + damaged + missing',
    permission: 'stock:write',
    params: byId,
    body: newStockArrival,
    response: stockDispatch,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await dispatches.arrive(tx, params.id, body),
    }),
  });
}
