import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { packCode, pricePerPack } from './offer.ts';
import { civilDate, decimal, id, instant, longText, money, shortText } from './values.ts';

export const orderStatus = z
  .enum(['draft', 'placed', 'partly-received', 'received', 'closed', 'cancelled'])
  .meta({ description: 'closed: ended short of what was ordered, with a reason' });

export const decisionWord = z.enum(['approved', 'refused']);

const approval = z.enum(['waiting', 'approved', 'refused']).meta({
  description:
    'The newest decision; waiting when there is none, or when the amount rose above the approved one',
});

export const orderLine = z
  .object({
    id,
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    offerId: id,
    unitCode: materialUnitCode,
    needQuantity: decimal.meta({ description: 'What the builds need, with waste' }),
    packCode,
    packContent: decimal,
    packCount: z.int(),
    orderedQuantity: decimal.meta({ description: 'packCount × packContent = need + rounding' }),
    roundingQuantity: decimal,
    pricePerPack: z.string(),
    amount: money,
    receivedQuantity: decimal.meta({ description: 'Taken in as good' }),
  })
  .meta({ id: 'OrderLine' });

const summary = {
  id,
  programmeId: id,
  orderPlanId: id.nullable(),
  requisitionId: id.nullable(),
  supplyPlanId: id.nullable(),
  requestedById: id.nullable(),
  code: z.string(),
  version: z.int(),
  status: orderStatus,
  approval,
  supplierId: id,
  supplierCode: z.string(),
  supplierName: z.string(),
  deliveryVillageId: id,
  deliveryVillageCode: z.string(),
  deliveryVillageName: z.string(),
  pricedOn: civilDate,
  neededBy: civilDate.nullable(),
  placedOn: civilDate.nullable(),
  expectedOn: civilDate.nullable().meta({
    description: 'The day of placing and the longest lead time of its offers',
  }),
  cancelledOn: civilDate.nullable(),
  closedOn: civilDate.nullable(),
  closingReason: z.string(),
  amount: money,
  createdAt: instant,
};

export const orderDecision = z
  .object({
    id,
    decision: decisionWord,
    orderVersion: z.int(),
    amount: money,
    remarks: z.string(),
    requestedById: id,
    decidedById: id,
    decidedAt: instant,
  })
  .meta({ id: 'OrderDecision' });

const lineTerms = z.object({ packCount: z.int(), pricePerPack: z.string(), amount: money });

export const orderAmendment = z
  .object({
    id,
    amendmentNumber: z.int(),
    amendedOn: civilDate,
    reason: z.string(),
    neededBy: z
      .object({ before: civilDate.nullable(), after: civilDate.nullable() })
      .nullable()
      .meta({ description: 'Null when the day stays' }),
    lines: z.array(
      z.object({ orderLineId: id, materialCode: z.string(), before: lineTerms, after: lineTerms }),
    ),
    amountBefore: money,
    amountAfter: money,
    amendedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'OrderAmendment' });

export const orderSummary = z.object(summary).meta({ id: 'OrderSummary' });
export const order = z
  .object({
    ...summary,
    lines: z.array(orderLine),
    decisions: z.array(orderDecision),
    amendments: z.array(orderAmendment),
  })
  .meta({ id: 'Order' });

export const orderFilters = {
  programmeId: id.optional(),
  orderPlanId: id.optional(),
  supplierId: id.optional(),
  deliveryVillageId: id.optional(),
  status: orderStatus.optional(),
};

export const newOrderDecision = z.strictObject({
  id: id.optional(),
  decision: decisionWord,
  remarks: shortText.default(''),
});

export const newOrderPlacement = z.strictObject({
  placedOn: civilDate.optional().meta({ description: 'Today when left out' }),
  budgetLineCode: z.string().min(1).max(40).optional().meta({
    description: 'Budget line with this code in every grant that pays for the order',
  }),
});

export const newOrderCancellation = z.strictObject({
  cancelledOn: civilDate.optional().meta({ description: 'Today when left out' }),
  reason: shortText.min(1),
});

export const newOrderClosure = z.strictObject({
  closedOn: civilDate.optional().meta({ description: 'Today when left out' }),
  reason: shortText.min(1),
});

const MAX_PACKS = 1_000_000;
const MAX_LINES = 500;

const amendedLine = z
  .strictObject({
    orderLineId: id,
    packCount: z.int().min(0).max(MAX_PACKS).optional(),
    pricePerPack: pricePerPack.optional(),
  })
  .refine(({ packCount, pricePerPack: price }) => packCount !== undefined || price !== undefined, {
    path: ['packCount'],
    message: 'or pricePerPack is needed',
  });

export const newOrderAmendment = z
  .strictObject({
    id: id.optional(),
    amendedOn: civilDate.optional().meta({ description: 'Today when left out' }),
    reason: longText.min(1),
    neededBy: civilDate.optional(),
    lines: z.array(amendedLine).max(MAX_LINES).default([]),
  })
  .refine(({ neededBy, lines }) => neededBy !== undefined || lines.length > 0, {
    path: ['lines'],
    message: 'or neededBy is needed: an amendment changes something',
  });

const costLine = z.object({
  orderLineId: id,
  materialCode: z.string(),
  amount: money,
  committed: money,
  accrued: money,
  paidAtOrderPrices: money,
  invoicedAmount: money.meta({ description: 'What paid invoices ask for this line' }),
  priceDifference: money.meta({ description: 'invoicedAmount − paidAtOrderPrices' }),
});

export const orderCosts = z
  .object({
    orderId: id,
    isFollowed: z.boolean().meta({
      description: 'False for an order placed before its costs were followed, and for drafts',
    }),
    amount: money,
    committed: money,
    accrued: money,
    paidAtOrderPrices: money,
    paid: money.meta({ description: 'Paid invoices, other charges included' }),
    otherCharges: money,
    priceDifference: money.meta({ description: 'paid − paidAtOrderPrices − otherCharges' }),
    lines: z.array(costLine),
  })
  .meta({ id: 'OrderCosts' });

export type Order = z.infer<typeof order>;
export type OrderLine = z.infer<typeof orderLine>;
export type OrderSummary = z.infer<typeof orderSummary>;
export type OrderDecision = z.infer<typeof orderDecision>;
export type OrderAmendment = z.infer<typeof orderAmendment>;
export type OrderCosts = z.infer<typeof orderCosts>;
export type NewOrderDecision = z.infer<typeof newOrderDecision>;
export type NewOrderPlacement = z.infer<typeof newOrderPlacement>;
export type NewOrderCancellation = z.infer<typeof newOrderCancellation>;
export type NewOrderClosure = z.infer<typeof newOrderClosure>;
export type NewOrderAmendment = z.infer<typeof newOrderAmendment>;
