import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { packCode } from './offer.ts';
import { civilDate, decimal, id } from './values.ts';

/** Weeks that a season may be looked at in one answer. */
export const MAX_NEED_PERIODS = 60;

/** Age that goods with a shelf life are taken to have when they arrive; ours, from no source. */
export const AGE_AT_ARRIVAL_DAYS = 14;

export const needsQuery = {
  startsOn: civilDate.optional().meta({
    description: 'First day of the first week; the Monday of this week when left out',
  }),
  periodCount: z.coerce.number().int().min(1).max(MAX_NEED_PERIODS).optional().meta({
    description: 'Weeks; until the end of the programme when left out, 60 at the most',
  }),
  dueDaysBeforeStage: z.coerce.number().int().min(0).max(60).default(7).meta({
    description: 'Days before a stage starts by which its materials are to be there',
  }),
  materialId: id.optional(),
  villageId: id.optional(),
};

const plannedReceipt = z
  .object({
    offerId: id,
    packCode,
    packCount: z.int(),
    quantity: decimal,
    arrivesOn: civilDate,
    placeBy: civilDate.meta({
      description: 'Last day to place the order: the lead time before, in working days',
    }),
    isLate: z.boolean().meta({ description: 'That day is over, or before the first week' }),
  })
  .meta({ id: 'PlannedReceipt' });

export const materialNeed = z
  .object({
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    unitCode: materialUnitCode,
    villageId: id,
    villageCode: z.string(),
    villageName: z.string(),
    period: z.int().meta({ description: 'From 1' }),
    periodStartsOn: civilDate,
    grossQuantity: decimal.meta({ description: 'What stages of this village need, with waste' }),
    overdueQuantity: decimal.meta({ description: 'Part of it that was due before the first week' }),
    fromVillageStock: decimal,
    fromTransfers: decimal.meta({ description: 'Stock of other stores that can be sent' }),
    fromOpenOrders: decimal,
    netQuantity: decimal.meta({ description: 'What is still to be bought' }),
    plannedReceipt: plannedReceipt.nullable().meta({
      description:
        'Bought week by week in whole packs of the cheapest offer; null when none is needed or offered',
    }),
  })
  .meta({ id: 'MaterialNeed' });

export const suggestedTransfer = z
  .object({
    materialId: id,
    materialCode: z.string(),
    fromStoreId: id,
    fromStoreCode: z.string(),
    toVillageId: id,
    toVillageCode: z.string(),
    neededOn: civilDate,
    quantity: decimal,
    unitCode: materialUnitCode,
  })
  .meta({ id: 'SuggestedTransfer' });

const horizon = {
  startsOn: civilDate,
  periodDays: z.int(),
  periodCount: z.int(),
  dueDaysBeforeStage: z.int(),
  undatedBuilds: z
    .object({ buildCount: z.int(), codes: z.array(z.string()) })
    .meta({ description: 'Builds without a planned start: their needs stand in no week' }),
};

export const materialNeeds = z
  .object({ ...horizon, items: z.array(materialNeed), nextCursor: z.string().nullable() })
  .meta({ id: 'MaterialNeeds' });

export const suggestedTransfers = z
  .object({ items: z.array(suggestedTransfer), nextCursor: z.string().nullable() })
  .meta({ id: 'SuggestedTransfers' });

export const needsChangeRequest = z.strictObject({
  startsOn: needsQuery.startsOn,
  periodCount: z.int().min(1).max(MAX_NEED_PERIODS).optional(),
  dueDaysBeforeStage: z.int().min(0).max(60).default(7),
  moves: z
    .array(z.strictObject({ buildId: id, plannedStartOn: civilDate }))
    .min(1)
    .max(2_000)
    .meta({ description: 'Builds with the day on which they would start instead' }),
});

export const needsChange = z
  .object({
    items: z.array(
      z.object({
        materialId: id,
        materialCode: z.string(),
        unitCode: materialUnitCode,
        villageId: id,
        villageCode: z.string(),
        period: z.int(),
        periodStartsOn: civilDate,
        grossBefore: decimal,
        grossAfter: decimal,
        netBefore: decimal,
        netAfter: decimal,
      }),
    ),
    isCut: z.boolean().meta({ description: 'True when there are more changes than are shown' }),
  })
  .meta({ id: 'MaterialNeedsChange' });

export type MaterialNeed = z.infer<typeof materialNeed>;
export type MaterialNeeds = z.infer<typeof materialNeeds>;
export type PlannedReceipt = z.infer<typeof plannedReceipt>;
export type SuggestedTransfer = z.infer<typeof suggestedTransfer>;
export type NeedsChange = z.infer<typeof needsChange>;
export type NeedsChangeRequest = z.infer<typeof needsChangeRequest>;
