import { z } from 'zod';
import { calculationCaution } from './calculation-values.ts';
import {
  costSensitivityFields,
  RANGE_RATIO_DESCRIPTION,
  rangeRatioLimits,
} from './cost-sensitivity-values.ts';
import { civilDate, id } from './values.ts';

export const PRICE_BASES = ['cash', 'with-in-kind'] as const;

export const priceSensitivityQuery = z.strictObject({
  basis: z.enum(PRICE_BASES).default('cash').meta({
    description: 'What has to be paid, or with what the community gives, valued',
  }),
  rangeRatio: z.coerce
    .number()
    .min(rangeRatioLimits.low)
    .max(rangeRatioLimits.high)
    .optional()
    .meta({ description: RANGE_RATIO_DESCRIPTION }),
});

const { factors, ...fields } = costSensitivityFields;

/** Which price or waste allowance moves the cost per litre of one build most, from its bill. */
export const priceSensitivity = z
  .object({
    buildId: id,
    buildCode: z.string(),
    pricedOn: civilDate,
    basis: z.enum(PRICE_BASES),
    capacityL: z
      .number()
      .meta({ description: 'To the top of the wall; all of it counts as usable' }),
    ...fields,
    factors: z.array(
      factors.element.omit({ costPerDeliveredL: true }).extend({
        code: z.string().meta({ description: 'Code of the material' }),
        materialId: id,
        materialName: z.string(),
        isInKind: z.boolean(),
      }),
    ),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'PriceSensitivity' });

export type PriceSensitivityQuery = z.infer<typeof priceSensitivityQuery>;
export type PriceSensitivity = z.infer<typeof priceSensitivity>;
