import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { Piscina } from 'piscina';
import { DomainError } from '../domain/errors.ts';
import type { TaskInput, TaskName, TaskOutput } from './registry.ts';
import { unpackThrown } from './thrown.ts';
import type { Call, Outcome } from './worker.ts';

/** Heap of one worker; a workbook of 50,000 full rows needs half of it. A task that needs more ends its worker, never the process. */
const RESOURCE_LIMITS = { maxOldGenerationSizeMb: 256, maxYoungGenerationSizeMb: 64 };
/** Two at least, so that a long calculation leaves a thread for a file that somebody waits for. */
const MAX_THREADS = Math.max(2, availableParallelism());
/** Few, because a request that waits here holds its connection to the database. */
const MAX_WAITING = 4;
const IDLE_BEFORE_STOP_MS = 30_000;

export interface RunOptions {
  /** Wall-clock limit, waiting for a free thread included; the worker is ended after it. */
  readonly timeoutMs: number;
  /** Ends the task before it is done. */
  readonly signal?: AbortSignal;
}

/** Why a worker did not come to an end of its own. */
export type WorkerFailureReason = 'timeout' | 'out-of-memory' | 'cancelled';

export class WorkerFailure extends Error {
  readonly reason: WorkerFailureReason;

  constructor(task: string, reason: WorkerFailureReason, cause: unknown) {
    super(`The worker task ${task} was ended: ${reason}`, { cause });
    this.name = 'WorkerFailure';
    this.reason = reason;
  }
}

let pool: Piscina<Call, Outcome> | null = null;

/**
 * Runs a task of `tasks/` in a worker thread. What the task throws as DomainError or EngineError is
 * thrown here as such.
 *
 * @throws {WorkerFailure} when the task was ended by its limits of time or memory or by the signal
 * @throws {DomainError} `unavailable` when too many tasks are waiting
 */
export async function runInWorker<Name extends TaskName>(
  name: Name,
  payload: TaskInput<Name>,
  { timeoutMs, signal }: RunOptions,
): Promise<TaskOutput<Name>> {
  const deadline = AbortSignal.timeout(timeoutMs);
  const outcome = await started()
    .run({ name, payload }, { signal: signal ? AbortSignal.any([signal, deadline]) : deadline })
    .catch((error: unknown) => {
      if (signal?.aborted) throw new WorkerFailure(name, 'cancelled', error);
      if (deadline.aborted) throw new WorkerFailure(name, 'timeout', error);
      throw failureOf(name, error);
    });
  if (!outcome.ok) throw unpackThrown(outcome.thrown);
  return outcome.value as TaskOutput<Name>;
}

function started(): Piscina<Call, Outcome> {
  if (pool) return pool;
  pool = new Piscina<Call, Outcome>({
    filename: workerFile(),
    minThreads: 0,
    maxThreads: MAX_THREADS,
    idleTimeout: IDLE_BEFORE_STOP_MS,
    maxQueue: MAX_WAITING,
    resourceLimits: RESOURCE_LIMITS,
  });
  // A worker may run out of memory while it is being ended; its task has been answered by then.
  pool.on('error', () => undefined);
  return pool;
}

/** The compiled worker beside this file, or in dist when this file runs as TypeScript. */
function workerFile(): string {
  const isCompiled = !import.meta.url.endsWith('.ts');
  const path = isCompiled ? './worker.js' : '../../dist/src/workers/worker.js';
  const file = fileURLToPath(new URL(path, import.meta.url));
  if (!existsSync(file)) {
    throw new Error(
      `The worker program ${file} is missing: compile the sources with npm run build`,
    );
  }
  return file;
}

function failureOf(name: string, error: unknown): unknown {
  const { code, message } = error as { code?: unknown; message?: unknown };
  if (code === 'ERR_WORKER_OUT_OF_MEMORY') return new WorkerFailure(name, 'out-of-memory', error);
  if (message === 'Task queue is at limit') {
    return new DomainError('unavailable', {
      detail: 'Too much work is waiting; try again in a moment.',
      retryAfterS: 5,
      cause: error,
    });
  }
  return error;
}
