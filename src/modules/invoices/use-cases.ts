import { v7 as uuidv7 } from 'uuid';
import type {
  Invoice,
  NewInvoice,
  NewInvoicePayment,
  NewInvoiceRelease,
} from '../../../shared/contract/invoice.ts';
import type { Order } from '../../../shared/contract/order.ts';
import { compareMoney, money, zeroMoney } from '../../../shared/costing/money.ts';
import { type InvoiceFinding, matchInvoice } from '../../../shared/procurement/invoice-match.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import type { CostMovement } from '../orders/order-costs.ts';
import {
  findInvoice,
  findLikeNumbers,
  insertInvoice,
  listInvoices,
  lockInvoice,
  payInvoice,
  releaseInvoice,
  sumInvoiced,
  writeMatch,
} from './repository.ts';

/** What invoices need of the orders that they are for. */
export interface InvoicedOrders {
  get(tx: Tx, id: string): Promise<Order>;
  lock(tx: Tx, id: string): Promise<Order>;
  settle(tx: Tx, id: string, movement: CostMovement): Promise<void>;
}

export interface Invoices {
  readonly list: typeof listInvoices;
  get(tx: Tx, id: string): Promise<Invoice>;
  record(tx: Tx, input: NewInvoice): Promise<Invoice>;
  /** Matches a held invoice again, after more was received or the order was amended. */
  match(tx: Tx, id: string): Promise<Invoice>;
  release(tx: Tx, id: string, input: NewInvoiceRelease): Promise<Invoice>;
  pay(tx: Tx, id: string, input: NewInvoicePayment): Promise<Invoice>;
}

const INVOICEABLE = new Set(['placed', 'partly-received', 'received', 'closed']);

export function createInvoices(clock: Clock, orders: InvoicedOrders): Invoices {
  async function get(tx: Tx, id: string): Promise<Invoice> {
    const invoice = await findInvoice(tx, id);
    if (!invoice) throw notFound('invoice', id);
    return invoice;
  }

  /** The order first and then the invoice, as everybody holds them. */
  async function lock(tx: Tx, id: string): Promise<{ order: Order; invoice: Invoice }> {
    const { orderId } = await get(tx, id);
    const order = await orders.lock(tx, orderId);
    const invoice = await lockInvoice(tx, id);
    if (!invoice) throw notFound('invoice', id);
    return { order, invoice };
  }

  return {
    list: listInvoices,
    get,

    async record(tx, input) {
      const order = await requireOrder(tx, input.orderId);
      const id = input.id ?? uuidv7();
      const earlier = input.id === undefined ? null : await findInvoice(tx, id);
      if (earlier) return sameOrConflict(earlier, input);
      refuseFutureDate(clock, '/invoicedOn', input.invoicedOn);
      if (!INVOICEABLE.has(order.status)) {
        throw ruleBroken(
          'invoice-of-placed-order',
          `Order ${order.code} is ${order.status}; nothing is owed for it.`,
        );
      }
      const otherCharges = input.otherCharges ?? zeroMoney(input.amount.currency);
      requireOrderLines(order, input);
      const findings = await findingsOf(tx, order, { ...input, id, otherCharges }, null);
      await refuseUsedNumber(tx, order, input.invoiceNumber, id);
      const status = findings.length === 0 ? 'matched' : 'held';
      const { supplierId } = order;
      await insertInvoice(tx, { ...input, id, supplierId, otherCharges, status, findings });
      await tx.audit('record', 'invoice', id, { ...input, status, findings });
      return get(tx, id);
    },

    async match(tx, id) {
      const { order, invoice } = await lock(tx, id);
      requireStatus(invoice, ['held', 'matched'], 'matched again');
      const findings = await findingsOf(tx, order, invoice, invoice.createdAt);
      await writeMatch(tx, id, findings);
      await tx.audit('match', 'invoice', id, { findings });
      return get(tx, id);
    },

    async release(tx, id, { decision, reason }) {
      const { invoice } = await lock(tx, id);
      requireStatus(invoice, ['held'], decision);
      if (invoice.recordedById === tx.actor.personId) {
        throw ruleBroken(
          'decided-by-another',
          `Invoice ${invoice.invoiceNumber} was recorded by the person who wants to decide; another person decides.`,
        );
      }
      const currency = invoice.findings.find(({ kind }) => kind === 'currency-differs');
      if (decision === 'released' && currency) {
        throw ruleBroken(
          'invoice-in-currency-of-order',
          `The order is in ${currency.expected} and the invoice in ${currency.found}; reject it and have it written anew.`,
        );
      }
      await releaseInvoice(tx, id, decision, reason);
      await tx.audit(decision === 'released' ? 'release' : 'reject', 'invoice', id, { reason });
      return get(tx, id);
    },

    async pay(tx, id, { paidOn = clock.today(), evidence }) {
      const { order, invoice } = await lock(tx, id);
      if (invoice.status === 'paid') {
        throw ruleBroken(
          'invoice-paid-once',
          `Invoice ${invoice.invoiceNumber} was paid on ${invoice.paidOn} already.`,
        );
      }
      requireStatus(invoice, ['matched', 'released'], 'paid');
      if (order.amendments.length > 0 && order.approval !== 'approved') {
        throw ruleBroken(
          'order-not-approved',
          `Order ${order.code} was amended and is not approved as it stands now; nothing is paid for it.`,
        );
      }
      refuseFutureDate(clock, '/paidOn', paidOn);
      if (paidOn < (order.placedOn ?? paidOn)) {
        throw invalidContent([
          {
            pointer: '/paidOn',
            code: 'date.out-of-range',
            message: `must not be before ${order.placedOn}, when the order was placed`,
            rejectedValue: paidOn,
          },
        ]);
      }
      await payInvoice(tx, id, paidOn);
      await orders.settle(tx, order.id, {
        occurredOn: paidOn,
        evidence: `invoice ${invoice.invoiceNumber}, ${evidence}`.slice(0, 500),
        payment: { invoiceId: id, amount: invoice.amount },
      });
      await tx.audit('pay', 'invoice', id, { paidOn, evidence });
      return get(tx, id);
    },
  };

  async function requireOrder(tx: Tx, orderId: string): Promise<Order> {
    try {
      return await orders.lock(tx, orderId);
    } catch (error) {
      if (!(error instanceof DomainError) || error.code !== 'not-found') throw error;
      throw invalidContent([
        {
          pointer: '/orderId',
          code: 'reference.unknown',
          message: 'names an order that does not exist',
          rejectedValue: orderId,
        },
      ]);
    }
  }
}

