import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import {
  civilDate,
  code,
  currency,
  documentFields,
  id,
  instant,
  longText,
  money,
  positiveDecimal,
  shortText,
} from './values.ts';

const unitRate = z
  .string()
  .regex(/^\d{1,14}(\.\d{1,6})?$/, 'a decimal number, not negative, with at most 6 decimals')
  .meta({ description: 'What one unit counts for, by the valuation rule' });
const evidence = shortText
  .min(1)
  .meta({ description: 'Number of the agreement, attendance sheet, weighing note or photograph' });

const agreed = {
  programmeId: id,
  villageId: id,
  materialId: id,
  agreedQuantity: positiveDecimal,
  valuationRule: shortText.min(1).meta({
    description: 'How the rate was found and where it is documented, such as a market price list',
  }),
  unitRate,
  currency,
  agreedOn: civilDate,
};
const dueOn = civilDate.meta({ description: 'Day by which all of it is to be there' });
const gatesDispatch = z.boolean().meta({
  description: 'Whether bought materials wait until all of it is there or somebody waives it',
});

const standing = z.object({
  status: z.enum(['missing', 'given', 'waived', 'ended']),
  isOverdue: z.boolean().meta({ description: 'Something is missing and the day has passed' }),
  givenQuantity: z.string(),
  missingQuantity: z.string(),
  agreedValue: money,
  givenValue: money.meta({ description: 'Sum of the in-kind costs that the records posted' }),
});

/** What a village agreed to give to a programme, labour included, and what it gave. */
export const contribution = z
  .object({
    ...documentFields,
    ...agreed,
    materialCode: code,
    unitCode: materialUnitCode,
    dueOn,
    gatesDispatch,
    evidence: z.string(),
    endedOn: civilDate.nullable(),
    ...standing.shape,
  })
  .meta({ id: 'Contribution' });

export const newContribution = z
  .strictObject({
    id: id.optional(),
    ...agreed,
    dueOn,
    gatesDispatch: gatesDispatch.default(true),
    evidence,
  })
  .refine((input) => input.dueOn >= input.agreedOn, {
    path: ['dueOn'],
    message: 'must not be before agreedOn',
  });

/** What was agreed stays; to agree on something else, end it and make another. */
export const contributionPatch = z
  .strictObject({
    dueOn,
    gatesDispatch,
    evidence,
    endedOn: civilDate.meta({ description: 'Ends the agreement; what was given stays counted' }),
  })
  .partial();

export const contributionFilters = { villageId: id.optional(), programmeId: id.optional() };

export const contributionRecord = z
  .object({
    id,
    contributionId: id,
    quantity: z.string().meta({ description: 'Below 0 when it takes an earlier record back' }),
    observedOn: civilDate,
    evidence: z.string(),
    value: money,
    costEntryId: id.nullable().meta({ description: 'null when the agreed rate is 0' }),
    reversesId: id.nullable(),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'ContributionRecord' });

export const newContributionRecord = z.strictObject({
  id: id.optional(),
  quantity: positiveDecimal,
  observedOn: civilDate,
  evidence,
});

export const contributionReversal = z.strictObject({
  id: id.optional(),
  observedOn: civilDate,
  reason: shortText.min(1),
});

export const contributionWaiver = z
  .object({
    id,
    contributionId: id,
    waivedOn: civilDate,
    reason: z.string(),
    waivedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'ContributionWaiver' });

export const newContributionWaiver = z.strictObject({
  id: id.optional(),
  waivedOn: civilDate.optional().meta({ description: 'Today when left out' }),
  reason: longText.min(1).meta({ description: 'Why materials go although something is missing' }),
});

const gateInput = z.object({
  contributionId: id,
  materialId: id,
  materialCode: code,
  materialName: z.string(),
  unitCode: materialUnitCode,
  agreedQuantity: z.string(),
  givenQuantity: z.string(),
  missingQuantity: z.string(),
  dueOn: civilDate,
});

export const dispatchGate = z
  .object({
    villageId: id,
    programmeId: id,
    state: z.enum(['open', 'closed']),
    missing: z.array(gateInput).meta({ description: 'What keeps the gate closed' }),
    waived: z.array(gateInput).meta({ description: 'What is missing too, and was waived' }),
  })
  .meta({ id: 'DispatchGate' });

export const dispatchGateQuery = z.strictObject({ programmeId: id });

export type Contribution = z.infer<typeof contribution>;
export type NewContribution = z.infer<typeof newContribution>;
export type ContributionPatch = z.infer<typeof contributionPatch>;
export type ContributionRecord = z.infer<typeof contributionRecord>;
export type NewContributionRecord = z.infer<typeof newContributionRecord>;
export type ContributionReversal = z.infer<typeof contributionReversal>;
export type ContributionWaiver = z.infer<typeof contributionWaiver>;
export type NewContributionWaiver = z.infer<typeof newContributionWaiver>;
export type GateInput = z.infer<typeof gateInput>;
export type DispatchGateState = z.infer<typeof dispatchGate>;
