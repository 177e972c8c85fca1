import { z } from 'zod';
import {
  newOrderAmendment,
  newOrderCancellation,
  newOrderClosure,
  newOrderDecision,
  newOrderPlacement,
  order,
  orderCosts,
  orderFilters,
  orderSummary,
} from '../../../shared/contract/order.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Orders } from './use-cases.ts';

const tag = 'Orders';

/** Purchase orders: one for each supplier and village that a plan found. */
export function orderRoutes(routes: Routes, orders: Orders): void {
  routes.route({
    method: 'GET',
    url: '/orders',
    operationId: 'listOrders',
    tag,
    summary: 'List orders by code',
    permission: 'orders:read',
    query: z.strictObject({ ...pageQuery, ...orderFilters }),
    response: pageOf(orderSummary),
    async handle(tx, { query }) {
      return { body: await orders.list(tx, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/orders/:id',
    operationId: 'getOrder',
    tag,
    summary: 'Read one order with its lines and what was received of each',
    permission: 'orders:read',
    params: byId,
    response: order,
    async handle(tx, { params }) {
      return { body: await orders.get(tx, params.id) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/orders/:id/costs',
    operationId: 'getOrderCosts',
    tag,
    summary: 'Read what an order commits, owes and paid, line by line, and differences of price',
    permission: 'money:read',
    params: byId,
    response: orderCosts,
    async handle(tx, { params }) {
      return { body: await orders.costs(tx, params.id) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/orders/:id/decisions',
    operationId: 'decideOrder',
    tag,
    summary: 'Approve or refuse an order that another person requested or amended',
    permission: 'orders:approve',
    params: byId,
    body: newOrderDecision,
    response: order,
    status: 201,
    async handle(tx, { params, body }) {
      return { body: await orders.decide(tx, params.id, body) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/orders/:id/placements',
    operationId: 'placeOrder',
    tag,
    summary: 'Say that an approved draft was sent to its supplier; its cost is committed',
    permission: 'orders:write',
    params: byId,
    body: newOrderPlacement,
    response: order,
    async handle(tx, { params, body }) {
      return { body: await orders.place(tx, params.id, body) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/orders/:id/cancellations',
    operationId: 'cancelOrder',
    tag,
    summary: 'Cancel an order of which nothing was received; its needs can be ordered again',
    permission: 'orders:write',
    params: byId,
    body: newOrderCancellation,
    response: order,
    async handle(tx, { params, body }) {
      return { body: await orders.cancel(tx, params.id, body) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/orders/:id/amendments',
    operationId: 'amendOrder',
    tag,
    summary: 'Change packs, prices or the day of need; a higher amount waits for approval again',
    permission: 'orders:write',
    params: byId,
    body: newOrderAmendment,
    response: order,
    status: 201,
    async handle(tx, { params, body }) {
      return { body: await orders.amend(tx, params.id, body) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/orders/:id/closures',
    operationId: 'closeOrder',
    tag,
    summary: 'End an order that came in part; what did not come is committed no more',
    permission: 'orders:write',
    params: byId,
    body: newOrderClosure,
    response: order,
    async handle(tx, { params, body }) {
      return { body: await orders.close(tx, params.id, body) };
    },
  });
}
