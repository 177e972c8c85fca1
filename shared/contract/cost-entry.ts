import { z } from 'zod';
import { civilDate, id, instant, longText, money, notNegativeMoney, shortText } from './values.ts';

const state = z.enum(['committed', 'accrued', 'paid']).meta({
  description: 'committed: ordered; accrued: received and owed; paid: money has left',
});
const funding = z.enum(['cash', 'in-kind']);

const exchange = z.strictObject({
  rate: z
    .string()
    .regex(/^\d{1,9}(\.\d{1,10})?$/, 'a decimal rate with at most 10 decimals')
    .refine((text) => /[1-9]/.test(text), 'must be above 0')
    .meta({ description: 'Grant currency for one unit of the entry’s currency' }),
  rateOn: civilDate,
  source: shortText.min(1),
});

const entryFields = {
  programmeId: id,
  buildId: id.optional(),
  orderId: id.optional(),
  state,
  funding,
  occurredOn: civilDate,
  description: shortText.min(1),
  evidence: shortText
    .default('')
    .meta({ description: 'Number of the receipt, invoice or attendance sheet' }),
  amount: notNegativeMoney,
};

export const newCostEntry = z.strictObject({
  id: id.optional(),
  ...entryFields,
  grantId: id.optional(),
  budgetLineId: id.optional(),
  exchange: exchange.optional().meta({
    description:
      'Left out: found by the rate policy of the grant among the exchange rates on record',
  }),
});

export const newCostSplit = z.strictObject({
  ...entryFields,
  buildId: id,
  budgetLineCode: z
    .string()
    .optional()
    .meta({ description: 'Budget line with this code in every grant' }),
});

export const costEntry = z
  .object({
    id,
    programmeId: id,
    grantId: id.nullable(),
    budgetLineId: id.nullable(),
    buildId: id.nullable(),
    orderId: id.nullable(),
    state,
    funding,
    occurredOn: civilDate,
    description: z.string(),
    evidence: z.string(),
    amount: money,
    grantAmount: money.nullable(),
    exchange: exchange.nullable(),
    reversesId: id.nullable(),
    invoiceId: id.nullable(),
    receiptId: id.nullable(),
    followsOrder: z.boolean().meta({
      description: 'True for what an order commits, owes and pays; only the order moves it',
    }),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'CostEntry' });

export const costSplit = z.object({ items: z.array(costEntry) }).meta({ id: 'CostSplit' });

export const costReversal = z.strictObject({ occurredOn: civilDate, reason: longText.min(1) });

export const costAdvance = z.strictObject({
  state: z.enum(['accrued', 'paid']),
  occurredOn: civilDate,
  evidence: shortText.min(1),
});

export type NewCostEntry = z.output<typeof newCostEntry>;
export type NewCostSplit = z.output<typeof newCostSplit>;
export type CostEntry = z.infer<typeof costEntry>;
export type CostReversal = z.infer<typeof costReversal>;
export type CostAdvance = z.infer<typeof costAdvance>;
