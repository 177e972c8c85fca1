import { z } from 'zod';
import { currencyCodes, currencyExponent } from '../costing/currency.ts';
import { BREAK_RULES, breakFaults } from '../costing/offer-amount.ts';
import { PACK_CODES } from '../units/unit-codes.ts';
import { civilDate, currency, id, instant, positiveDecimal } from './values.ts';

export const packCode = z.enum(PACK_CODES).meta({
  description: 'Package of UNECE Recommendation 21 with its X, or a unit of Recommendation 20',
});

export const pricePerPack = z
  .string()
  .regex(/^\d{1,14}(\.\d{1,6})?$/, 'a decimal number, not negative, with at most 6 decimals');

const MAX_BREAKS = 20;
const MAX_PACKS = 1_000_000;

const orderCost = pricePerPack.meta({
  description: 'What one order of this offer costs whatever its size: handling, a minimum fee',
});
const maximumPacks = z
  .int()
  .min(1)
  .max(MAX_PACKS)
  .nullable()
  .meta({ description: 'Most packs of one order; null for no limit' });
const breakRule = z.enum(BREAK_RULES).nullable().meta({
  description:
    'all-units: the price of the break reached holds for every pack; incremental: for the packs above the break only',
});
const priceBreak = z.strictObject({
  fromPacks: z.int().min(2).max(MAX_PACKS),
  pricePerPack,
});

const fields = {
  supplierId: id,
  materialId: id,
  packCode,
  packContent: positiveDecimal
    .refine((text) => Number(text) < 1e12, 'must be below 1e12')
    .meta({ description: "How much one pack holds, in the material's unit" }),
  pricePerPack,
  currency,
  minimumPacks: z.int().min(1).max(MAX_PACKS).default(1),
  leadDays: z.int().min(0).max(1_000),
  validFrom: civilDate,
  validUntil: civilDate.meta({ description: 'Last day on which the offer holds' }),
};

export const offer = z
  .object({
    id,
    ...fields,
    maximumPacks,
    orderCost,
    priceBreaks: z.array(priceBreak),
    breakRule,
    withdrawnOn: civilDate.nullable(),
    createdAt: instant,
  })
  .meta({ id: 'Offer' });

const CURRENCIES: ReadonlySet<string> = new Set(currencyCodes());

/** Whether a price can be paid: no finer than the smallest unit of its currency. */
export function isPayable(amount: string, currencyCode: string): boolean {
  if (!CURRENCIES.has(currencyCode)) return true;
  const decimals = amount.split('.')[1]?.replace(/0+$/, '').length ?? 0;
  return decimals <= currencyExponent(currencyCode);
}

export const notPayable = (currencyCode: string) =>
  `is finer than the smallest unit of ${currencyCode}, which has ${currencyExponent(currencyCode)} decimals`;

export const newOffer = z
  .strictObject({
    id: id.optional(),
    ...fields,
    maximumPacks: maximumPacks.default(null),
    orderCost: orderCost.default('0'),
    priceBreaks: z
      .array(priceBreak)
      .max(MAX_BREAKS)
      .default([])
      .meta({ description: 'Lower prices from a number of packs on, in rising order' }),
    breakRule: breakRule.default(null),
  })
  .superRefine((input, context) => {
    const refuse = (path: (string | number)[], message: string) =>
      context.addIssue({ code: 'custom', path, message });
    if (input.validUntil < input.validFrom) refuse(['validUntil'], 'must not be before validFrom');
    const { maximumPacks: most, minimumPacks: least } = input;
    if (most !== null && most < least) refuse(['maximumPacks'], 'must not be below minimumPacks');
    for (const field of ['pricePerPack', 'orderCost'] as const) {
      if (!isPayable(input[field], input.currency)) refuse([field], notPayable(input.currency));
    }
    for (const [index, { pricePerPack: price }] of input.priceBreaks.entries()) {
      if (isPayable(price, input.currency)) continue;
      refuse(['priceBreaks', index, 'pricePerPack'], notPayable(input.currency));
    }
    for (const { path, message } of breakFaults(input)) refuse([...path], message);
  });

export const offerFilters = {
  materialId: id.optional(),
  supplierId: id.optional(),
  validOn: civilDate.optional().meta({
    description: 'Only offers that hold on this day: begun, not ended, not yet withdrawn',
  }),
};

export const newOfferWithdrawal = z.strictObject({
  withdrawnOn: civilDate.optional().meta({
    description: 'First day on which the offer does not hold any more; today when left out',
  }),
});

export type Offer = z.infer<typeof offer>;
export type NewOffer = z.infer<typeof newOffer>;
export type NewOfferWithdrawal = z.infer<typeof newOfferWithdrawal>;
