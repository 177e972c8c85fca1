import { z } from 'zod';
import { calculationCaution } from './calculation-values.ts';

const readingMm = z.number().min(-1e5).max(1e5).meta({
  description: 'Level below a fixed mark: a larger reading is a lower level',
});
const depthMm = z.number().min(0).max(1e4);

const correction = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('covered') }),
  z.strictObject({
    kind: z.literal('control-pan'),
    startReadingMm: readingMm,
    endReadingMm: readingMm,
  }),
  z.strictObject({ kind: z.literal('estimate'), evaporationMm: depthMm, rainMm: depthMm }),
]);

export const watertightnessInput = z.strictObject({
  startReadingMm: readingMm,
  endReadingMm: readingMm,
  testDays: z.number().gt(0).max(366).meta({ description: 'The limit is written for 7 days' }),
  soakDays: z.number().min(0).max(3_660),
  correction: correction.meta({
    description: 'How evaporation and rain are taken out: covered, a control pan, or an estimate',
  }),
  averageDepthM: z.number().min(0.01).max(100).meta({
    description: 'Average depth of the full tank',
  }),
  waterSurfaceAreaM2: z.number().min(0.001).max(1e5),
  readingErrorMm: z.number().min(0).max(1_000).meta({ description: 'Of one reading' }),
  hasVisibleLeak: z.boolean(),
});

export const watertightnessResult = z
  .object({
    outcome: z.enum(['pass', 'fail', 'inconclusive']),
    reason: z.enum([
      'visible-leak',
      'drop-above-limit',
      'drop-within-limit',
      'within-reading-error',
      'level-rose',
      'soak-too-short',
    ]),
    dropMm: z.number(),
    leakDropMm: z.number().meta({ description: 'Left to leakage; negative when the level rose' }),
    limitMm: z.number(),
    leakErrorMm: z.number(),
    volumeLostL: z.number(),
    lossRatioPerDay: z.number(),
    volumeRateLimits: z
      .array(
        z.object({
          className: z.string(),
          allowedLossRatioPerDay: z.number(),
          limitMmPerDay: z.number(),
          testDays: z.number(),
        }),
      )
      .meta({ description: 'Limits of tests by rate of volume loss, to compare; not judged here' }),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'WatertightnessResult' });

export type WatertightnessBody = z.infer<typeof watertightnessInput>;
export type WatertightnessResult = z.infer<typeof watertightnessResult>;
