import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { packCode } from './offer.ts';
import { civilDate, decimal, id, instant, money, shortText } from './values.ts';

export const orderStatus = z.enum(['draft', 'placed', 'partly-received', 'received', 'cancelled']);

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
    receivedQuantity: decimal,
  })
  .meta({ id: 'OrderLine' });

const summary = {
  id,
  programmeId: id,
  orderPlanId: id.nullable(),
  code: z.string(),
  status: orderStatus,
  supplierId: id,
  supplierCode: z.string(),
  supplierName: z.string(),
  deliveryVillageId: id,
  deliveryVillageCode: z.string(),
  deliveryVillageName: z.string(),
  pricedOn: civilDate,
  neededBy: civilDate.nullable(),
  placedOn: civilDate.nullable(),
  cancelledOn: civilDate.nullable(),
  amount: money,
  createdAt: instant,
};

export const orderSummary = z.object(summary).meta({ id: 'OrderSummary' });
export const order = z.object({ ...summary, lines: z.array(orderLine) }).meta({ id: 'Order' });

export const orderFilters = {
  programmeId: id.optional(),
  orderPlanId: id.optional(),
  supplierId: id.optional(),
  deliveryVillageId: id.optional(),
  status: orderStatus.optional(),
};

export const newOrderPlacement = z.strictObject({
  placedOn: civilDate.optional().meta({ description: 'Today when left out' }),
});

export const newOrderCancellation = z.strictObject({
  cancelledOn: civilDate.optional().meta({ description: 'Today when left out' }),
  reason: shortText.min(1),
});

export type Order = z.infer<typeof order>;
export type OrderLine = z.infer<typeof orderLine>;
export type OrderSummary = z.infer<typeof orderSummary>;
export type NewOrderPlacement = z.infer<typeof newOrderPlacement>;
export type NewOrderCancellation = z.infer<typeof newOrderCancellation>;
