import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { AGE_AT_ARRIVAL_DAYS, MAX_NEED_PERIODS } from './material-needs.ts';
import { packCode } from './offer.ts';
import { civilDate, decimal, id, instant, money, notNegativeMoney } from './values.ts';

/** Seconds that the solver may take for a season. */
export const SUPPLY_TIME_LIMIT_S = { least: 1, most: 600, default: 60 } as const;

export const newSupplyPlan = z.strictObject({
  startsOn: civilDate.optional().meta({
    description: 'First day on which an order may be placed; the Monday of this week when left out',
  }),
  periodCount: z.int().min(1).max(MAX_NEED_PERIODS).optional().meta({
    description: 'Weeks; until the end of the programme when left out, 60 at the most',
  }),
  dueDaysBeforeStage: z.int().min(0).max(60).default(7),
  holdingRatePerYear: z.number().min(0).max(2).default(0.2).meta({
    description: 'What a year in store costs, as a share of the price',
  }),
  ageAtArrivalDays: z.int().min(0).max(365).default(AGE_AT_ARRIVAL_DAYS).meta({
    description: 'Age that a material with a shelf life is taken to have when it arrives',
  }),
  cashLimits: z.array(notNegativeMoney).max(MAX_NEED_PERIODS).optional().meta({
    description: 'The most that may be spent on orders placed in each week, week by week',
  }),
  timeLimitS: z
    .int()
    .min(SUPPLY_TIME_LIMIT_S.least)
    .max(SUPPLY_TIME_LIMIT_S.most)
    .default(SUPPLY_TIME_LIMIT_S.default),
  replansId: id.optional().meta({
    description: 'An earlier plan to stay near to: a changed order counts as much as changePenalty',
  }),
  changePenalty: notNegativeMoney.optional().meta({
    description:
      'What changing one line of the earlier plan must save at least; 1 % of its mean line when left out',
  }),
});

const wayOfBuying = z
  .object({
    totalAmount: money
      .nullable()
      .meta({ description: 'Null when that way cannot serve every need' }),
    savingAmount: money.nullable().meta({ description: 'What the plan saves against it' }),
    orderCount: z.int(),
    tripCount: z.int(),
    breaks: z.array(z.string()).meta({ description: 'Limits that this way would not keep' }),
  })
  .meta({ id: 'WayOfBuying' });

export const supplyPlanComparison = z
  .object({
    perTank: wayOfBuying.meta({ description: 'Each tank buys its own packs and has them brought' }),
    perVillage: wayOfBuying.meta({ description: 'Each village buys all at once for its tanks' }),
    cheapestUnitPrice: wayOfBuying.meta({
      description: 'Week by week from whoever asks the least for a unit, whatever else it costs',
    }),
  })
  .meta({ id: 'SupplyPlanComparison' });

const costParts = z
  .object({ purchase: money, ordering: money, transport: money, holding: money })
  .meta({ id: 'SupplyPlanCostParts' });

const shortfall = z
  .object({
    materialId: id,
    materialCode: z.string(),
    villageId: id,
    villageCode: z.string(),
    periodStartsOn: civilDate,
    quantity: decimal,
    unitCode: materialUnitCode,
    reason: z.enum([
      'no-offer',
      'no-offer-in-currency',
      'cannot-arrive-in-time',
      'village-not-reachable',
      'above-maximum',
      'shelf-life',
      'limits-together',
    ]),
    detail: z.string(),
  })
  .meta({ id: 'SupplyShortfall' });

const summary = {
  id,
  programmeId: id,
  code: z.string(),
  startsOn: civilDate,
  periodDays: z.int(),
  periodCount: z.int(),
  pricedOn: civilDate,
  engineVersion: z.string(),
  status: z.enum(['optimal', 'feasible']),
  totalAmount: money,
  lowerBoundAmount: money.meta({
    description:
      'No plan can cost less; of a plan that stays near an earlier one: less together with what its changes weigh',
  }),
  gapRatio: z.number().meta({ description: '(total − bound) / total' }),
  solverTimeS: z.number(),
  comparison: supplyPlanComparison,
  createdById: id,
  createdAt: instant,
};

export const supplyPlanSummary = z
  .object({ ...summary, lineCount: z.int(), shortfallCount: z.int() })
  .meta({ id: 'SupplyPlanSummary' });

export const supplyPlan = z
  .object({
    ...summary,
    replansId: id.nullable(),
    settings: z.record(z.string(), z.unknown()),
    costParts,
    decomposition: z.object({
      parts: z.int(),
      isExact: z.boolean(),
      remark: z.string(),
    }),
    shortfalls: z.array(shortfall),
    lineCount: z.int(),
  })
  .meta({ id: 'SupplyPlan' });

export const supplyPlanLine = z
  .object({
    id,
    position: z.int(),
    supplierId: id,
    supplierCode: z.string(),
    offerId: id,
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    deliveryVillageId: id,
    deliveryVillageCode: z.string(),
    unitCode: materialUnitCode,
    placeBy: civilDate,
    arrivesOn: civilDate,
    packCode,
    packContent: decimal,
    packCount: z.int(),
    quantity: decimal,
    pricePerPack: z.string(),
    amount: money,
    isRequisitioned: z.boolean(),
  })
  .meta({ id: 'SupplyPlanLine' });

const alternative = z.object({
  offerId: id,
  supplierCode: z.string(),
  packCode,
  amount: money.nullable(),
  dearerBy: money.nullable(),
  reason: z.string(),
});

export const supplyLineExplanation = z
  .object({
    line: supplyPlanLine,
    covers: z.array(z.object({ periodStartsOn: civilDate, quantity: decimal })),
    leftOver: decimal,
    supplierReason: z.string(),
    weekReason: z.string(),
    quantityReason: z.string(),
    alternatives: z.array(alternative),
  })
  .meta({ id: 'SupplyLineExplanation' });

export const supplyLineFilters = {
  materialId: id.optional(),
  supplierId: id.optional(),
  deliveryVillageId: id.optional(),
};

export type NewSupplyPlan = z.infer<typeof newSupplyPlan>;
export type SupplyPlan = z.infer<typeof supplyPlan>;
export type SupplyPlanSummary = z.infer<typeof supplyPlanSummary>;
export type SupplyPlanLine = z.infer<typeof supplyPlanLine>;
export type SupplyPlanComparison = z.infer<typeof supplyPlanComparison>;
export type WayOfBuying = z.infer<typeof wayOfBuying>;
export type SupplyShortfall = z.infer<typeof shortfall>;
export type SupplyLineExplanation = z.infer<typeof supplyLineExplanation>;
