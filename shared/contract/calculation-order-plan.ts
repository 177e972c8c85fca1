import { z } from 'zod';
import { itemId, withDistinct } from './calculation-values.ts';

/** Wall-clock limit of the whole plan. */
export const ORDER_PLAN_TIME_LIMIT_S = { default: 10, greatest: 20 } as const;

const MAX_PERIODS = 104;
const period = z.int().min(1).max(10_000);
const quantity = z.number().min(0).max(1e8);
const cost = z.number().min(0).max(1e9);
const perPeriod = <Value extends z.ZodType>(value: Value) => z.array(value).max(MAX_PERIODS);

const offer = z.strictObject({
  supplierId: itemId,
  offerId: itemId.optional().meta({
    description: 'Needed where one supplier has several offers for one item',
  }),
  unitCost: cost.meta({ description: 'Of one unit, not of a pack' }),
  orderCost: z.union([cost, perPeriod(cost)]).meta({
    description: 'Of one order; a list has one value for each period in which it may be placed',
  }),
  packSize: z.number().min(1e-6).max(1e8).optional().meta({
    description: 'Whole packs only; at most 6 decimals',
  }),
  minimumQuantity: quantity.optional().meta({ description: 'Of one order' }),
  maximumQuantity: quantity.optional().meta({
    description: 'Of one order; an offer takes one order a period',
  }),
  leadPeriods: z.int().min(0).max(10_000).optional(),
  priceBreaks: z
    .array(z.strictObject({ fromQuantity: quantity, unitCost: cost }))
    .max(10)
    .optional()
    .meta({ description: 'In rising order of quantity, with falling prices' }),
  breakRule: z.enum(['all-units', 'incremental']).optional().meta({
    description: 'all-units unless given: the price reached holds for every unit',
  }),
  validFromPeriod: period.optional().meta({ description: 'First period in which to place orders' }),
  validUntilPeriod: period.optional(),
  latestArrivalPeriod: period.optional(),
  blockedArrivalPeriods: z.array(period).max(MAX_PERIODS).optional(),
  tripGroupId: itemId.optional().meta({
    description: 'Goods of one group that arrive in one period share its trips',
  }),
});

const item = z.strictObject({
  id: itemId,
  demand: perPeriod(quantity).meta({ description: 'One value a period' }),
  openingStock: quantity.optional(),
  holdingCostPerUnit: cost.meta({
    description: 'On each unit left at the end of each period, the last included',
  }),
  shelfLifePeriods: z.int().min(0).max(10_000).optional().meta({
    description: 'Periods after that of its arrival in which a purchase may still serve',
  }),
  offers: z.array(offer).max(20),
  massKgPerUnit: z.number().min(0).max(1e6).optional(),
  storageUse: z
    .strictObject({ storageId: itemId, perUnit: z.number().min(0).max(1e6) })
    .optional()
    .meta({ description: 'Room that a unit takes at the end of a period' }),
});

export const orderPlanInput = z.strictObject({
  periodCount: z.int().min(1).max(MAX_PERIODS),
  items: z
    .array(item)
    .min(1)
    .max(400)
    .superRefine(withDistinct('id', ({ id }) => id)),
  cashLimits: perPeriod(z.number().min(0).max(1e15)).optional().meta({
    description: 'Orders count in the period placed, trips in that of arrival',
  }),
  doesCashCarryOver: z.boolean().optional(),
  trips: z
    .array(
      z.strictObject({
        id: itemId,
        costPerTrip: cost,
        payloadKg: z.number().min(1e-3).max(1e9),
        maximumTripsPerPeriod: z.int().min(0).max(1_000_000).optional(),
      }),
    )
    .max(400)
    .superRefine(withDistinct('id', ({ id }) => id))
    .optional(),
  storage: z
    .array(
      z.strictObject({
        id: itemId,
        capacityUnits: z.union([
          z.number().min(0).max(1e15),
          perPeriod(z.number().min(0).max(1e15)),
        ]),
      }),
    )
    .max(100)
    .superRefine(withDistinct('id', ({ id }) => id))
    .optional(),
  openReceipts: z
    .array(
      z.strictObject({
        itemId,
        arrivesInPeriod: period,
        quantity,
        lastPeriod: z.int().min(0).max(10_000).optional().meta({
          description: 'Last period in which it may serve; by the shelf life unless given',
        }),
      }),
    )
    .max(2_000)
    .optional()
    .meta({ description: 'On order already; and lots on hand that expire, arriving in period 1' }),
  keep: z
    .array(
      z.strictObject({
        itemId,
        supplierId: itemId,
        offerId: itemId.optional(),
        placedInPeriod: period,
        quantity,
      }),
    )
    .max(2_000)
    .optional()
    .meta({ description: 'Orders of an earlier plan that should not change without need' }),
  changePenalty: z
    .strictObject({ perOrder: cost.optional(), perUnit: cost.optional() })
    .optional()
    .meta({ description: 'For each order dropped or added, for each unit more or less' }),
  timeLimitS: z
    .number()
    .min(0.1)
    .max(ORDER_PLAN_TIME_LIMIT_S.greatest)
    .optional()
    .meta({
      description: `For the whole plan; ${ORDER_PLAN_TIME_LIMIT_S.default} unless given`,
    }),
});

const plannedOrder = z.object({
  itemId: z.string(),
  supplierId: z.string(),
  offerId: z.string().optional(),
  placedInPeriod: z.int(),
  arrivesInPeriod: z.int(),
  quantity: z.number(),
  packCount: z.int().optional(),
  cost: z.number().meta({ description: 'Goods and the cost of the order' }),
});

export const orderPlanResult = z
  .object({
    status: z.enum(['optimal', 'feasible', 'infeasible']).meta({
      description:
        'optimal: proved to a millionth; feasible: not below the bound given; infeasible: see the shortfalls',
    }),
    totalCost: z.number().nullable().meta({
      description: 'Orders, stock and trips, added up from the orders; null without a plan',
    }),
    costs: z
      .object({
        goods: z.number(),
        ordering: z.number(),
        holding: z.number(),
        trips: z.number(),
      })
      .nullable(),
    lowerBound: z.number().nullable().meta({
      description: 'No plan has a lower total cost and cost of changes together',
    }),
    changeCost: z.number().meta({
      description: 'Penalty of what changed against keep; no part of the total cost',
    }),
    orders: z.array(plannedOrder),
    trips: z.array(
      z.object({
        tripGroupId: z.string(),
        arrivesInPeriod: z.int(),
        tripCount: z.int(),
        massKg: z.number(),
        cost: z.number(),
      }),
    ),
    stockAtEnd: z.array(z.object({ itemId: z.string(), quantityPerPeriod: z.array(z.number()) })),
    shortfalls: z.array(
      z.object({
        itemId: z.string(),
        period: z.int(),
        quantity: z.number(),
        reason: z.enum([
          'no-offer',
          'no-arrival-in-time',
          'shelf-life',
          'maximum-quantity',
          'cash',
          'trips',
          'storage',
          'joint-limits',
          'storage-overfull',
        ]),
        detail: z.string(),
      }),
    ),
    decomposition: z.object({
      parts: z.int().meta({ description: 'Groups of items that share nothing, solved apart' }),
      isExact: z.boolean().meta({
        description: 'False when a group was too large for one model',
      }),
    }),
  })
  .meta({ id: 'OrderPlanResult' });

export type OrderPlanBody = z.infer<typeof orderPlanInput>;
export type OrderPlanResult = z.infer<typeof orderPlanResult>;
