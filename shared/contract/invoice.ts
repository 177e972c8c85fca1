import { z } from 'zod';
import { INVOICE_FINDING_KINDS } from '../procurement/invoice-match.ts';
import { materialUnitCode } from './material.ts';
import { pricePerPack } from './offer.ts';
import {
  civilDate,
  decimal,
  id,
  instant,
  longText,
  money,
  notNegativeMoney,
  positiveDecimal,
  shortText,
} from './values.ts';

const MAX_LINES = 500;

export const invoiceStatus = z.enum(['matched', 'held', 'released', 'paid', 'rejected']).meta({
  description:
    'matched: agrees with order and receipts; held: does not, until another person releases or rejects it',
});

export const newInvoice = z
  .strictObject({
    id: id.optional(),
    orderId: id,
    invoiceNumber: z.string().trim().min(1).max(60),
    invoicedOn: civilDate,
    dueOn: civilDate,
    amount: notNegativeMoney.meta({ description: 'Lines and other charges' }),
    otherCharges: notNegativeMoney.optional().meta({
      description: 'Transport, handling and what else is no line of the order; none when left out',
    }),
    lines: z
      .array(
        z.strictObject({
          orderLineId: id,
          invoicedQuantity: positiveDecimal
            .refine((text) => Number(text) < 1e9, 'must be below 1,000,000,000')
            .meta({ description: "In the material's unit" }),
          pricePerPack,
          amount: notNegativeMoney,
        }),
      )
      .min(1)
      .max(MAX_LINES),
  })
  .superRefine((input, context) => {
    const refuse = (path: (string | number)[], message: string) =>
      context.addIssue({ code: 'custom', path, message });
    if (input.dueOn < input.invoicedOn) refuse(['dueOn'], 'must not be before invoicedOn');
    const { currency } = input.amount;
    const message = `must be ${currency}, as the invoice`;
    if (input.otherCharges && input.otherCharges.currency !== currency) {
      refuse(['otherCharges', 'currency'], message);
    }
    const seen = new Set<string>();
    for (const [index, { amount, orderLineId }] of input.lines.entries()) {
      if (amount.currency !== currency) refuse(['lines', index, 'amount', 'currency'], message);
      if (seen.has(orderLineId)) refuse(['lines', index, 'orderLineId'], 'occurs twice');
      seen.add(orderLineId);
    }
  });

const finding = z
  .object({
    kind: z.enum(INVOICE_FINDING_KINDS),
    orderLineId: id.nullable().meta({ description: 'Null for what concerns the whole invoice' }),
    expected: z.string(),
    found: z.string(),
  })
  .meta({ id: 'InvoiceFinding' });

const summary = {
  id,
  version: z.int(),
  orderId: id,
  orderCode: z.string(),
  supplierId: id,
  supplierCode: z.string(),
  invoiceNumber: z.string(),
  invoicedOn: civilDate,
  dueOn: civilDate,
  amount: money,
  otherCharges: money,
  status: invoiceStatus,
  findings: z.array(finding),
  releaseReason: z.string().meta({ description: 'Why it was released or rejected' }),
  recordedById: id,
  releasedById: id.nullable(),
  releasedAt: instant.nullable(),
  paidOn: civilDate.nullable(),
  createdAt: instant,
};

export const invoiceSummary = z.object(summary).meta({ id: 'InvoiceSummary' });

export const invoice = z
  .object({
    ...summary,
    lines: z.array(
      z.object({
        id,
        orderLineId: id,
        materialCode: z.string(),
        unitCode: materialUnitCode,
        invoicedQuantity: decimal,
        pricePerPack: z.string(),
        amount: money,
      }),
    ),
  })
  .meta({ id: 'Invoice' });

export const newInvoiceRelease = z.strictObject({
  decision: z.enum(['released', 'rejected']).default('released'),
  reason: longText.min(1),
});

export const newInvoicePayment = z.strictObject({
  paidOn: civilDate.optional().meta({ description: 'Today when left out' }),
  evidence: shortText.min(1).meta({ description: 'Number of the transfer or the cash voucher' }),
});

export const invoiceFilters = {
  orderId: id.optional(),
  supplierId: id.optional(),
  status: invoiceStatus.optional(),
};

export type NewInvoice = z.infer<typeof newInvoice>;
export type Invoice = z.infer<typeof invoice>;
export type InvoiceSummary = z.infer<typeof invoiceSummary>;
export type NewInvoiceRelease = z.infer<typeof newInvoiceRelease>;
export type NewInvoicePayment = z.infer<typeof newInvoicePayment>;
