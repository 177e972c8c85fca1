import { z } from 'zod';
import { itemId, withDistinct } from './calculation-values.ts';

const lengthMm = z.number().min(0.001).max(1e6).meta({ description: 'At most 3 decimals' });
const count = z.int().min(1).max(1_000_000);

/** Wall-clock limit of the whole plan. */
export const CUTTING_TIME_LIMIT_S = { default: 10, greatest: 20 } as const;

const stock = z.strictObject({
  id: itemId,
  lengthMm,
  availableCount: z.int().min(0).max(1_000_000).optional().meta({
    description: 'Any number when left out',
  }),
  cost: z.number().gt(0).max(1e9).optional().meta({
    description: 'Of one length, at most 6 decimals; for all stocks or for none',
  }),
});

const piece = z.strictObject({ id: itemId, lengthMm, count });

export const cuttingPlanInput = z.strictObject({
  stock: z
    .array(stock)
    .min(1)
    .max(20)
    .superRefine(withDistinct('id', ({ id }) => id)),
  kerfMm: z.number().min(0).max(1_000).optional(),
  pieces: z
    .array(piece)
    .min(1)
    .max(200)
    .superRefine(withDistinct('id', ({ id }) => id)),
  timeLimitS: z
    .number()
    .min(0.1)
    .max(CUTTING_TIME_LIMIT_S.greatest)
    .optional()
    .meta({
      description: `For the whole plan; ${CUTTING_TIME_LIMIT_S.default} unless given`,
    }),
  usableOffcutMm: z.number().min(0).max(1e6).optional().meta({
    description: 'Offcuts at least this long are listed as stock for a later plan',
  }),
});

export const cuttingPlanResult = z
  .object({
    status: z.enum(['optimal', 'feasible', 'infeasible']).meta({
      description:
        'optimal: proved; feasible: not below the bound given; infeasible: no plan is possible',
    }),
    reason: z.string().optional(),
    objective: z.enum(['count', 'length', 'cost']).meta({
      description: 'What is least: number of lengths, length of stock, or cost',
    }),
    method: z.enum(['bound', 'patterns', 'arc-flow', 'columns', 'first-fit', 'none']),
    stockCount: z.int(),
    totalCost: z.number().optional(),
    totalStockMm: z.number(),
    lowerBoundCount: z.number().meta({ description: 'No plan uses fewer lengths' }),
    lowerBound: z.number().meta({ description: 'No plan has a lower objective' }),
    patterns: z.array(
      z.object({
        stockId: z.string(),
        times: z.int(),
        pieces: z.array(z.object({ id: z.string(), count: z.int() })),
        offcutMm: z.number(),
      }),
    ),
    usableOffcuts: z.array(z.object({ stockId: z.string(), lengthMm: z.number(), count: z.int() })),
  })
  .meta({ id: 'CuttingPlanResult' });

export type CuttingPlanBody = z.infer<typeof cuttingPlanInput>;
export type CuttingPlanResult = z.infer<typeof cuttingPlanResult>;
