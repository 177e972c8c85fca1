import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import {
  civilDate,
  code,
  id,
  instant,
  longText,
  positiveDecimal,
  ratio,
  shortText,
} from './values.ts';

export const STAGE_RECORD_KINDS = [
  'started',
  'finished',
  'check-recorded',
  'hold-released',
  'hold-refused',
  'work-recorded',
  'nonconformity-decided',
] as const;

export const nonconformityDecision = z.enum(['rework', 'concession', 'reject']);

const HOURS_A_DAY = 24;

const personHours = z
  .string()
  .regex(/^\d{1,7}(\.\d{1,2})?$/, 'hours with at most 2 decimals, not negative')
  .meta({ description: 'Hours of all people together, decimal text' });

const usedQuantity = z.strictObject({
  materialId: id,
  quantity: positiveDecimal,
  unitCode: materialUnitCode,
});

const factFields = {
  stageCode: code,
  kind: z.enum(STAGE_RECORD_KINDS),
  observedOn: civilDate.meta({ description: 'Day on which it was seen, however late it is sent' }),
  checkCode: code.optional(),
  measuredValue: z
    .number()
    .optional()
    .meta({ description: 'In the unit of the check; yes-no takes 1 or 0' }),
  reason: shortText
    .optional()
    .meta({ description: 'Why a hold was refused, or a non-conformity decided so' }),
  crewId: id.optional().meta({ description: 'The crew that did it; required with work-recorded' }),
  peopleCount: z.int().min(1).max(200).optional(),
  personHours: personHours.optional(),
  quantities: z.array(usedQuantity).max(50).optional().meta({
    description: 'What the work used, with work-recorded; each material once, in its own unit',
  }),
  decidesRecordId: id.optional().meta({
    description:
      'The record that did not pass: a failed check, a refused hold, work against a rule',
  }),
  decision: nonconformityDecision.optional().meta({
    description:
      'rework: what was recorded of the stage before no longer counts. concession (engineer): accepted as it is; a refused hold may then be released. reject: stays nonconforming until a later decision',
  }),
  cause: shortText.optional(),
  dueOn: civilDate.optional().meta({ description: 'Day by which a decision is to be carried out' }),
  note: longText.default(''),
  deviceRecordedAt: z.iso.datetime({ offset: true }).optional().meta({
    description:
      'Clock of the device; orders the records of one day. Without it the time within a version 7 id does',
  }),
};

type Fact = z.infer<z.ZodObject<typeof factFields>>;

/** Which fields go with which kinds: each is required with these and refused with the others. */
const FIELD_KINDS: Readonly<Partial<Record<keyof Fact, readonly Fact['kind'][]>>> = {
  checkCode: ['check-recorded'],
  measuredValue: ['check-recorded'],
  reason: ['hold-refused', 'nonconformity-decided'],
  peopleCount: ['work-recorded'],
  personHours: ['work-recorded'],
  decidesRecordId: ['nonconformity-decided'],
  decision: ['nonconformity-decided'],
};

const ALLOWED_KINDS: typeof FIELD_KINDS = {
  quantities: ['work-recorded'],
  cause: ['nonconformity-decided'],
  dueOn: ['nonconformity-decided'],
};

function requireWholeFact(
  fact: Fact,
  refuse: (path: (string | number)[], message: string) => void,
): void {
  for (const [field, kinds] of Object.entries(FIELD_KINDS)) {
    if (kinds.includes(fact.kind) === (fact[field as keyof Fact] !== undefined)) continue;
    refuse([field], `goes with kind ${kinds.join(' or ')}, and only with it`);
  }
  for (const [field, kinds] of Object.entries(ALLOWED_KINDS)) {
    if (kinds.includes(fact.kind) || fact[field as keyof Fact] === undefined) continue;
    refuse([field], `goes with kind ${kinds.join(' or ')} only`);
  }
  if (fact.kind === 'work-recorded' && fact.crewId === undefined) {
    refuse(['crewId'], 'goes with kind work-recorded');
  }
  const { peopleCount, personHours: hours } = fact;
  if (peopleCount !== undefined && Number(hours) > peopleCount * HOURS_A_DAY) {
    refuse(['personHours'], `must not be above ${peopleCount} times ${HOURS_A_DAY}`);
  }
  fact.quantities?.forEach(({ materialId }, index, all) => {
    if (all.findIndex((other) => other.materialId === materialId) === index) return;
    refuse(['quantities', index, 'materialId'], 'occurs twice');
  });
}

export const newStageRecord = z
  .strictObject({ id: id.optional(), ...factFields })
  .superRefine((fact, context) => {
    requireWholeFact(fact, (path, message) => {
      context.addIssue({ code: 'custom', path, message });
    });
  });

/** One record of a batch: the client makes its id, so that it may be sent again. */
const batchedRecord = z
  .strictObject({ id, buildId: id, ...factFields })
  .superRefine((fact, context) => {
    requireWholeFact(fact, (path, message) => {
      context.addIssue({ code: 'custom', path, message });
    });
  });

