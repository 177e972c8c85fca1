import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { packCode } from './offer.ts';
import { decisionWord, orderSummary } from './order.ts';
import {
  civilDate,
  decimal,
  id,
  instant,
  longText,
  money,
  positiveDecimal,
  shortText,
} from './values.ts';

const MAX_LINES = 500;
const MAX_PACKS = 1_000_000;

export const requisitionStatus = z
  .enum(['requested', 'approved', 'refused', 'withdrawn', 'ordered'])
  .meta({ description: 'Refused and withdrawn ones free the lines of their supply plan' });

export const newRequisition = z.strictObject({
  id: id.optional(),
  programmeId: id,
  reason: longText.min(1),
  lines: z
    .array(
      z.strictObject({
        materialId: id,
        deliveryVillageId: id,
        offerId: id,
        packCount: z.int().min(1).max(MAX_PACKS),
        needQuantity: positiveDecimal.optional().meta({
          description: "In the material's unit; what the packs hold when left out",
        }),
        neededBy: civilDate,
      }),
    )
    .min(1)
    .max(MAX_LINES),
});

export const newPlanRequisition = z
  .strictObject({
    id: id.optional(),
    reason: longText.default(''),
    lineIds: z.array(id).min(1).max(MAX_LINES).optional(),
    placeByUntil: civilDate.optional().meta({
      description: 'Every line that is to be placed by this day and is not requisitioned yet',
    }),
  })
  .refine(({ lineIds, placeByUntil }) => (lineIds === undefined) !== (placeByUntil === undefined), {
    path: ['lineIds'],
    message: 'or placeByUntil is needed, not both',
  });

const line = z
  .object({
    id,
    position: z.int(),
    supplyPlanLineId: id.nullable(),
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    unitCode: materialUnitCode,
    deliveryVillageId: id,
    deliveryVillageCode: z.string(),
    offerId: id,
    supplierId: id,
    supplierCode: z.string(),
    packCode,
    packContent: decimal,
    packCount: z.int(),
    needQuantity: decimal,
    amount: money.meta({ description: 'At the offer, with its breaks of price' }),
    placeBy: civilDate,
    neededBy: civilDate,
  })
  .meta({ id: 'RequisitionLine' });

const summary = {
  id,
  version: z.int(),
  programmeId: id,
  supplyPlanId: id.nullable(),
  code: z.string(),
  status: requisitionStatus,
  reason: z.string(),
  amount: money,
  requestedById: id,
  requestedOn: civilDate,
  decidedById: id.nullable(),
  decidedAt: instant.nullable(),
  decisionRemarks: z.string(),
  createdAt: instant,
};

export const requisitionSummary = z.object(summary).meta({ id: 'RequisitionSummary' });

export const requisition = z
  .object({ ...summary, lines: z.array(line), orders: z.array(orderSummary) })
  .meta({ id: 'Requisition' });

export const newRequisitionDecision = z.strictObject({
  decision: decisionWord,
  remarks: shortText.default(''),
});

export const newRequisitionWithdrawal = z.strictObject({ reason: shortText.min(1) });

export const requisitionFilters = {
  programmeId: id.optional(),
  supplyPlanId: id.optional(),
  status: requisitionStatus.optional(),
};

export type Requisition = z.infer<typeof requisition>;
export type RequisitionLine = z.infer<typeof line>;
export type RequisitionSummary = z.infer<typeof requisitionSummary>;
export type NewRequisition = z.infer<typeof newRequisition>;
export type NewPlanRequisition = z.infer<typeof newPlanRequisition>;
export type NewRequisitionDecision = z.infer<typeof newRequisitionDecision>;
