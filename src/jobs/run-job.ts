import type { Job, JobError } from '../../shared/contract/job.ts';
import type { Database, Tx } from '../db/database.ts';
import type { DomainError, ProblemCode } from '../domain/errors.ts';
import type { Actor } from '../domain/identity.ts';
import { asDomainError } from '../http/problem.ts';
import { jobActor } from './job-actor.ts';
import { jobRecord } from './job-record.ts';
import type { Delivery } from './queue.ts';
import { DEAD_LETTER_QUEUE, QUEUES, type QueueName } from './queues.ts';

export interface Progress {
  readonly done: number;
  readonly total: number;
}

/** A job while a worker runs it, on behalf of the person who asked for it. */
export interface RunningJob {
  readonly id: string;
  readonly input: Readonly<Record<string, unknown>>;
  readonly actor: Actor;
  /** Aborted when the worker stops or the attempt runs out of time. */
  readonly signal: AbortSignal;
  read<T>(work: (tx: Tx) => Promise<T>): Promise<T>;
  /**
   * One step: what `work` writes and the progress commit together, and only while this attempt still
   * owns the job and nobody has cancelled it. Keep steps to a few seconds.
   */
  step<T>(progress: Progress, work: (tx: Tx) => Promise<T>): Promise<T>;
}

/**
 * Does the work of one kind of job and returns its result. It may run again after a crash at any point,
 * so that each step must leave out what an earlier attempt has written.
 */
export type JobHandler = (job: RunningJob) => Promise<object>;

export type JobHandlers = Readonly<Record<QueueName, JobHandler>>;

export interface JobLog {
  info(details: object, message: string): void;
  error(details: object, message: string): void;
}

export interface JobRunner {
  readonly db: Database;
  readonly handlers: JobHandlers;
  readonly log: JobLog;
}

/** What the queue is to do with the delivery. */
export type Verdict = 'complete' | 'retry';

export class JobCancelled extends Error {}
/** Another attempt has begun since: this one must not write any more. */
class JobSuperseded extends Error {}

/** Failures that another attempt may not meet. */
const WORTH_RETRYING: ReadonlySet<ProblemCode> = new Set([
  'internal',
  'unavailable',
  'in-progress',
  'no-space',
  'too-many-requests',
]);

/** Time that an attempt keeps back, so that it ends before the queue gives the job to another worker. */
const MARGIN_SECONDS = 10;

/** Runs one delivery to its end and writes how it ended. Throws only when that could not be written. */
export async function runDelivery(
  runner: JobRunner,
  delivery: Delivery,
  stopping: AbortSignal,
): Promise<Verdict> {
  const { db, log } = runner;
  const { queue, payload } = delivery;
  const actor = await jobActor(db, payload);
  if (!actor) return 'complete';
  if (queue === DEAD_LETTER_QUEUE) {
    await db.withTenant(actor, (tx) => jobRecord.endUnanswered(tx, payload.jobId, UNANSWERED));
    return 'complete';
  }
  const job = await db.withTenant(actor, async (tx) => {
    const begun = await jobRecord.begin(tx, payload.jobId);
    if (!begun) await jobRecord.endCancelled(tx, payload.jobId);
    return begun;
  });
  if (!job) return 'complete';
  const finish = (end: Parameters<typeof jobRecord.finish>[3]) =>
    db.withTenant(actor, (tx) => jobRecord.finish(tx, job.id, job.attempt, end));
  try {
    const result = await runHandler(runner, queue, job, actor, stopping);
    await finish({ state: 'succeeded', result });
    return 'complete';
  } catch (error) {
    if (error instanceof JobSuperseded) return 'complete';
    if (error instanceof JobCancelled) {
      await finish({ state: 'cancelled' });
      return 'complete';
    }
    if (stopping.aborted) return 'retry';
    const refusal = asDomainError(error);
    const isWorthRetrying = WORTH_RETRYING.has(refusal.code);
    if (isWorthRetrying) log.error({ err: error, jobId: job.id, queue }, 'a job attempt failed');
    if (isWorthRetrying && !delivery.isLastAttempt) return 'retry';
    await finish({ state: 'failed', error: jobErrorOf(refusal, job) });
    return 'complete';
  }
}

function runHandler(
  { db, handlers }: JobRunner,
  queue: QueueName,
  job: Job,
  actor: Actor,
  stopping: AbortSignal,
): Promise<object> {
  const limitMs = (QUEUES[queue].expireInSeconds - MARGIN_SECONDS) * 1000;
  const signal = AbortSignal.any([stopping, AbortSignal.timeout(limitMs)]);
  return handlers[queue]({
    id: job.id,
    input: job.input,
    actor,
    signal,
    read: (work) => {
      signal.throwIfAborted();
      return db.withTenant(actor, work);
    },
    step: ({ done, total }, work) => {
      signal.throwIfAborted();
      return db.withTenant(
        actor,
        async (tx) => {
          const hold = await jobRecord.hold(tx, job.id, job.attempt);
          if (hold === 'cancelled') throw new JobCancelled();
          if (hold === 'superseded') throw new JobSuperseded();
          const value = await work(tx);
          await jobRecord.progress(tx, job.id, done, total);
          return value;
        },
        { statementTimeoutMs: 60_000 },
      );
    },
  });
}

const UNANSWERED: JobError = {
  code: 'internal',
  detail:
    'Every attempt ended without an answer: the worker died or ran out of time. Nothing half done was kept.',
};

function jobErrorOf({ code, message, details }: DomainError, { id, attempt }: Job): JobError {
  const { rule, errors } = details;
  return {
    code,
    detail:
      code === 'internal'
        ? `Attempt ${attempt} failed on our side, and it was the last; the log has the cause under job ${id}.`
        : message,
    ...(rule ? { rule } : {}),
    ...(errors ? { errors: errors.map((error) => ({ ...error })) } : {}),
  };
}
