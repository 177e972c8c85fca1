import { z } from 'zod';
import { MAX_STANDARD_SIZES } from '../design/standard-sizes.ts';
import {
  calculationCaution,
  dailyRainMm,
  demandLPerDay,
  firstFlushMm,
  itemId,
  operatingRule,
  reliabilityMeasure,
  roofAreaM2,
  runoffCoefficient,
  targetReliabilityRatio,
  withDistinct,
} from './calculation-values.ts';
import { currency, money, notNegativeMoney } from './values.ts';

export const MAX_CANDIDATE_SIZES = 200;
export const MAX_SIZE_SITES = 20_000;

const siteCount = z.int().min(1).max(1_000_000).default(1).meta({
  description: 'How many equal sites this stands for; 1 unless given',
});

const site = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('capacity'),
    id: itemId,
    count: siteCount,
    leastCapacityL: z.number().min(0).max(1e9),
  }),
  z.strictObject({
    kind: z.literal('demand'),
    id: itemId,
    count: siteCount,
    roofAreaM2,
    runoffCoefficient,
    demandLPerDay,
  }),
]);

const rain = z.strictObject({
  dailyRainMm,
  firstFlushMm: firstFlushMm.optional(),
  operatingRule,
  targetReliabilityRatio,
  reliabilityMeasure: reliabilityMeasure.optional(),
});

export const standardSizesInput = z
  .strictObject({
    currency,
    candidates: z
      .array(
        z.strictObject({
          id: itemId,
          capacityL: z.number().min(1).max(1e9),
          unitCost: notNegativeMoney.meta({ description: 'Of one tank of this size' }),
        }),
      )
      .min(1)
      .max(MAX_CANDIDATE_SIZES)
      .superRefine(withDistinct('id', ({ id }) => id)),
    sites: z
      .array(site)
      .min(1)
      .max(MAX_SIZE_SITES)
      .superRefine(withDistinct('id', ({ id }) => id)),
    rain: rain.optional().meta({
      description: 'Needed when a site states a demand: the target its tank must reach',
    }),
    maxSizeCount: z.int().min(1).max(MAX_STANDARD_SIZES),
    costPerSize: notNegativeMoney.optional().meta({
      description: 'Of having one more standard size at all: design, approval, moulds',
    }),
  })
  .superRefine((body, context) => {
    if (body.rain === undefined) {
      const index = body.sites.findIndex(({ kind }) => kind === 'demand');
      if (index >= 0) {
        const message = `must be given, since sites/${index} states a demand`;
        context.addIssue({ code: 'custom', path: ['rain'], message });
      }
    }
    const amounts = body.candidates.map(({ unitCost }, index) => ({
      path: ['candidates', index, 'unitCost', 'currency'] as (string | number)[],
      given: unitCost.currency,
    }));
    if (body.costPerSize) {
      amounts.push({ path: ['costPerSize', 'currency'], given: body.costPerSize.currency });
    }
    for (const { path, given } of amounts) {
      if (given === body.currency) continue;
      context.addIssue({ code: 'custom', path, message: `must be ${body.currency}` });
    }
  });

const choice = z.object({
  allowedSizeCount: z.int(),
  sizes: z.array(
    z.object({ id: z.string(), capacityL: z.number(), siteCount: z.int(), cost: money }),
  ),
  tankCost: money,
  sizeCost: money,
  totalCost: money,
  saving: money.nullable().meta({
    description:
      'What the last size allowed saves against one fewer, its own cost taken off; null for the first',
  }),
});

export const standardSizesResult = z
  .object({
    choices: z.array(choice).meta({ description: 'For 1, 2, … sizes allowed, each an optimum' }),
    best: choice.nullable().meta({ description: 'Least total cost, the fewest sizes of equals' }),
    unserved: z.array(
      z.object({
        siteId: z.string(),
        reason: z.enum(['roof-too-small', 'target-not-reachable', 'capacity-above-all']),
      }),
    ),
    dominatedSizeIds: z.array(z.string()).meta({
      description: 'Candidates that a larger one undercuts; no best choice needs them',
    }),
    assignments: z
      .array(z.object({ siteId: z.string(), sizeId: z.string(), leastSizeId: z.string() }))
      .meta({
        description: 'Of the best choice, and the smallest candidate that serves each site',
      }),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'StandardSizesResult' });

export type StandardSizesBody = z.infer<typeof standardSizesInput>;
export type StandardSizesResult = z.infer<typeof standardSizesResult>;
