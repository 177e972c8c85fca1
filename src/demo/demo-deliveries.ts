import type { Order, OrderLine, OrderSummary } from '../../shared/contract/order.ts';
import type { GoodsReceipt } from '../../shared/contract/receipt.ts';
import { sumMoney } from '../../shared/costing/money.ts';
import { packWorth } from '../../shared/procurement/pack-worth.ts';
import { scaleQuantity, subtractQuantities } from '../../shared/takeoff/quantity.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { fewAtATime } from './demo-client.ts';
import type { Clients } from './demo-people.ts';
import { CURRENCY } from './scenario.ts';

/** What goes into a store; the rest is tipped at the sites and not counted here. */
const STORED = new Set(['cement', 'steel-band-25x2', 'binding-wire', 'tap', 'masonry-paint']);
/** Days into the season on which the cement of the first orders was made; it keeps for 90. */
const CEMENT_MADE_AFTER_DAYS = 1;
/** One lorry in so many has a torn pack and lacks another. */
const TROUBLE_EVERY = 5;
/** Packs of a line that may spare two. */
const LEAST_PACKS_FOR_TROUBLE = 6;

export interface Deliveries {
  readonly orders: readonly OrderSummary[];
  readonly startsOn: string;
  storeOf(order: OrderSummary): string | undefined;
}

/**
 * Lorries come with their delivery notes, are counted, and invoiced. Most invoices are paid, some wait;
 * one that asks for goods that came torn or not at all is held.
 */
export async function deliverDemoOrders(
  { coordinator, storekeeper }: Clients,
  { orders, startsOn, storeOf }: Deliveries,
): Promise<void> {
  await fewAtATime(orders, 4, async (summary, index) => {
    const order = await storekeeper.get<Order>(`/orders/${summary.id}`);
    const lines = order.lines.filter(({ materialCode }) => STORED.has(materialCode));
    if (lines.length === 0) return;
    const note = await storekeeper.post(`/orders/${order.id}/delivery-notes`, {
      noteNumber: `DN-${order.code}`,
      dispatchedOn: addDays(startsOn, 8),
      dispatchedFrom: order.supplierName,
      vehicle: 'invented lorry',
      lines: lines.map(({ id, orderedQuantity }) => ({
        orderLineId: id,
        dispatchedQuantity: orderedQuantity,
      })),
    });
    const isTroubled = index % TROUBLE_EVERY === 0;
    const receipt = await storekeeper.post<GoodsReceipt>(`/delivery-notes/${note.id}/receipts`, {
      storeId: storeOf(summary),
      receivedOn: addDays(startsOn, 9),
      isSignedByDriver: true,
      lines: lines.map((line) => countOf(line, order.code, startsOn, isTroubled)),
    });
    const isForAll = isTroubled && receipt.claims.length > 0;
    const invoice = await coordinator.post<{ id: string; status: string }>('/invoices', {
      orderId: order.id,
      invoiceNumber: `INV-${order.code}`,
      invoicedOn: addDays(startsOn, 12),
      dueOn: addDays(startsOn, 42),
      ...invoiceOf(lines, receipt, isForAll),
    });
    if (invoice.status !== 'matched' || index % 2 === 1) return;
    await coordinator.post(`/invoices/${invoice.id}/payments`, {
      paidOn: addDays(startsOn, 20),
      evidence: `transfer for ${order.code}`,
    });
  });
}

function countOf(line: OrderLine, code: string, startsOn: string, isTroubled: boolean) {
  const { id, materialCode, packContent, orderedQuantity } = line;
  const lacks = isTroubled && line.packCount >= LEAST_PACKS_FOR_TROUBLE;
  const goodQuantity = lacks
    ? subtractQuantities(orderedQuantity, scaleQuantity(packContent, 2))
    : orderedQuantity;
  const manufacturedOn = addDays(startsOn, CEMENT_MADE_AFTER_DAYS);
  return {
    orderLineId: id,
    goodQuantity,
    ...(lacks ? { damagedQuantity: packContent, missingQuantity: packContent } : {}),
    ...(materialCode === 'cement'
      ? { lots: [{ lot: { code: `CEM-${code}`, manufacturedOn }, quantity: goodQuantity }] }
      : {}),
  };
}

/** An invoice for what came good, or for all that was sent. */
function invoiceOf(lines: readonly OrderLine[], receipt: GoodsReceipt, isForAll: boolean) {
  const invoiced = lines.map(({ id, packContent, pricePerPack, orderedQuantity }) => {
    const counted = receipt.lines.find(({ orderLineId }) => orderLineId === id);
    const invoicedQuantity = isForAll ? orderedQuantity : (counted?.goodQuantity ?? '0');
    return {
      orderLineId: id,
      invoicedQuantity,
      pricePerPack,
      amount: packWorth(invoicedQuantity, packContent, pricePerPack, CURRENCY),
    };
  });
  return {
    lines: invoiced,
    amount: sumMoney(
      invoiced.map(({ amount }) => amount),
      CURRENCY,
    ),
  };
}