export const MAX_BATCH_RECORDS = 500;

export const newStageRecordBatch = z.strictObject({
  records: z.array(batchedRecord).min(1).max(MAX_BATCH_RECORDS).meta({
    description:
      'In any order, also of several builds, late or sent before. A record that has overtaken another is taken and shown as a non-conformity until the other arrives',
  }),
});

export const stageRecordBatch = z
  .object({
    outcomes: z.array(
      z.object({
        id,
        buildId: id,
        outcome: z.enum(['recorded', 'already-recorded', 'refused']),
        rule: z.string().nullable().meta({ description: 'Why it was refused' }),
        detail: z.string().nullable(),
      }),
    ),
  })
  .meta({
    id: 'StageRecordBatch',
    description: 'One outcome a record, in the order of the request',
  });

export const stageRecord = z
  .object({
    id,
    buildId: id,
    stageCode: z.string(),
    kind: factFields.kind,
    observedOn: civilDate,
    checkCode: z.string().nullable(),
    measuredValue: z.number().nullable(),
    reason: z.string().nullable(),
    crewId: id.nullable(),
    peopleCount: z.int().nullable(),
    personHours: z.string().nullable(),
    quantities: z.array(usedQuantity).nullable(),
    decidesRecordId: id.nullable(),
    decision: nonconformityDecision.nullable(),
    cause: z.string().nullable(),
    dueOn: civilDate.nullable(),
    note: z.string(),
    deviceRecordedAt: instant.nullable(),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'StageRecord' });

export const nonconformityState = z.enum(['open', 'in-rework', 'closed']);
export const nonconformityKind = z.enum([
  'check-failed',
  'hold-refused',
  'started-against-a-rule',
  'finished-before-started',
  'released-against-a-rule',
  'recorded-before-start',
  'decided-without-ground',
]);

const brokenRule = z.object({
  rule: z.string(),
  stageCode: z.string(),
  checkCode: z.string().optional(),
  earliestOn: civilDate.optional(),
  requiredRole: z.string().optional(),
  detail: z.string(),
});

const stageCheck = z.object({
  code: z.string(),
  title: z.string(),
  unit: z.string(),
  nominal: z.number().optional(),
  minimum: z.number().optional(),
  maximum: z.number().optional(),
  isCommonPractice: z.boolean(),
  source: z.string().optional(),
});

const nonConformity = z.object({
  recordId: id,
  kind: nonconformityKind,
  stageCode: z.string(),
  checkCode: z.string().optional(),
  observedOn: civilDate,
  detail: z.string(),
  state: nonconformityState,
  decision: z
    .object({
      recordId: id,
      decision: nonconformityDecision,
      decidedOn: civilDate,
      reason: z.string(),
      cause: z.string().nullable(),
      dueOn: civilDate.nullable(),
    })
    .nullable(),
});

export const buildProgress = z
  .object({
    buildId: id,
    status: z.string(),
    percentComplete: z.number().min(0).max(100),
    weightRule: z.literal('0/100 by budgeted cost of the stage'),
    stages: z.array(
      z.object({
        stageCode: z.string(),
        title: z.string(),
        weightRatio: ratio,
        status: z.enum([
          'not-started',
          'in-progress',
          'awaiting-release',
          'nonconforming',
          'in-rework',
          'accepted',
        ]),
        startedOn: civilDate.nullable(),
        finishedOn: civilDate.nullable(),
        releasedOn: civilDate.nullable(),
        earliestStartOn: civilDate.nullable(),
        isOpenToStart: z.boolean(),
        holdPoint: z.enum(['hold', 'witness', 'none']),
        releasedBy: z.string().nullable(),
        needs: z.array(z.string()),
        checks: z.array(stageCheck),
        readings: z.array(
          z.object({
            checkCode: z.string(),
            measuredValue: z.number(),
            observedOn: civilDate,
            isWithinLimits: z.boolean(),
            acceptedByConcession: z.boolean().meta({
              description: 'Outside its limits and accepted by the engineer as it is',
            }),
          }),
        ),
        obstacles: z.array(brokenRule),
        cautions: z.array(z.string()),
      }),
    ),
    openHolds: z.array(z.string()),
    nonConformities: z.array(nonConformity).meta({ description: 'Open or in rework' }),
    closedNonConformities: z.array(nonConformity),
    isComplete: z.boolean(),
  })
  .meta({ id: 'BuildProgress' });

export type NewStageRecord = z.infer<typeof newStageRecord>;
export type NewStageRecordBatch = z.infer<typeof newStageRecordBatch>;
export type StageRecordBatch = z.infer<typeof stageRecordBatch>;
export type StageRecord = z.infer<typeof stageRecord>;
export type BuildProgress = z.infer<typeof buildProgress>;
