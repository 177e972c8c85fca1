import { z } from 'zod';
import {
  newPlanRequisition,
  newRequisition,
  newRequisitionDecision,
  newRequisitionWithdrawal,
  requisition,
  requisitionFilters,
  requisitionSummary,
} from '../../../shared/contract/requisition.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Requisitions } from './use-cases.ts';

const tag = 'Requisitions';

/** Requisitions: what somebody asks to buy, another approves, and orders are made of. */
export function requisitionRoutes(routes: Routes, requisitions: Requisitions): void {
  routes.route({
    method: 'POST',
    url: '/requisitions',
    operationId: 'makeRequisition',
    tag,
    summary: 'Ask for materials by hand, each line at an offer that holds today',
    permission: 'orders:write',
    body: newRequisition,
    response: requisition,
    status: 201,
    async handle(tx, { body }) {
      const made = await requisitions.make(tx, body);
      return { body: made, location: `/v1/requisitions/${made.id}` };
    },
  });
  routes.route({
    method: 'POST',
    url: '/supply-plans/:id/requisitions',
    operationId: 'requisitionSupplyPlan',
    tag,
    summary: 'Ask for lines of a supply plan: those named, or all to be placed by a day',
    permission: 'orders:write',
    params: byId,
    body: newPlanRequisition,
    response: requisition,
    status: 201,
    async handle(tx, { params, body }) {
      const made = await requisitions.makeFromPlan(tx, params.id, body);
      return { body: made, location: `/v1/requisitions/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/requisitions',
    operationId: 'listRequisitions',
    tag,
    summary: 'List requisitions by code',
    permission: 'orders:read',
    query: z.strictObject({ ...pageQuery, ...requisitionFilters }),
    response: pageOf(requisitionSummary),
    handle: async (tx, { query }) => ({ body: await requisitions.list(tx, query) }),
  });
  routes.route({
    method: 'GET',
    url: '/requisitions/:id',
    operationId: 'getRequisition',
    tag,
    summary: 'Read one requisition with its lines and the orders made of it',
    permission: 'orders:read',
    params: byId,
    response: requisition,
    handle: async (tx, { params }) => ({ body: await requisitions.get(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/requisitions/:id/decisions',
    operationId: 'decideRequisition',
    tag,
    summary: 'Approve or refuse a requisition that another person made',
    permission: 'orders:approve',
    params: byId,
    body: newRequisitionDecision,
    response: requisition,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await requisitions.decide(tx, params.id, body),
    }),
  });
  routes.route({
    method: 'POST',
    url: '/requisitions/:id/withdrawals',
    operationId: 'withdrawRequisition',
    tag,
    summary: 'Withdraw a requisition that was not ordered; lines of a supply plan are free again',
    permission: 'orders:write',
    params: byId,
    body: newRequisitionWithdrawal,
    response: requisition,
    status: 201,
    handle: async (tx, { params, body }) => ({
      body: await requisitions.withdraw(tx, params.id, body.reason),
    }),
  });
  routes.route({
    method: 'POST',
    url: '/requisitions/:id/orders',
    operationId: 'orderRequisition',
    tag,
    summary: 'Draft approved orders: one for each supplier, village and week of need',
    permission: 'orders:write',
    params: byId,
    response: requisition,
    status: 201,
    handle: async (tx, { params }) => ({ body: await requisitions.order(tx, params.id) }),
  });
}
