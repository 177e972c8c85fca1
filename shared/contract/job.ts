import { z } from 'zod';
import { id, instant } from './values.ts';

export const JOB_STATES = ['queued', 'running', 'succeeded', 'failed', 'cancelled'] as const;

/** Why a job failed, as a refused request says it. */
export const jobError = z
  .object({
    code: z.string(),
    detail: z.string(),
    rule: z.string().optional(),
    errors: z
      .array(z.looseObject({ pointer: z.string(), code: z.string(), message: z.string() }))
      .optional(),
  })
  .meta({ id: 'JobError' });

/** Work that goes on after the answer: ask again until its state is final. */
export const job = z
  .object({
    id,
    kind: z.string(),
    state: z.enum(JOB_STATES),
    input: z.record(z.string(), z.unknown()),
    progress: z.object({ done: z.int(), total: z.int() }),
    attempt: z.int().meta({ description: 'How often a worker has begun it' }),
    result: z.record(z.string(), z.unknown()).nullable(),
    error: jobError.nullable(),
    requestedById: id,
    createdAt: instant,
    startedAt: instant.nullable(),
    finishedAt: instant.nullable(),
    cancelRequestedAt: instant.nullable(),
  })
  .meta({ id: 'Job' });

export type JobState = (typeof JOB_STATES)[number];
export type JobError = z.infer<typeof jobError>;
export type Job = z.infer<typeof job>;
