import { z } from 'zod';
import { GREATEST_CREDIBLE_DAILY_RAIN_MM } from '../hydrology/rainfall-series.ts';
import { NAMED_OPERATING_RULES } from '../hydrology/storage-run.ts';

/** Two hundred years of days. */
export const MAX_RAIN_DAYS = 73_050;

export const dailyRainMm = z
  .array(z.number().min(0).max(GREATEST_CREDIBLE_DAILY_RAIN_MM))
  .min(1)
  .max(MAX_RAIN_DAYS)
  .meta({
    description: `One value a day without gaps, at most ${MAX_RAIN_DAYS} days`,
  });

export const roofAreaM2 = z.number().min(0.01).max(1e6).meta({
  description: 'Plan area of the roof, not its slope',
});
export const runoffCoefficient = z.number().min(0).max(1);
export const firstFlushMm = z.number().min(0).max(1_000);
export const demandLPerDay = z.number().min(0).max(1e7);
export const capacityL = z.number().min(0.001).max(1e9);
export const operatingRule = z.enum(NAMED_OPERATING_RULES);
export const targetReliabilityRatio = z.number().min(0).max(1);
export const reliabilityMeasure = z.enum(['volumetric', 'days-met']).meta({
  description: 'Water supplied over water asked, or days met in full; volumetric unless given',
});

/** What must be said beside a result. */
export const calculationCaution = z.object({ id: z.string(), text: z.string() });

/** Name of a thing within one request. */
export const itemId = z.string().trim().min(1).max(100);

/** A check of a list that refuses a second item with the same key, naming where it stands. */
export const withDistinct =
  <Item>(field: string, keyOf: (item: Item) => string) =>
  (items: readonly Item[], context: z.RefinementCtx<readonly Item[]>): void => {
    const seen = new Set<string>();
    for (const [index, item] of items.entries()) {
      const key = keyOf(item);
      if (seen.has(key)) {
        context.addIssue({
          code: 'custom',
          path: [index, field],
          message: `must not be repeated: ${key} stands in the list already`,
        });
      }
      seen.add(key);
    }
  };
