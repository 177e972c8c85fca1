import { z } from 'zod';
import { trade } from './crew.ts';
import { civilDate, code, id, instant, ratio, shortText } from './values.ts';

/** Seconds that a season may be planned for. */
export const SEASON_PLAN_TIME = { least: 1, most: 300, usual: 20 } as const;

const extraCrew = z.strictObject({
  code,
  size: z.int().min(1).max(200),
  trades: z.array(trade).max(20).default([]),
  homeVillageId: id.nullable().default(null),
  availableFrom: civilDate.nullable().default(null),
});

const assumptions = z
  .strictObject({
    extraCrews: z.array(extraCrew).max(50).default([]),
    crewsAway: z
      .array(z.strictObject({ crewId: id, fromOn: civilDate, untilOn: civilDate }))
      .max(200)
      .default([]),
    rains: z
      .strictObject({ fromOn: civilDate, untilOn: civilDate })
      .optional()
      .meta({ description: 'Instead of the rains of the programme' }),
    lateMaterials: z
      .array(
        z.strictObject({
          notBeforeOn: civilDate,
          stageCodes: z.array(code).max(100).optional(),
          villageIds: z.array(id).max(2_000).optional(),
        }),
      )
      .max(200)
      .default([])
      .meta({
        description: 'Stages that cannot start before a day; all of them, everywhere, unless named',
      }),
    pins: z
      .array(
        z.strictObject({
          buildId: id,
          stageCode: code.nullable().default(null),
          crewId: id.nullable().default(null),
          startsOn: civilDate.nullable().default(null),
        }),
      )
      .max(2_000)
      .default([])
      .meta({ description: 'Beside the pins that are kept' }),
  })
  .meta({ id: 'SeasonAssumptions', description: 'What is supposed instead of what is known' });

export const newSeasonPlan = z.strictObject({
  purpose: z.enum(['plan', 'replan', 'what-if']).default('plan').meta({
    description:
      'plan: the season as it stands; replan: with as few changes to the published plan as lateness allows; what-if: with assumptions, never published',
  }),
  startsOn: civilDate.optional().meta({ description: 'First day planned; today when left out' }),
  basedOnId: id.optional().meta({
    description: 'Plan to keep to and to compare with; the published one when left out',
  }),
  timeLimitS: z
    .number()
    .min(SEASON_PLAN_TIME.least)
    .max(SEASON_PLAN_TIME.most)
    .default(SEASON_PLAN_TIME.usual),
  schedules: z.int().min(1).max(10_000_000).optional().meta({
    description: 'Schedules to try at most: with it and enough time the same plan comes again',
  }),
  seed: z
    .int()
    .min(0)
    .max(2 ** 31 - 1)
    .default(1),
  assumptions: assumptions.optional(),
});

const startReason = z
  .looseObject({ kind: z.string() })
  .meta({ id: 'StartReason', description: 'What keeps a stage from starting a day sooner' });

export const crewLoad = z.object({
  crewId: z.string(),
  crewCode: z.string(),
  personDays: z.number(),
  lastOn: civilDate.nullable(),
});

export const seasonFigures = z
  .object({
    buildCount: z.int(),
    stageCount: z.int().meta({ description: 'Stages that are still to be done' }),
    finishDays: z.int().meta({ description: 'Days from the start of the plan to its finish' }),
    boundDays: z.int().meta({ description: 'No plan can take fewer' }),
    gapRatio: ratio.meta({ description: '(finish − bound) / finish, in days' }),
    longestBuildDays: z.int(),
    crewWorkDays: z.int(),
    tardinessDays: z.int(),
    tardinessBoundDays: z.int(),
    lateBuildCount: z.int(),
    moveCount: z.int(),
    moveDays: z.int(),
    crewLoads: z.array(crewLoad),
    oneTankAfterAnother: z
      .object({ finishesOn: civilDate, savedDays: z.int() })
      .nullable()
      .meta({ description: 'The season if every crew finished one tank before the next' }),
    schedulesGenerated: z.int(),
    solverTimeS: z.number(),
    against: z
      .object({
        planId: id,
        planCode: z.string(),
        finishDays: z.int().meta({ description: 'Later is positive' }),
        tardinessDays: z.int(),
        movedStageCount: z.int(),
        movedBuildCount: z.int(),
        crewIds: z.array(id).meta({ description: 'Crews whose work moved' }),
      })
      .nullable(),
    leftOut: z
      .array(z.object({ buildId: id, buildCode: z.string(), reason: z.string() }))
      .meta({ description: 'Builds that cannot be planned as they stand, 200 at the most' }),
    leftOutCount: z.int(),
  })
  .meta({ id: 'SeasonFigures' });

