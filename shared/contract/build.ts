import { z } from 'zod';
import { civilDate, code, documentFields, id, money, shortText } from './values.ts';

export const BUILD_STATUSES = [
  'planned',
  'started',
  'on-hold',
  'complete',
  'handed-over',
  'cancelled',
] as const;

const shareRatio = z
  .string()
  .regex(/^(0\.\d{1,8}|1(\.0{1,8})?)$/, 'decimal text from 0 to 1 with at most 8 decimals')
  .refine((text) => /[1-9]/.test(text), 'must be above 0');

export const buildGrantShare = z.strictObject({ grantId: id, shareRatio }).meta({
  id: 'BuildGrantShare',
  description: 'Part of a build that a grant of its programme pays',
});

const grantShares = z.array(buildGrantShare).min(1).max(20).meta({
  description: 'Shares that add up to exactly 1',
});

const plan = {
  plannedStartOn: civilDate.nullable(),
  crewId: id.nullable(),
  earliestStartOn: civilDate.nullable().meta({
    description: 'First day on which work may start: materials on site, a promise to the household',
  }),
  dueOn: civilDate.nullable().meta({
    description: 'Day on which it is to be handed over; the end of the programme when null',
  }),
};

/** One tank at one site, on an approved design revision, paid by grants in shares. */
export const build = z
  .object({
    ...documentFields,
    code,
    programmeId: id,
    siteId: id,
    siteCode: z.string(),
    villageId: id,
    villageName: z.string(),
    designRevisionId: id,
    designCode: z.string(),
    capacityL: z.number(),
    tankKindId: id,
    ...plan,
    pricedOn: civilDate,
    status: z.enum(BUILD_STATUSES),
    percentComplete: z.number().meta({ description: 'By budgeted cost of accepted stages' }),
    currentStageCode: z.string().nullable(),
    startedOn: civilDate.nullable(),
    handedOverOn: civilDate.nullable(),
    cancelledOn: civilDate.nullable(),
    grantShares: z.array(z.object({ grantId: id, shareRatio: z.string() })),
  })
  .meta({ id: 'Build' });

const pricing = {
  pricedOn: civilDate.meta({
    description:
      "Day whose cheapest valid offers price the bill. Offers in another currency than the programme's are passed over, not converted",
  }),
  grantShares,
};

export const newBuild = z.strictObject({
  id: id.optional(),
  siteId: id,
  designRevisionId: id.optional().meta({
    description: 'The design of the latest sizing of the site when left out',
  }),
  code: code.optional().meta({ description: 'B- and the code of the site when left out' }),
  plannedStartOn: plan.plannedStartOn.default(null),
  crewId: plan.crewId.default(null),
  earliestStartOn: plan.earliestStartOn.default(null),
  dueOn: plan.dueOn.default(null),
  ...pricing,
});

/** Builds at many sites at once: all of them, or none. */
export const newBuilds = z
  .strictObject({
    siteIds: z.array(id).min(1).max(10_000).optional(),
    allSized: z.literal(true).optional().meta({
      description: 'Every site that has a design by its latest sizing and no build yet',
    }),
    codePrefix: z
      .string()
      .regex(/^[A-Za-z0-9][A-Za-z0-9._/-]{0,19}$/, '1 to 20 letters, digits or . _ / -')
      .meta({ description: 'A build gets this and the code of its site as its code' }),
    ...pricing,
  })
  .refine(({ siteIds, allSized }) => (siteIds === undefined) !== (allSized === undefined), {
    path: ['siteIds'],
    message: 'give either siteIds or allSized',
  });

export const madeBuilds = z
  .object({
    programmeId: id,
    createdCount: z.int(),
    pricedOn: civilDate,
    amount: money.meta({ description: 'What has to be paid' }),
    inKindAmount: money.meta({ description: 'What the communities give, valued' }),
    byDesign: z.array(
      z.object({
        designRevisionId: id,
        buildCount: z.int(),
        amountPerBuild: money,
        inKindAmountPerBuild: money,
      }),
    ),
  })
  .meta({ id: 'MadeBuilds' });

export const buildPatch = z.strictObject(plan).partial();

export const newBuildCancellation = z.strictObject({
  cancelledOn: civilDate.optional().meta({ description: 'Today when left out' }),
  reason: shortText.min(1),
});

export const buildFilters = {
  programmeId: id.optional(),
  villageId: id.optional(),
  siteId: id.optional(),
  status: z.enum(BUILD_STATUSES).optional(),
  crewId: id.optional(),
};

export const newRepricing = z.strictObject({ pricedOn: pricing.pricedOn });

export const repricing = z
  .object({
    programmeId: id,
    pricedOn: civilDate,
    repricedCount: z.int(),
    amountBefore: money,
    inKindAmountBefore: money,
    amount: money,
    inKindAmount: money,
  })
  .meta({ id: 'Repricing' });

export type BuildStatus = (typeof BUILD_STATUSES)[number];
export type BuildGrantShare = z.infer<typeof buildGrantShare>;
export type Build = z.infer<typeof build>;
export type NewBuild = z.infer<typeof newBuild>;
export type NewBuilds = z.infer<typeof newBuilds>;
export type MadeBuilds = z.infer<typeof madeBuilds>;
export type BuildPatch = z.infer<typeof buildPatch>;
export type NewBuildCancellation = z.infer<typeof newBuildCancellation>;
export type Repricing = z.infer<typeof repricing>;