type Matched = Pick<Invoice, 'id' | 'invoiceNumber' | 'amount' | 'otherCharges'> & {
  readonly lines: readonly Pick<
    Invoice['lines'][number],
    'orderLineId' | 'invoicedQuantity' | 'pricePerPack' | 'amount'
  >[];
};

async function findingsOf(
  tx: Tx,
  order: Order,
  invoice: Matched,
  recordedAt: string | null,
): Promise<InvoiceFinding[]> {
  const inFull = ({ amount, currency }: Invoice['amount']) => money(amount, currency);
  const before = await sumInvoiced(tx, order.id, invoice.id, recordedAt);
  return matchInvoice(
    {
      invoiceNumber: invoice.invoiceNumber,
      amount: inFull(invoice.amount),
      otherCharges: inFull(invoice.otherCharges),
      lines: invoice.lines.map((line) => ({ ...line, amount: inFull(line.amount) })),
    },
    {
      currency: order.amount.currency,
      lines: order.lines.map(({ id, packContent, pricePerPack, receivedQuantity }) => ({
        orderLineId: id,
        ...{ packContent, pricePerPack, receivedQuantity },
        invoicedBefore: before.get(id) ?? '0',
      })),
      earlierNumbers: await findLikeNumbers(
        tx,
        order.supplierId,
        invoice.invoiceNumber,
        invoice.id,
      ),
    },
  );
}

async function refuseUsedNumber(tx: Tx, order: Order, invoiceNumber: string, id: string) {
  const like = await findLikeNumbers(tx, order.supplierId, invoiceNumber, id);
  if (!like.includes(invoiceNumber)) return;
  const detail = `Invoice ${invoiceNumber} of ${order.supplierCode} is on record already.`;
  throw ruleBroken('invoice-number-once', detail, [
    {
      pointer: '/invoiceNumber',
      code: 'duplicate-number',
      message: detail,
      rejectedValue: invoiceNumber,
    },
  ]);
}

function requireOrderLines(order: Order, { lines }: NewInvoice): void {
  const errors = lines.flatMap(({ orderLineId }, index) =>
    order.lines.some(({ id }) => id === orderLineId)
      ? []
      : [
          {
            pointer: `/lines/${index}/orderLineId`,
            code: 'reference.unknown',
            message: `is not a line of order ${order.code}`,
            rejectedValue: orderLineId,
          },
        ],
  );
  if (errors.length > 0) throw invalidContent(errors);
}

function requireStatus(invoice: Invoice, allowed: readonly Invoice['status'][], verb: string) {
  if (allowed.includes(invoice.status)) return;
  throw ruleBroken(
    invoice.status === 'held' ? 'invoice-held' : 'invoice-settled',
    `Invoice ${invoice.invoiceNumber} is ${invoice.status}; only one that is ${allowed.join(' or ')} is ${verb}.`,
  );
}

function sameOrConflict(earlier: Invoice, input: NewInvoice): Invoice {
  const isSame =
    earlier.orderId === input.orderId &&
    earlier.invoiceNumber === input.invoiceNumber &&
    earlier.lines.length === input.lines.length &&
    earlier.amount.currency === input.amount.currency &&
    compareMoney(earlier.amount, money(input.amount.amount, input.amount.currency)) === 0;
  if (isSame) return earlier;
  throw new DomainError('conflict', { detail: `Invoice ${earlier.id} says something else.` });
}
