import { z } from 'zod';
import { PACK_CODES } from '../units/unit-codes.ts';
import { civilDate, currency, id, instant, positiveDecimal } from './values.ts';

export const packCode = z.enum(PACK_CODES).meta({
  description: 'Package of UNECE Recommendation 21 with its X, or a unit of Recommendation 20',
});

export const pricePerPack = z
  .string()
  .regex(/^\d{1,14}(\.\d{1,6})?$/, 'a decimal number, not negative, with at most 6 decimals');

const fields = {
  supplierId: id,
  materialId: id,
  packCode,
  packContent: positiveDecimal
    .refine((text) => Number(text) < 1e12, 'must be below 1e12')
    .meta({ description: "How much one pack holds, in the material's unit" }),
  pricePerPack,
  currency,
  minimumPacks: z.int().min(1).max(1_000_000).default(1),
  leadDays: z.int().min(0).max(1_000),
  validFrom: civilDate,
  validUntil: civilDate.meta({ description: 'Last day on which the offer holds' }),
};

export const offer = z
  .object({ id, ...fields, withdrawnOn: civilDate.nullable(), createdAt: instant })
  .meta({ id: 'Offer' });

export const newOffer = z
  .strictObject({ id: id.optional(), ...fields })
  .refine(({ validFrom, validUntil }) => validUntil >= validFrom, {
    path: ['validUntil'],
    message: 'must not be before validFrom',
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
