import { z } from 'zod';
import {
  calculationCaution,
  capacityL,
  dailyRainMm,
  demandLPerDay,
  firstFlushMm,
  operatingRule,
  roofAreaM2,
  runoffCoefficient,
} from './calculation-values.ts';

export const MAX_CAPACITIES = 200;

export const storageReliabilityInput = z.strictObject({
  roofAreaM2,
  runoffCoefficient,
  firstFlushMm: firstFlushMm.optional(),
  dailyRainMm,
  demandLPerDay,
  capacitiesL: z.array(capacityL).min(1).max(MAX_CAPACITIES),
  operatingRule,
  initialVolumeL: z.number().min(0).max(1e9).optional().meta({
    description: 'Water in the tank at the start; 0 unless given',
  }),
});

export const storageSummary = z
  .object({
    capacityL: z.number(),
    volumetricReliabilityRatio: z.number().meta({
      description: 'Water supplied over water asked; 1 when nothing was asked',
    }),
    daysMetRatio: z.number(),
    daysMetCount: z.int(),
    deficitDayCount: z.int(),
    zeroYieldDayCount: z.int(),
    longestDeficitRunDays: z.int(),
    totalYieldL: z.number(),
    totalOverflowL: z.number(),
    finalVolumeL: z.number(),
  })
  .meta({ id: 'StorageSummary' });

export const storageReliabilityResult = z
  .object({
    results: z.array(storageSummary).meta({ description: 'In the order of the capacities' }),
    sequentPeak: z.object({
      onePassL: z.number().meta({
        description: 'Storage that never fails over the record taken once, from a full tank',
      }),
      cyclicL: z.number().nullable().meta({
        description: 'The same when the record repeats; null when more is asked than flows in',
      }),
    }),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'StorageReliabilityResult' });

export type StorageReliabilityBody = z.infer<typeof storageReliabilityInput>;
export type StorageReliabilityResult = z.infer<typeof storageReliabilityResult>;
