import type { Database } from '../db/database.ts';
import { jobHandlers } from './handlers.ts';
import { type Delivery, type Queue, startQueue } from './queue.ts';
import { DEAD_LETTER_QUEUE, QUEUE_NAMES } from './queues.ts';
import { type JobHandlers, type JobLog, type JobRunner, runDelivery } from './run-job.ts';

/** Milliseconds between two looks into an empty queue. */
const POLL_MS = 500;
/** Milliseconds that running jobs get to reach the end of their step when the worker stops. */
const STOP_WITHIN_MS = 15_000;

export interface WorkerOptions {
  /** The service's own handlers unless given. */
  readonly handlers?: JobHandlers;
  /** Standard error, one JSON object a line, unless given. */
  readonly log?: JobLog;
}

export interface Worker {
  /** Takes no more jobs and waits for the steps that are running; their jobs go on elsewhere. */
  stop(): Promise<void>;
}

/**
 * Runs the jobs of all queues, one at a time of each, until it is stopped. A job is claimed by one
 * worker at a time and runs again when its worker dies.
 */
export async function startWorker(
  { db }: { readonly db: Database },
  { handlers = jobHandlers, log = standardErrorLog }: WorkerOptions = {},
): Promise<Worker> {
  const queue = await startQueue(db, {
    onError: (error) => log.error({ err: error }, 'the queue reports an error'),
  });
  const runner: JobRunner = { db, handlers, log };
  const stopping = new AbortController();
  const loops = [...QUEUE_NAMES, DEAD_LETTER_QUEUE].map((name) =>
    workThrough(queue, name as Delivery['queue'], runner, stopping.signal),
  );
  return {
    async stop() {
      stopping.abort();
      await within(STOP_WITHIN_MS, Promise.all(loops));
      await queue.stop();
    },
  };
}

async function workThrough(
  queue: Queue,
  name: Delivery['queue'],
  runner: JobRunner,
  stopping: AbortSignal,
): Promise<void> {
  while (!stopping.aborted) {
    const didWork = await takeOne(queue, name, runner, stopping).catch((error: unknown) => {
      runner.log.error({ err: error, queue: name }, 'a job could not be taken to its end');
      return false;
    });
    if (!didWork) await pause(POLL_MS, stopping);
  }
}

/** Takes and runs one job; false when none was waiting. */
export async function takeOne(
  queue: Queue,
  name: Delivery['queue'],
  runner: JobRunner,
  stopping: AbortSignal,
): Promise<boolean> {
  const delivery = await queue.take(name);
  if (!delivery) return false;
  const verdict = await runDelivery(runner, delivery, stopping).catch(async (error: unknown) => {
    await queue.fail(delivery);
    throw error;
  });
  if (verdict === 'complete') await queue.complete(delivery);
  else await queue.fail(delivery);
  return true;
}

const standardErrorLog: JobLog = {
  info: () => undefined,
  error: ({ err, ...details }: { err?: unknown }, message) => {
    const reason = err instanceof Error ? (err.stack ?? err.message) : err;
    process.stderr.write(`${JSON.stringify({ level: 'error', message, reason, ...details })}\n`);
  },
};

function pause(ms: number, stopping: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    if (stopping.aborted) return resolve();
    const end = () => {
      clearTimeout(timer);
      stopping.removeEventListener('abort', end);
      resolve();
    };
    const timer = setTimeout(end, ms);
    stopping.addEventListener('abort', end);
  });
}

async function within(ms: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const limit = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, ms);
  });
  await Promise.race([work, limit]);
  clearTimeout(timer);
}
