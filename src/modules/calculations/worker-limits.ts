import { DomainError } from '../../domain/errors.ts';
import { runInWorker, WorkerFailure } from '../../workers/pool.ts';
import type { TaskInput, TaskName, TaskOutput } from '../../workers/registry.ts';

/**
 * Runs a calculation in a worker thread within a wall-clock limit, waiting for a free thread
 * included.
 *
 * @throws {DomainError} `unavailable` when it was ended by its limit of time or memory
 */
export async function withinLimit<Name extends TaskName>(
  name: Name,
  payload: TaskInput<Name>,
  limitS: number,
): Promise<TaskOutput<Name>> {
  try {
    return await runInWorker(name, payload, { timeoutMs: limitS * 1000 });
  } catch (error) {
    if (!(error instanceof WorkerFailure)) throw error;
    const why =
      error.reason === 'out-of-memory'
        ? 'needed more memory than one calculation may have'
        : `took longer than its limit of ${limitS} s`;
    throw new DomainError('unavailable', {
      detail: `The calculation ${why}, and was ended. Ask for less at once, or try again when the service is less busy.`,
      retryAfterS: 10,
      cause: error,
    });
  }
}
