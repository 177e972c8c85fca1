import { z } from 'zod';
import { civilDate, id } from './values.ts';

export const lateStageFilters = {
  on: civilDate.optional().meta({
    description: 'Late on this day, by what was observed until it; today when left out',
  }),
  villageId: id.optional(),
  crewId: id.optional(),
};

const shortMaterial = z.object({
  materialId: id,
  materialCode: z.string(),
  unitCode: z.string(),
  neededQuantity: z.string().meta({ description: 'Of the bill up to this stage, without waste' }),
  issuedQuantity: z.string().meta({ description: 'Issued to the build less what came back' }),
  inVillageQuantity: z.string().meta({ description: 'In stores of the village at present' }),
});

/** One step on the way from a late stage to why it is late. */
const lateReason = z.object({
  kind: z
    .enum([
      'earlier-stage',
      'work-goes-on',
      'nonconformity',
      'hold-not-released',
      'wait',
      'rains',
      'crew-away',
      'crew-elsewhere',
      'materials-not-there',
      'not-begun',
    ])
    .meta({
      description:
        'earlier-stage and crew-elsewhere lead on to the next reason; the others are where it comes from. not-begun: nothing known keeps it from starting',
    }),
  buildId: id,
  buildCode: z.string(),
  stageCode: z.string(),
  stageTitle: z.string(),
  sinceOn: civilDate.nullable(),
  untilOn: civilDate.nullable().meta({ description: 'First day on which it is over, when known' }),
  releasedBy: z.string().nullable().meta({ description: 'Who releases the hold' }),
  recordId: id.nullable().meta({ description: 'The record that did not pass' }),
  materials: z.array(shortMaterial).meta({ description: '20 at the most' }),
  detail: z.string(),
});

/** A stage of the published plan that should have begun or been finished before a day. */
export const lateStage = z
  .object({
    buildId: id,
    buildCode: z.string(),
    villageId: id,
    villageName: z.string(),
    stageCode: z.string(),
    stageTitle: z.string(),
    crewId: id.nullable(),
    crewCode: z.string().nullable(),
    plannedStartOn: civilDate,
    plannedFinishOn: civilDate,
    startedOn: civilDate.nullable(),
    lateness: z.enum(['not-begun', 'not-finished']),
    lateDays: z
      .int()
      .meta({ description: 'Calendar days since it should have begun, or have been finished' }),
    reasons: z.array(lateReason).meta({ description: 'The nearest first, the root last' }),
  })
  .meta({ id: 'LateStage' });

export type LateStage = z.infer<typeof lateStage>;
export type LateReason = z.infer<typeof lateReason>;
export type ShortMaterial = z.infer<typeof shortMaterial>;
