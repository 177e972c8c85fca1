import { jobHandlers } from '../../src/jobs/handlers.ts';
import { type Delivery, type Queue, startQueue } from '../../src/jobs/queue.ts';
import { DEAD_LETTER_QUEUE, QUEUE_NAMES } from '../../src/jobs/queues.ts';
import type { JobHandlers, JobLog } from '../../src/jobs/run-job.ts';
import { takeOne } from '../../src/jobs/worker.ts';
import type { TestService } from './service.ts';

export interface RunOptions {
  readonly handlers?: Partial<JobHandlers>;
  readonly log?: JobLog;
}

const QUIET: JobLog = { info: () => undefined, error: () => undefined };

/**
 * Runs every queued job of the service to its end, here and now, retries too, and answers how many
 * attempts that took. No polling and no waiting.
 */
export async function runQueuedJobs(
  service: TestService,
  { handlers, log = QUIET }: RunOptions = {},
): Promise<number> {
  return withQueue(service, async (queue) => {
    const runner = { db: service.db, handlers: { ...jobHandlers, ...handlers }, log };
    const names: Delivery['queue'][] = [...QUEUE_NAMES, DEAD_LETTER_QUEUE];
    const running = new AbortController().signal;
    let attempts = 0;
    for (let name = names[0], index = 0; name; ) {
      if (await takeOne(queue, name, runner, running)) {
        attempts++;
        index = 0;
      } else index++;
      name = names[index];
    }
    return attempts;
  });
}

/** The worker's side of the queue, moved by hand. */
export async function withQueue<T>(
  service: TestService,
  work: (queue: Queue) => Promise<T>,
): Promise<T> {
  const queue = await startQueue(service.db, { runsByItself: false });
  try {
    return await work(queue);
  } finally {
    await queue.stop();
  }
}
