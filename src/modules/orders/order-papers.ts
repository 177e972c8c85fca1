import type { Order } from '../../../shared/contract/order.ts';
import type { Tx } from '../../db/database.ts';
import { findParties, listMaterials } from './document-repository.ts';
import { handlingCautions } from './handling-cautions.ts';
import { listOrderTable } from './line-repository.ts';
import { orderDocument } from './order-document.ts';

/** Orders as papers and tables. */
export interface OrderPapers {
  /** The page of an order, to print. */
  page(tx: Tx, id: string): Promise<{ readonly code: string; readonly html: string }>;
  readonly table: typeof listOrderTable;
}

export function createOrderPapers(readOrder: (tx: Tx, id: string) => Promise<Order>): OrderPapers {
  return {
    table: listOrderTable,
    async page(tx, id) {
      const order = await readOrder(tx, id);
      const parties = await findParties(tx, id);
      if (!parties) throw new Error('An order has no parties');
      const cautions = handlingCautions(await listMaterials(tx, id));
      return { code: order.code, html: orderDocument(order, parties, cautions) };
    },
  };
}
