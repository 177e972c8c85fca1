import { z } from 'zod';
import { id, instant, ratio } from './values.ts';

/** Why a site gets no tank. */
export const SIZING_REFUSALS = [
  'roof-too-small',
  'target-not-reachable',
  'ground-unknown',
  'ground-not-suitable',
  'no-rain-record',
  'no-demand',
  'no-standard-design',
] as const;

export const sizingRefusal = z.enum(SIZING_REFUSALS);

const candidate = z.object({
  designRevisionId: id,
  capacityL: z.number(),
  volumetricReliabilityRatio: z.number(),
  daysMetRatio: z.number(),
  meetsTarget: z.boolean(),
  suitsGround: z.boolean().nullable().meta({
    description:
      'Whether the published bearing value of the ground carries the full tank; null while it is unknown',
  }),
});

/** Which standard design a site gets, by the rain of its station, its roof and its people. */
export const siteSizing = z
  .object({
    id,
    jobId: id,
    programmeId: id,
    siteId: id,
    siteCode: z.string(),
    villageId: id,
    rainSeriesId: id.nullable(),
    engineVersion: z.string(),
    designRevisionId: id.nullable(),
    designCode: z.string().nullable(),
    capacityL: z.number().nullable(),
    refusal: sizingRefusal.nullable(),
    demandLPerDay: z.number().nullable(),
    meanAnnualRunoffL: z.number().nullable(),
    volumetricReliabilityRatio: ratio.nullable(),
    daysMetRatio: ratio.nullable(),
    meanYieldLPerDay: z.number().nullable(),
    dryMonths: z.array(z.int().min(1).max(12)).meta({
      description: 'Calendar months of which more than half of the days were short of the demand',
    }),
    candidates: z.array(candidate),
    isLatest: z.boolean(),
    createdAt: instant,
  })
  .meta({ id: 'SiteSizing' });

export const siteSizingSummary = z
  .object({
    programmeId: id,
    siteCount: z.int(),
    chosenCount: z.int(),
    refusedCount: z.int(),
    unsizedCount: z.int(),
    byDesign: z.array(
      z.object({
        designRevisionId: id,
        designCode: z.string(),
        revisionNumber: z.int(),
        capacityL: z.number(),
        siteCount: z.int(),
        peopleServed: z.int(),
      }),
    ),
    byRefusal: z.array(z.object({ refusal: sizingRefusal, siteCount: z.int() })),
    meanReliabilityRatio: z.number().nullable().meta({
      description: 'Mean volumetric reliability of the sites with a design',
    }),
  })
  .meta({ id: 'SiteSizingSummary' });

export type SizingRefusal = z.infer<typeof sizingRefusal>;
export type SizingCandidate = z.infer<typeof candidate>;
export type SiteSizing = z.infer<typeof siteSizing>;
export type SiteSizingSummary = z.infer<typeof siteSizingSummary>;
