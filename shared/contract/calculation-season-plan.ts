import { z } from 'zod';
import { itemId, withDistinct } from './calculation-values.ts';

/** How much is searched: schedules generated, and wall-clock seconds. */
export const SEASON_EFFORT = {
  schedules: { default: 5_000, greatest: 200_000 },
  timeLimitS: { default: 10, greatest: 20 },
} as const;

const days = z.int().min(0).max(3_650);
const units = z.int().min(1).max(1_000_000);

const resource = z.strictObject({
  id: itemId,
  capacity: z.int().min(0).max(1_000_000).meta({
    description: 'Units that work at the same time: crews, mixers, moulds',
  }),
});

const activity = z.strictObject({
  id: itemId,
  durationDays: days.meta({ description: '0 for a milestone' }),
  requires: z
    .array(z.strictObject({ resourceId: itemId, count: units }))
    .max(20)
    .superRefine(withDistinct('resourceId', ({ resourceId }) => resourceId)),
  after: z
    .array(
      z.strictObject({
        activityId: itemId,
        minimumLagDays: days.optional().meta({
          description:
            'Days between the finish of that activity and the start of this; 0 unless given',
        }),
      }),
    )
    .max(100)
    .superRefine(withDistinct('activityId', ({ activityId }) => activityId)),
});

export const seasonPlanInput = z.strictObject({
  resources: z
    .array(resource)
    .max(200)
    .superRefine(withDistinct('id', ({ id }) => id)),
  activities: z
    .array(activity)
    .min(1)
    .max(5_000)
    .superRefine(withDistinct('id', ({ id }) => id)),
  effort: z
    .strictObject({
      schedules: z
        .int()
        .min(1)
        .max(SEASON_EFFORT.schedules.greatest)
        .optional()
        .meta({
          description: `Schedules generated at most; ${SEASON_EFFORT.schedules.default} unless given`,
        }),
      seed: z.int().min(0).max(2_147_483_647).optional().meta({
        description:
          'The same seed gives the same plan when time does not end the search; 1 unless given',
      }),
      timeLimitS: z
        .number()
        .min(0.1)
        .max(SEASON_EFFORT.timeLimitS.greatest)
        .optional()
        .meta({
          description: `For the whole plan; ${SEASON_EFFORT.timeLimitS.default} unless given`,
        }),
    })
    .optional(),
});

export const seasonPlanResult = z
  .object({
    status: z.enum(['optimal', 'feasible']).meta({
      description: 'optimal: no plan is shorter; feasible: none is shorter than lowerBoundDays',
    }),
    makespanDays: z.int(),
    lowerBoundDays: z.int(),
    bounds: z
      .object({
        criticalPathDays: z.int().meta({ description: 'Longest chain of work and waits' }),
        energyDays: z.int().meta({ description: 'All work of one resource at full capacity' }),
        headWorkTailDays: z.int().meta({
          description: 'The same with the days before that work can start and after it ends',
        }),
      })
      .meta({ description: 'lowerBoundDays is the greatest of them' }),
    schedulesGenerated: z.int(),
    starts: z
      .array(z.object({ activityId: z.string(), startDay: z.int() }))
      .meta({ description: 'In the order of the activities; day 0 is the first' }),
  })
  .meta({ id: 'SeasonPlanResult' });

export type SeasonPlanBody = z.infer<typeof seasonPlanInput>;
export type SeasonPlanResult = z.infer<typeof seasonPlanResult>;
