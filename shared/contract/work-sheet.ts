import { z } from 'zod';
import { nonconformityDecision, nonconformityKind, nonconformityState } from './stage-record.ts';
import { stageTemplate } from './tank-kind.ts';
import { civilDate, id, instant } from './values.ts';

export const workSheetQuery = z.strictObject({
  weekOf: civilDate
    .optional()
    .meta({ description: 'Any day of the week, Monday to Sunday; this week when left out' }),
});

const ofBuild = {
  buildId: id,
  buildCode: z.string(),
  villageName: z.string(),
  stageCode: z.string(),
  stageTitle: z.string(),
};

const dayOfWork = z.object({
  ...ofBuild,
  startsOn: civilDate,
  finishesOn: civilDate,
  status: z
    .enum([
      'not-started',
      'in-progress',
      'awaiting-release',
      'nonconforming',
      'in-rework',
      'accepted',
    ])
    .meta({ description: 'By the records, when the sheet was made' }),
});

const day = z.object({
  on: civilDate,
  note: z
    .enum(['crew-away', 'no-work-day'])
    .nullable()
    .meta({ description: 'Why nobody works on this day' }),
  travel: z.array(z.object({ fromVillageName: z.string(), toVillageName: z.string() })),
  work: z.array(dayOfWork),
});

const material = z.object({
  materialCode: z.string(),
  materialName: z.string(),
  quantity: z.string().meta({ description: 'Of the bill, with waste' }),
  unitCode: z.string(),
  isInKind: z.boolean(),
});

const stage = z.object({
  ...ofBuild,
  needs: z.array(z.string()).meta({ description: 'What must be in place before it starts' }),
  checks: stageTemplate.element.shape.checks,
  holdPoint: z.enum(['hold', 'witness', 'none']),
  releasedBy: z.string().nullable(),
  minimumWaitDays: z.int(),
  materials: z.array(material),
  cautions: z.array(z.string()),
});

const wait = z.object({
  ...ofBuild,
  finishedOn: civilDate,
  isPlanned: z.boolean().meta({ description: 'Its stage is planned to finish this week' }),
  overOn: civilDate.meta({ description: 'First day on which what follows may start' }),
});

const openNonconformity = z.object({
  ...ofBuild,
  recordId: id,
  kind: nonconformityKind,
  checkCode: z.string().nullable(),
  observedOn: civilDate,
  detail: z.string(),
  state: nonconformityState,
  decision: nonconformityDecision.nullable(),
  dueOn: civilDate.nullable(),
});

/** What a crew does in a week of the published plan, with all that belongs to it. */
export const workSheet = z
  .object({
    crewId: id,
    crewCode: z.string(),
    crewName: z.string(),
    crewSize: z.int(),
    programmeName: z.string(),
    plan: z
      .object({ id, code: z.string(), versionNumber: z.int(), publishedAt: instant })
      .nullable()
      .meta({ description: 'Null while no plan is published' }),
    weekStartsOn: civilDate,
    weekEndsOn: civilDate,
    days: z.array(day),
    stages: z.array(stage).meta({ description: 'Every stage that the days name, once' }),
    waits: z.array(wait),
    nonconformities: z
      .array(openNonconformity)
      .meta({ description: 'Not closed, of the builds that the days name' }),
  })
  .meta({ id: 'WorkSheet' });

export type WorkSheet = z.infer<typeof workSheet>;
export type WorkSheetDay = WorkSheet['days'][number];
export type WorkSheetStage = WorkSheet['stages'][number];
