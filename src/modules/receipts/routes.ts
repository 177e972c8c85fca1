import { z } from 'zod';
import {
  deliveryNote,
  goodsReceipt,
  goodsReceiptSummary,
  newDeliveryNote,
  newGoodsReceipt,
  receiptFilters,
} from '../../../shared/contract/receipt.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Receipts } from './use-cases.ts';

const tag = 'Receipts';

/** Deliveries: what a supplier's note says was sent, and what was counted when it came. */
export function receiptRoutes(routes: Routes, receipts: Receipts): void {
  routes.route({
    method: 'POST',
    url: '/orders/:id/delivery-notes',
    operationId: 'recordDeliveryNote',
    tag,
    summary: 'Record the delivery note of goods that are on the road for an order',
    permission: 'stock:write',
    params: byId,
    body: newDeliveryNote,
    response: deliveryNote,
    status: 201,
    async handle(tx, { params, body }) {
      const note = await receipts.recordNote(tx, params.id, body);
      return { body: note, location: `/v1/delivery-notes/${note.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/orders/:id/delivery-notes',
    operationId: 'listDeliveryNotes',
    tag,
    summary: 'List the delivery notes of an order, with those still on the road',
    permission: 'orders:read',
    params: byId,
    response: z.object({ items: z.array(deliveryNote) }),
    handle: async (tx, { params }) => ({ body: { items: await receipts.notes(tx, params.id) } }),
  });
  routes.route({
    method: 'GET',
    url: '/delivery-notes/:id',
    operationId: 'getDeliveryNote',
    tag,
    summary: 'Read one delivery note',
    permission: 'orders:read',
    params: byId,
    response: deliveryNote,
    handle: async (tx, { params }) => ({ body: await receipts.getNote(tx, params.id) }),
  });
  routes.route({
    method: 'POST',
    url: '/delivery-notes/:id/receipts',
    operationId: 'receiveGoods',
    tag,
    summary: 'Count what came: good into the store, damaged and missing claimed, excess to settle',
    permission: 'stock:write',
    params: byId,
    body: newGoodsReceipt,
    response: goodsReceipt,
    status: 201,
    async handle(tx, { params, body }) {
      const receipt = await receipts.receive(tx, params.id, body);
      return { body: receipt, location: `/v1/receipts/${receipt.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/receipts',
    operationId: 'listReceipts',
    tag,
    summary: 'List receipts by day',
    permission: 'orders:read',
    query: z.strictObject({ ...pageQuery, ...receiptFilters }),
    response: pageOf(goodsReceiptSummary),
    handle: async (tx, { query }) => ({ body: await receipts.list(tx, query) }),
  });
  routes.route({
    method: 'GET',
    url: '/receipts/:id',
    operationId: 'getReceipt',
    tag,
    summary: 'Read one receipt with its counts and claims',
    permission: 'orders:read',
    params: byId,
    response: goodsReceipt,
    handle: async (tx, { params }) => ({ body: await receipts.get(tx, params.id) }),
  });
}
