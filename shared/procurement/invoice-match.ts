import Big from 'big.js';
import { compareMoney, type Money, money, sumMoney } from '../costing/money.ts';
import { compareQuantities, type Quantity, sumQuantities } from '../takeoff/quantity.ts';
import { packWorth } from './pack-worth.ts';

export const INVOICE_FINDING_KINDS = [
  'price-above-order',
  'quantity-above-received',
  'not-received',
  'not-ordered',
  'charges-not-ordered',
  'currency-differs',
  'arithmetic',
  'duplicate-number',
] as const;
export type InvoiceFindingKind = (typeof INVOICE_FINDING_KINDS)[number];

/** What an order line says, what came of it and what earlier invoices asked for. */
export interface MatchedOrderLine {
  readonly orderLineId: string;
  readonly packContent: Quantity;
  /** Decimal text, at most 6 decimals. */
  readonly pricePerPack: string;
  /** Taken in as good, in the material's unit. */
  readonly receivedQuantity: Quantity;
  /** On earlier invoices that were not rejected. */
  readonly invoicedBefore: Quantity;
}

export interface MatchedInvoiceLine {
  readonly orderLineId: string;
  /** In the material's unit. */
  readonly invoicedQuantity: Quantity;
  readonly pricePerPack: string;
  readonly amount: Money;
}

export interface MatchedInvoice {
  readonly invoiceNumber: string;
  readonly amount: Money;
  /** Transport, handling and other things that are no line of the order. */
  readonly otherCharges: Money;
  readonly lines: readonly MatchedInvoiceLine[];
}

/** By how much an invoice may be above, as a share; nothing unless somebody says more. */
export interface MatchTolerance {
  readonly priceRatio: string;
  readonly quantityRatio: string;
}

export const NO_TOLERANCE: MatchTolerance = { priceRatio: '0', quantityRatio: '0' };

export interface InvoiceFinding {
  readonly kind: InvoiceFindingKind;
  /** Null for what concerns the whole invoice. */
  readonly orderLineId: string | null;
  readonly expected: string;
  readonly found: string;
}

export interface MatchedAgainst {
  readonly currency: string;
  readonly lines: readonly MatchedOrderLine[];
  /** Numbers of other invoices of the supplier, as they are written. */
  readonly earlierNumbers: readonly string[];
}

const above = (limit: string, ratio: string): Big => new Big(limit).times(new Big(1).plus(ratio));

/** Spaces and letter case do not make another number. */
const sameNumber = (one: string, other: string) =>
  one.replace(/\s+/g, '').toUpperCase() === other.replace(/\s+/g, '').toUpperCase();

/**
 * The three-way match: what an invoice asks against what was ordered and what was received as good.
 *
 * Findings: a price above the order's; more than was received, earlier invoices counted; a line of
 * which nothing came; a line that is none of the order's; charges beside the lines; another
 * currency; sums that are not what their parts give; a number that the supplier used before. An
 * invoice without findings may be paid. What lies below the order is no finding.
 *
 * @param tolerance shares by which price and quantity may be above; none when left out
 * @throws {EngineError} `out-of-range` for text that is no decimal
 * @source care-food-manual-1998; costing-own
 */
export function matchInvoice(
  invoice: MatchedInvoice,
  against: MatchedAgainst,
  tolerance: MatchTolerance = NO_TOLERANCE,
): InvoiceFinding[] {
  const findings: InvoiceFinding[] = [];
  const find = (
    kind: InvoiceFindingKind,
    orderLineId: string | null,
    expected: string,
    found: string,
  ) => findings.push({ kind, orderLineId, expected, found });
  const { currency } = invoice.amount;
  if (currency !== against.currency) find('currency-differs', null, against.currency, currency);
  const used = against.earlierNumbers.find((number) => sameNumber(number, invoice.invoiceNumber));
  if (used !== undefined) find('duplicate-number', null, 'a new number', used);

  for (const line of invoice.lines) {
    const ordered = against.lines.find(({ orderLineId }) => orderLineId === line.orderLineId);
    if (!ordered) {
      find('not-ordered', line.orderLineId, 'a line of the order', line.orderLineId);
      continue;
    }
    const { pricePerPack, packContent, receivedQuantity, invoicedBefore } = ordered;
    if (new Big(line.pricePerPack).gt(above(pricePerPack, tolerance.priceRatio))) {
      find('price-above-order', line.orderLineId, pricePerPack, line.pricePerPack);
    }
    const invoiced = sumQuantities([invoicedBefore, line.invoicedQuantity]);
    if (compareQuantities(receivedQuantity, '0') === 0) {
      find('not-received', line.orderLineId, '0', invoiced);
    } else if (new Big(invoiced).gt(above(receivedQuantity, tolerance.quantityRatio))) {
      find('quantity-above-received', line.orderLineId, receivedQuantity, invoiced);
    }
    const { invoicedQuantity, pricePerPack: price } = line;
    const worth = packWorth(invoicedQuantity, packContent, price, currency);
    if (compareMoney(worth, line.amount) !== 0) {
      find('arithmetic', line.orderLineId, worth.amount, line.amount.amount);
    }
  }
  const parts = [...invoice.lines.map(({ amount }) => amount), invoice.otherCharges];
  const total = sumMoney(parts, currency);
  if (compareMoney(total, invoice.amount) !== 0) {
    find('arithmetic', null, total.amount, invoice.amount.amount);
  }
  if (compareMoney(invoice.otherCharges, money('0', currency)) !== 0) {
    find('charges-not-ordered', null, '0', invoice.otherCharges.amount);
  }
  return findings;
}
