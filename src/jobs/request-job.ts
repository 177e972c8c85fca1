import { v7 as uuidv7 } from 'uuid';
import type { Job } from '../../shared/contract/job.ts';
import type { Tx } from '../db/database.ts';
import { jobRecord } from './job-record.ts';
import { enqueue } from './queue.ts';
import type { QueueName } from './queues.ts';

/**
 * Asks for work that runs after the answer: the job's row, its place in the queue and its audit entry
 * commit together with whatever else the transaction does.
 */
export async function requestJob(tx: Tx, kind: QueueName, input: object): Promise<Job> {
  const made = await jobRecord.insert(tx, uuidv7(), kind, input);
  await enqueue(tx, kind, { organisationId: tx.organisationId, jobId: made.id });
  await tx.audit('request', 'job', made.id, { kind, ...input });
  return made;
}
