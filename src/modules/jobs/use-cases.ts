import type { Job } from '../../../shared/contract/job.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError, notFound, ruleBroken } from '../../domain/errors.ts';
import { type JobFilter, jobRecord } from '../../jobs/job-record.ts';

export interface Jobs {
  get(tx: Tx, id: string): Promise<Job>;
  /** Newest first; one more than `limit`, when there is more. */
  list(tx: Tx, filter: JobFilter, after: readonly string[] | null, limit: number): Promise<Job[]>;
  cancel(tx: Tx, id: string): Promise<Job>;
}

export function createJobs(): Jobs {
  async function get(tx: Tx, id: string) {
    const found = await jobRecord.read(tx, id);
    if (!found) throw notFound('job', id);
    return found;
  }
  return {
    get,
    list: jobRecord.list,
    async cancel(tx, id) {
      const current = await get(tx, id);
      const { personId, permissions } = tx.actor;
      if (current.requestedById !== personId && !permissions.has('programmes:write')) {
        throw new DomainError('forbidden', {
          detail: 'A job is cancelled by whoever asked for it, or by a coordinator.',
        });
      }
      const cancelled = await jobRecord.cancel(tx, id);
      if (cancelled) {
        await tx.audit('cancel', 'job', id);
        return cancelled;
      }
      const ended = await get(tx, id);
      if (ended.state === 'cancelled') return ended;
      throw ruleBroken('job-has-ended', `The job has ${ended.state} already.`);
    },
  };
}
