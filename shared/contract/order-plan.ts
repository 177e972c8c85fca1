import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { orderSummary } from './order.ts';
import { civilDate, decimal, id, instant, money } from './values.ts';

export const newOrderPlan = z
  .strictObject({
    id: id.optional(),
    pricedOn: civilDate.meta({ description: 'Day on which offers must hold' }),
    buildIds: z
      .array(id)
      .min(1)
      .max(5_000)
      .optional()
      .meta({ description: 'Only these builds; every build of the programme when left out' }),
    needsBy: civilDate.optional().meta({
      description: 'Day on which the goods are needed; offers that deliver later do not serve',
    }),
  })
  .refine(({ pricedOn, needsBy }) => needsBy === undefined || needsBy >= pricedOn, {
    path: ['needsBy'],
    message: 'must not be before pricedOn',
  });

const refusalReason = z.enum([
  'no-offer',
  'other-unit',
  'other-currency',
  'not-valid-on-date',
  'delivered-too-late',
]);

const unservedNeed = z
  .object({
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    unitCode: materialUnitCode,
    deliveryVillageId: id,
    deliveryVillageCode: z.string(),
    needQuantity: decimal,
    reason: refusalReason,
    offers: z.array(z.object({ offerId: id, reason: refusalReason })),
  })
  .meta({ id: 'UnservedNeed' });

const comparison = z
  .object({
    totalAmount: money,
    packCount: z.int(),
    roundedPerTankAmount: money.meta({
      description: 'What the same offers cost when every tank rounds up its own packs',
    }),
    roundedPerTankPackCount: z.int(),
    saving: money,
  })
  .meta({ id: 'OrderPlanComparison' });

const summary = {
  id,
  programmeId: id,
  code: z.string(),
  pricedOn: civilDate,
  buildCount: z.int(),
  comparison,
  createdById: id,
  createdAt: instant,
};

export const orderPlanSummary = z
  .object({ ...summary, unservedCount: z.int() })
  .meta({ id: 'OrderPlanSummary' });

export const orderPlan = z
  .object({ ...summary, unserved: z.array(unservedNeed), orders: z.array(orderSummary) })
  .meta({ id: 'OrderPlan' });

export type NewOrderPlan = z.infer<typeof newOrderPlan>;
export type OrderPlan = z.infer<typeof orderPlan>;
export type OrderPlanSummary = z.infer<typeof orderPlanSummary>;
export type OrderPlanComparison = z.infer<typeof comparison>;
export type UnservedNeed = z.infer<typeof unservedNeed>;
