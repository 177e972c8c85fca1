import { z } from 'zod';
import { isPayable, notPayable, pricePerPack } from './offer.ts';
import { civilDate, currency, id, instant } from './values.ts';

const WEEKDAYS = [1, 2, 3, 4, 5, 6, 7];

const costPerKm = pricePerPack.meta({
  description: 'What each kilometre of road adds to a trip, a rate with at most 6 decimals',
});
const roadKm = z
  .number()
  .min(0)
  .max(10_000)
  .meta({ description: 'Kilometres that are paid for on one trip' });
const deliveryWeekdays = z
  .array(z.int().min(1).max(7))
  .min(1)
  .refine((days) => new Set(days).size === days.length, 'must not name a day twice')
  .meta({ description: 'Days on which it delivers, 1 Monday to 7 Sunday (ISO 8601)' });

const fields = {
  supplierId: id,
  villageId: id,
  costPerTrip: pricePerPack,
  currency,
  payloadKg: z.number().positive().max(1e6).meta({ description: 'What one trip carries at most' }),
  validFrom: civilDate,
  validUntil: civilDate.meta({ description: 'Last day on which the offer holds' }),
};

export const deliveryOffer = z
  .object({
    id,
    ...fields,
    costPerKm,
    roadKm,
    deliveryWeekdays,
    withdrawnOn: civilDate.nullable(),
    createdAt: instant,
  })
  .meta({ id: 'DeliveryOffer' });

export const newDeliveryOffer = z
  .strictObject({
    id: id.optional(),
    ...fields,
    costPerKm: costPerKm.default('0'),
    roadKm: roadKm.default(0),
    deliveryWeekdays: deliveryWeekdays.default(WEEKDAYS),
  })
  .refine(({ validFrom, validUntil }) => validUntil >= validFrom, {
    path: ['validUntil'],
    message: 'must not be before validFrom',
  })
  .superRefine(({ costPerTrip, currency: code }, context) => {
    if (isPayable(costPerTrip, code)) return;
    context.addIssue({ code: 'custom', path: ['costPerTrip'], message: notPayable(code) });
  });

export const deliveryOfferFilters = {
  supplierId: id.optional(),
  villageId: id.optional(),
  validOn: civilDate.optional().meta({
    description: 'Only offers that hold on this day: begun, not ended, not yet withdrawn',
  }),
};

export type DeliveryOffer = z.infer<typeof deliveryOffer>;
export type NewDeliveryOffer = z.infer<typeof newDeliveryOffer>;
