import { z } from 'zod';
import { COST_FACTOR_KINDS } from '../costing/cost-factor.ts';
import { MAX_RANGE_RATIO } from '../costing/cost-sensitivity.ts';
import { money } from './values.ts';

export const rangeRatioLimits = { low: 0, high: MAX_RANGE_RATIO } as const;

export const RANGE_RATIO_DESCRIPTION =
  'Share of its base by which a factor without a range of its own goes down and up; 0.1 unless given';

export const costFactorKind = z.enum(COST_FACTOR_KINDS);

const costPerL = z.string().meta({ description: 'Money per litre, decimal text, 6 decimals' });

const factorEffect = z
  .object({
    atLow: costPerL,
    atHigh: costPerL,
    swing: costPerL.meta({ description: 'Greatest less least of the costs at low, base and high' }),
    swingRatio: z.number().meta({ description: 'Swing over the cost at base, not rounded' }),
    rank: z.int().meta({ description: '1 is the greatest swing' }),
    elasticity: z.number().nullable().meta({
      description:
        'Relative change of the cost for a small relative change of the factor, at base; null for whole years',
    }),
    varianceShareRatio: z.number().nullable().meta({
      description: 'To first order, factors independent; null where no spread is given',
    }),
  })
  .meta({ id: 'CostFactorEffect' });

export const costSensitivityFields = {
  currency: z.string(),
  capitalCost: money,
  costPerUsableL: costPerL,
  factors: z
    .array(
      z.object({
        kind: costFactorKind,
        code: z.string().nullable().meta({
          description:
            'Of the line, the currency, or the year of a major cost; null where there is only one',
        }),
        base: z.number(),
        low: z.number(),
        high: z.number(),
        costPerUsableL: factorEffect,
        costPerDeliveredL: factorEffect.nullable(),
      }),
    )
    .meta({ description: 'By rank of the cost per litre of usable capacity' }),
};
