import { z } from 'zod';

const product = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('powder'),
    availableChlorineRatio: z.number().min(0.001).max(1).meta({
      description: 'Available chlorine by mass, from the label: 0.65 for 65 %',
    }),
  }),
  z.strictObject({
    kind: z.literal('liquid'),
    chlorineGPerMl: z.number().min(0.0001).max(0.2).meta({
      description: 'Chlorine in grams per millilitre: 0.125 for 12.5 % by weight per volume',
    }),
  }),
]);

export const disinfectionDoseInput = z.strictObject({
  waterVolumeL: z.number().min(0.001).max(1e8).meta({
    description: 'Water in the tank now, not the capacity of the tank',
  }),
  doseMgPerL: z.number().min(0.001).max(1_000).meta({
    description: 'At most 5 in water that will be drunk, 200 for shock dosing',
  }),
  product,
  isStabilised: z.boolean().meta({
    description: 'Cyanurate products, often sold for pools, are refused',
  }),
  productAgeDays: z.number().min(0).max(36_500),
  purpose: z.enum(['drinking', 'shock']),
});

export const disinfectionDoseResult = z
  .object({
    amount: z.number(),
    unit: z.enum(['g', 'mL']),
    mayBeDrunkOnceChecked: z.boolean().meta({
      description: 'False for shock dosing until 5 mg/L or less has been measured',
    }),
    targetFreeChlorineMgPerL: z.number().nullable(),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'DisinfectionDoseResult' });

export type DisinfectionDoseBody = z.infer<typeof disinfectionDoseInput>;
export type DisinfectionDoseResult = z.infer<typeof disinfectionDoseResult>;
