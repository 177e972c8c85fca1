import { z } from 'zod';
import { nonconformityDecision, nonconformityKind, nonconformityState } from './stage-record.ts';
import { civilDate, id } from './values.ts';

/** Work that did not pass, with where it stands. */
export const nonconformity = z
  .object({
    recordId: id.meta({ description: 'The stage record that did not pass' }),
    buildId: id,
    buildCode: z.string(),
    programmeId: id,
    villageId: id,
    villageName: z.string(),
    crewId: id.nullable().meta({ description: 'Crew of the record, or else of the build' }),
    crewName: z.string().nullable(),
    stageCode: z.string(),
    stageTitle: z.string(),
    kind: nonconformityKind,
    checkCode: z.string().nullable(),
    observedOn: civilDate,
    detail: z.string(),
    state: nonconformityState,
    decision: nonconformityDecision.nullable(),
    decidedOn: civilDate.nullable(),
    decidedById: id.nullable(),
    dueOn: civilDate.nullable(),
    cause: z.string().nullable(),
  })
  .meta({ id: 'Nonconformity' });

export const nonconformityFilters = {
  programmeId: id.optional(),
  villageId: id.optional(),
  buildId: id.optional(),
  state: nonconformityState.optional(),
  dueBefore: civilDate
    .optional()
    .meta({ description: 'Decided to be put right before this day, and not closed' }),
};

export type Nonconformity = z.infer<typeof nonconformity>;
