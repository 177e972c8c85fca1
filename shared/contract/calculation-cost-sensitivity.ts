import { z } from 'zod';
import { COST_KINDS } from '../costing/cost-build-up.ts';
import { calculationCaution, itemId, withDistinct } from './calculation-values.ts';
import {
  costFactorKind,
  costSensitivityFields,
  RANGE_RATIO_DESCRIPTION,
  rangeRatioLimits,
} from './cost-sensitivity-values.ts';
import { currency, money, notNegativeMoney } from './values.ts';

/** Largest amount and quantity that are told apart to the last digit printed. */
const MAX_VALUE = 1e9;

const unitPrice = z
  .strictObject({
    amount: z
      .string()
      .regex(/^\d{1,10}(\.\d{1,6})?$/, 'a decimal number with at most 6 decimals, not negative')
      .refine((text) => Number(text) <= MAX_VALUE, `must be at most ${MAX_VALUE}`),
    currency,
  })
  .meta({
    description: 'Decimal text, at most 6 decimals; any currency that has an exchange rate',
  });

const cost = notNegativeMoney.refine(({ amount }) => Number(amount) <= MAX_VALUE, {
  path: ['amount'],
  message: `must be at most ${MAX_VALUE}`,
});

const line = z.strictObject({
  code: itemId,
  kind: z.enum(COST_KINDS),
  quantity: z.number().min(0).max(MAX_VALUE).meta({ description: 'Net, in place' }),
  wasteRatio: z.number().min(0).max(10).default(0),
  unitPrice,
});

const lifeCycle = z
  .strictObject({
    serviceLifeYears: z.int().min(1).max(200),
    yearlyRateRatio: z.number().min(0).max(1).meta({
      description: 'Real with constant prices or nominal with escalated ones, never mixed',
    }),
    yearlyMaintenance: cost.meta({ description: 'Due at the end of every year' }),
    litresPerYear: z.number().min(1).max(1e9).meta({
      description: 'Delivered in a year; taken as given, apart from the capacity',
    }),
    majorCosts: z
      .array(z.strictObject({ year: z.int().min(0).max(200), cost }))
      .max(50)
      .default([])
      .meta({ description: 'Repairs and replacements, each at the end of its year' }),
  })
  .superRefine(({ serviceLifeYears, majorCosts }, context) => {
    for (const [index, { year }] of majorCosts.entries()) {
      if (year <= serviceLifeYears) continue;
      const message = `life is ${serviceLifeYears}`;
      context.addIssue({ code: 'custom', path: ['majorCosts', index, 'year'], message });
    }
  });

const range = z.strictObject({
  kind: costFactorKind,
  code: itemId.optional().meta({
    description: 'Of the line, the currency, or the year of a major cost',
  }),
  low: z.number().min(0).max(1e12).optional(),
  high: z.number().min(0).max(1e12).optional(),
  standardDeviation: z.number().min(0).max(1e12).optional(),
});

export const costSensitivityInput = z
  .strictObject({
    currency: currency.meta({ description: 'Of the result' }),
    lines: z
      .array(line)
      .min(1)
      .max(200)
      .superRefine(withDistinct('code', ({ code }) => code)),
    exchangeRates: z
      .array(
        z.strictObject({
          currency,
          rate: z.number().min(1e-9).max(MAX_VALUE).meta({
            description: 'Money of the result for one of this currency',
          }),
        }),
      )
      .max(20)
      .default([])
      .superRefine(withDistinct('currency', (one) => one.currency)),
    contingencyRatio: z.number().min(0).max(10).default(0),
    capacityL: z.number().min(1).max(1e9),
    usableRatio: z.number().min(0.01).max(1).default(1).meta({
      description: 'Share of the capacity between tap and overflow; 1 unless given',
    }),
    lifeCycle: lifeCycle.optional(),
    rangeRatio: z
      .number()
      .min(rangeRatioLimits.low)
      .max(rangeRatioLimits.high)
      .optional()
      .meta({ description: RANGE_RATIO_DESCRIPTION }),
    ranges: z.array(range).max(500).default([]).meta({
      description: 'Ends and spreads in the unit of the factor; labour-rate is a multiple of 1',
    }),
  })
  .superRefine((body, context) => {
    const known = new Set([body.currency, ...body.exchangeRates.map((one) => one.currency)]);
    for (const [index, { unitPrice: price }] of body.lines.entries()) {
      if (known.has(price.currency)) continue;
      const message = `must be ${body.currency}, or have an exchange rate`;
      context.addIssue({
        code: 'custom',
        path: ['lines', index, 'unitPrice', 'currency'],
        message,
      });
    }
    for (const [index, one] of body.exchangeRates.entries()) {
      if (one.currency !== body.currency) continue;
      const message = 'is the currency of the result already';
      context.addIssue({ code: 'custom', path: ['exchangeRates', index, 'currency'], message });
    }
    const terms = body.lifeCycle;
    const costs = [
      { path: ['yearlyMaintenance'], given: terms?.yearlyMaintenance },
      ...(terms?.majorCosts ?? []).map((major, index) => ({
        path: ['majorCosts', index, 'cost'],
        given: major.cost,
      })),
    ];
    for (const { path, given } of costs) {
      if (given === undefined || given.currency === body.currency) continue;
      const place = ['lifeCycle', ...path, 'currency'];
      context.addIssue({ code: 'custom', path: place, message: `must be ${body.currency}` });
    }
  });

export const costSensitivityResult = z
  .object({
    ...costSensitivityFields,
    lifeCycle: z
      .object({
        presentValue: money,
        annualised: money,
        costPerDeliveredL: z.string().meta({
          description: 'Annualised cost over the litres of a year, decimal text, 6 decimals',
        }),
      })
      .nullable(),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'CostSensitivityResult' });

export type CostSensitivityBody = z.infer<typeof costSensitivityInput>;
export type CostSensitivityResult = z.infer<typeof costSensitivityResult>;
