import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { civilDate, decimal, id, instant, positiveDecimal, shortText } from './values.ts';

const MAX_LINES = 500;
const MAX_LOTS = 50;

const isNotTooLarge = (text: string) => Number(text) < 1e9;
const TOO_LARGE = 'must be below 1,000,000,000';

const quantity = positiveDecimal.refine(isNotTooLarge, TOO_LARGE);
const countedQuantity = decimal
  .refine((text) => !text.startsWith('-'), 'must not be negative')
  .refine(isNotTooLarge, TOO_LARGE);

export const newDeliveryNote = z.strictObject({
  id: id.optional(),
  noteNumber: z.string().trim().min(1).max(60).meta({ description: 'As the paper says' }),
  dispatchedOn: civilDate,
  dispatchedFrom: shortText.default(''),
  transporter: shortText.default(''),
  vehicle: shortText.default(''),
  remarks: shortText.default(''),
  lines: z
    .array(
      z.strictObject({
        orderLineId: id,
        dispatchedQuantity: quantity.meta({ description: "In the material's unit" }),
      }),
    )
    .min(1)
    .max(MAX_LINES),
});

export const deliveryNote = z
  .object({
    id,
    orderId: id,
    orderCode: z.string(),
    noteNumber: z.string(),
    dispatchedOn: civilDate,
    dispatchedFrom: z.string(),
    transporter: z.string(),
    vehicle: z.string(),
    remarks: z.string(),
    receiptId: id.nullable().meta({ description: 'Null while the goods are on the road' }),
    lines: z.array(
      z.object({
        id,
        orderLineId: id,
        materialId: id,
        materialCode: z.string(),
        unitCode: materialUnitCode,
        dispatchedQuantity: decimal,
      }),
    ),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'DeliveryNote' });

const lotOfReceipt = z.union([
  z.strictObject({ id }),
  z.strictObject({
    code: z.string().trim().min(1).max(60),
    manufacturedOn: civilDate.optional(),
    certificateNumber: z.string().trim().min(1).max(120).optional(),
    treatedOn: civilDate.optional(),
  }),
]);

const countedLine = z.strictObject({
  orderLineId: id,
  goodQuantity: countedQuantity.meta({ description: 'Fit for use; comes into the store' }),
  damagedQuantity: countedQuantity.default('0').meta({ description: 'Torn, wet, bent, unfit' }),
  missingQuantity: countedQuantity.default('0'),
  excessQuantity: countedQuantity.default('0').meta({ description: 'Above the delivery note' }),
  remarks: shortText.default(''),
  lots: z
    .array(z.strictObject({ lot: lotOfReceipt, quantity }))
    .max(MAX_LOTS)
    .default([])
    .meta({ description: 'Of the good quantity; needed for a material whose lots are told apart' }),
});

export const newGoodsReceipt = z.strictObject({
  id: id.optional().meta({ description: 'A receipt that is sent again with its id counts once' }),
  storeId: id,
  receivedOn: civilDate,
  isSignedByDriver: z.boolean().default(false).meta({
    description: 'Losses that the driver did not sign for are hard to claim later',
  }),
  remarks: shortText.default(''),
  lines: z.array(countedLine).min(1).max(MAX_LINES).meta({
    description: 'Every line of the note: dispatched + excess = good + damaged + missing',
  }),
});

const receiptLine = z.object({
  id,
  orderLineId: id,
  materialId: id,
  materialCode: z.string(),
  unitCode: materialUnitCode,
  dispatchedQuantity: decimal,
  goodQuantity: decimal,
  damagedQuantity: decimal,
  missingQuantity: decimal,
  excessQuantity: decimal,
  remarks: z.string(),
});

export const goodsReceipt = z
  .object({
    id,
    receiptNumber: z.string(),
    orderId: id,
    orderCode: z.string(),
    deliveryNoteId: id,
    noteNumber: z.string(),
    storeId: id,
    storeCode: z.string(),
    receivedOn: civilDate,
    isSignedByDriver: z.boolean(),
    remarks: z.string(),
    lines: z.array(receiptLine),
    claims: z.array(
      z.object({
        id,
        code: z.string(),
        kind: z.enum(['damaged', 'missing', 'excess']),
        quantity: decimal,
        status: z.string(),
      }),
    ),
    receivedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'GoodsReceipt' });

export const goodsReceiptSummary = goodsReceipt
  .omit({ lines: true, claims: true })
  .meta({ id: 'GoodsReceiptSummary' });

export const receiptFilters = { orderId: id.optional(), storeId: id.optional() };

export type NewDeliveryNote = z.infer<typeof newDeliveryNote>;
export type DeliveryNote = z.infer<typeof deliveryNote>;
export type NewGoodsReceipt = z.infer<typeof newGoodsReceipt>;
export type GoodsReceipt = z.infer<typeof goodsReceipt>;
export type GoodsReceiptSummary = z.infer<typeof goodsReceiptSummary>;
