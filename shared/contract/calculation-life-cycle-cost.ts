import { z } from 'zod';
import { calculationCaution } from './calculation-values.ts';
import { money, notNegativeMoney } from './values.ts';

/** Largest amount that the arithmetic keeps exact to the minor unit. */
const MAX_AMOUNT = 1e9;

const cost = notNegativeMoney.refine(({ amount }) => Number(amount) <= MAX_AMOUNT, {
  path: ['amount'],
  message: `must be at most ${MAX_AMOUNT}`,
});

const unitRate = z
  .object({ amount: z.string(), currency: z.string() })
  .meta({ description: 'Decimal text, at most 6 decimals' });

export const lifeCycleCostInput = z
  .strictObject({
    capitalCost: cost,
    yearlyOperatingCost: cost.meta({ description: 'Due at the end of every year' }),
    majorCosts: z
      .array(z.strictObject({ year: z.int().min(0).max(200), cost }))
      .max(200)
      .default([])
      .meta({ description: 'Repairs and replacements, each at the end of its year' }),
    years: z.int().min(1).max(200),
    yearlyRateRatio: z.number().min(0).max(1).meta({
      description: 'Real with constant prices or nominal with escalated ones, never mixed',
    }),
    usableCapacityL: z.number().min(0.001).max(1e9).optional(),
    personsServed: z.int().min(0).max(1e6).optional(),
  })
  .superRefine((body, context) => {
    const { currency } = body.capitalCost;
    const others = [
      { path: ['yearlyOperatingCost', 'currency'], given: body.yearlyOperatingCost },
      ...body.majorCosts.map((major, index) => ({
        path: ['majorCosts', index, 'cost', 'currency'],
        given: major.cost,
      })),
    ];
    for (const { path, given } of others) {
      if (given.currency === currency) continue;
      context.addIssue({ code: 'custom', path, message: `must be ${currency}, as capitalCost` });
    }
  });

export const lifeCycleCostResult = z
  .object({
    presentValue: money,
    annualised: money,
    capitalRecoveryFactor: z.number(),
    presentValuePerUsableL: unitRate.nullable(),
    annualisedPerPerson: unitRate.nullable(),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'LifeCycleCostResult' });

export type LifeCycleCostBody = z.infer<typeof lifeCycleCostInput>;
export type LifeCycleCostResult = z.infer<typeof lifeCycleCostResult>;