const summaryFields = {
  id,
  programmeId: id,
  jobId: id.nullable(),
  code: z.string(),
  purpose: newSeasonPlan.shape.purpose.unwrap(),
  standing: z.enum(['draft', 'published', 'superseded', 'set-aside']),
  versionNumber: z.int().nullable(),
  basedOnId: id.nullable(),
  startsOn: civilDate,
  finishesOn: civilDate.meta({ description: 'Last day of work' }),
  boundOn: civilDate.meta({ description: 'No plan can finish sooner' }),
  status: z.enum(['optimal', 'feasible']),
  engineVersion: z.string(),
  createdById: id,
  createdAt: instant,
  publishedById: id.nullable(),
  publishedAt: instant.nullable(),
  publicationReason: z.string().nullable(),
  supersededAt: instant.nullable(),
};

export const seasonPlanSummary = z.object(summaryFields).meta({ id: 'SeasonPlanSummary' });
export const seasonPlan = z
  .object({ ...summaryFields, settings: z.record(z.string(), z.unknown()), figures: seasonFigures })
  .meta({ id: 'SeasonPlan' });

export const seasonPlanFilters = {
  standing: summaryFields.standing.optional(),
  purpose: summaryFields.purpose.optional(),
};

export const seasonPlanStage = z
  .object({
    buildId: id,
    buildCode: z.string(),
    villageId: id,
    villageName: z.string(),
    stageCode: z.string(),
    crewId: id.nullable(),
    crewCode: z.string().nullable(),
    startsOn: civilDate,
    finishesOn: civilDate,
    standing: z.enum(['done', 'begun', 'planned']),
    isPinned: z.boolean(),
    waitsFor: startReason,
  })
  .meta({ id: 'SeasonPlanStage' });

export const seasonPlanStageFilters = {
  buildId: id.optional(),
  villageId: id.optional(),
  crewId: id.optional(),
  from: civilDate.optional().meta({ description: 'Stages that are not finished before this day' }),
  until: civilDate.optional().meta({ description: 'Stages that start on this day or before' }),
};

/** A build whose dates or crew differ between two plans. */
export const movedBuild = z
  .object({
    buildId: id,
    buildCode: z.string(),
    villageId: id,
    villageName: z.string(),
    crewCodesBefore: z.array(z.string()),
    crewCodesAfter: z.array(z.string()),
    movedStageCount: z.int(),
    startsOnBefore: civilDate.nullable(),
    startsOnAfter: civilDate.nullable(),
    finishesOnBefore: civilDate.nullable(),
    finishesOnAfter: civilDate.nullable(),
  })
  .meta({ id: 'MovedBuild' });

export const newPublication = z.strictObject({
  reason: shortText.min(1).meta({ description: 'Why the plan of the season changes' }),
});

const pinFields = {
  buildId: id,
  stageCode: code.nullable().default(null),
  crewId: id.nullable().default(null),
  startsOn: civilDate.nullable().default(null),
  reason: shortText.min(1),
};

export const newSeasonPin = z
  .strictObject({ id: id.optional(), ...pinFields })
  .refine(({ crewId, startsOn }) => crewId !== null || startsOn !== null, {
    path: ['crewId'],
    message: 'give a crew, a day of start or both',
  })
  .refine(({ startsOn, stageCode }) => startsOn === null || stageCode !== null, {
    path: ['stageCode'],
    message: 'goes with startsOn: which stage starts on that day',
  });

export const seasonPin = z
  .object({
    id,
    programmeId: id,
    ...pinFields,
    stageCode: z.string().nullable(),
    crewId: id.nullable(),
    startsOn: civilDate.nullable(),
    reason: z.string(),
    madeById: id,
    madeAt: instant,
    endedAt: instant.nullable(),
    endedById: id.nullable(),
  })
  .meta({ id: 'SeasonPin' });

export const seasonPinFilters = { programmeId: id.optional(), buildId: id.optional() };

export type NewSeasonPlan = z.output<typeof newSeasonPlan>;
export type SeasonAssumptions = z.output<typeof assumptions>;
export type SeasonFigures = z.infer<typeof seasonFigures>;
export type SeasonPlanSummary = z.infer<typeof seasonPlanSummary>;
export type SeasonPlanRecord = z.infer<typeof seasonPlan>;
export type SeasonPlanStage = z.infer<typeof seasonPlanStage>;
export type MovedBuild = z.infer<typeof movedBuild>;
export type NewSeasonPin = z.output<typeof newSeasonPin>;
export type SeasonPin = z.infer<typeof seasonPin>;
