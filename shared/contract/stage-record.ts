import { z } from 'zod';
import { civilDate, code, id, instant, longText, ratio, shortText } from './values.ts';

const factFields = {
  stageCode: code,
  kind: z.enum(['started', 'finished', 'check-recorded', 'hold-released', 'hold-refused']),
  observedOn: civilDate.meta({ description: 'Day on which it was seen, however late it is sent' }),
  checkCode: code.optional(),
  measuredValue: z
    .number()
    .optional()
    .meta({ description: 'In the unit of the check; yes-no takes 1 or 0' }),
  reason: shortText.optional().meta({ description: 'Why a hold was refused' }),
  note: longText.default(''),
  deviceRecordedAt: z.iso.datetime({ offset: true }).optional(),
};

export const newStageRecord = z
  .strictObject({ id: id.optional(), ...factFields })
  .superRefine(({ kind, checkCode, measuredValue, reason }, context) => {
    const require = (path: string, isRight: boolean, message: string) => {
      if (!isRight) context.addIssue({ code: 'custom', path: [path], message });
    };
    const isCheck = kind === 'check-recorded';
    require('checkCode', isCheck ===
      (checkCode !== undefined), 'goes with kind check-recorded, and only with it');
    require('measuredValue', isCheck ===
      (measuredValue !== undefined), 'goes with kind check-recorded, and only with it');
    require('reason', (kind === 'hold-refused') ===
      (reason !== undefined), 'goes with kind hold-refused, and only with it');
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
    note: z.string(),
    deviceRecordedAt: instant.nullable(),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'StageRecord' });

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
          }),
        ),
        obstacles: z.array(brokenRule),
        cautions: z.array(z.string()),
      }),
    ),
    openHolds: z.array(z.string()),
    nonConformities: z.array(
      z.object({
        kind: z.string(),
        stageCode: z.string(),
        checkCode: z.string().optional(),
        observedOn: civilDate,
        detail: z.string(),
      }),
    ),
    isComplete: z.boolean(),
  })
  .meta({ id: 'BuildProgress' });

export type NewStageRecord = z.infer<typeof newStageRecord>;
export type StageRecord = z.infer<typeof stageRecord>;
export type BuildProgress = z.infer<typeof buildProgress>;
