import type { Job, JobError, JobState } from '../../shared/contract/job.ts';
import type { Tx } from '../db/database.ts';

const COLUMNS = `
  id, kind, state, input, progress_done, progress_total, attempt, result, error, requested_by_id,
  created_at, started_at, finished_at, cancel_requested_at`;

const INSERT_SQL = `
  insert into job (organisation_id, id, kind, state, input, requested_by_id)
  values ($1, $2, $3, 'queued', $4, $5) returning ${COLUMNS}`;

const READ_SQL = `select ${COLUMNS} from job where organisation_id = $1 and id = $2`;

const LIST_SQL = `
  select ${COLUMNS} from job
  where organisation_id = $1
    and ($2::text is null or kind = $2) and ($3::text is null or state = $3)
    and ($4::timestamptz is null or (created_at, id) < ($4::timestamptz, $5::uuid))
  order by created_at desc, id desc limit $6`;

const CANCEL_SQL = `
  update job set cancel_requested_at = coalesce(cancel_requested_at, now()),
    state = case state when 'queued' then 'cancelled' else state end,
    finished_at = case state when 'queued' then now() else finished_at end
  where organisation_id = $1 and id = $2 and state in ('queued', 'running') returning ${COLUMNS}`;

const BEGIN_SQL = `
  update job set state = 'running', attempt = attempt + 1, started_at = coalesce(started_at, now())
  where organisation_id = $1 and id = $2 and state in ('queued', 'running') and cancel_requested_at is null
  returning ${COLUMNS}`;

const HOLD_SQL = `
  select cancel_requested_at is not null as is_cancelled from job
  where organisation_id = $1 and id = $2 and attempt = $3 and state = 'running' for update`;

const PROGRESS_SQL = `
  update job set progress_done = least($3::integer, $4::integer), progress_total = $4
  where organisation_id = $1 and id = $2`;

const FINISH_SQL = `
  update job set state = $4, result = $5, error = $6, finished_at = now()
  where organisation_id = $1 and id = $2 and attempt = $3 and state = 'running'`;

const END_CANCELLED_SQL = `
  update job set state = 'cancelled', finished_at = now()
  where organisation_id = $1 and id = $2 and state in ('queued', 'running') and cancel_requested_at is not null`;

const END_UNANSWERED_SQL = `
  update job set state = case when cancel_requested_at is null then 'failed' else 'cancelled' end,
    error = case when cancel_requested_at is null then $3::jsonb end, finished_at = now()
  where organisation_id = $1 and id = $2 and state in ('queued', 'running')`;

const RUNNING_SQL = `
  select id from job
  where organisation_id = $1 and kind = $2 and state in ('queued', 'running') and input @> $3::jsonb limit 1`;

interface JobRow {
  id: string;
  kind: string;
  state: JobState;
  input: Record<string, unknown>;
  progress_done: number;
  progress_total: number;
  attempt: number;
  result: Record<string, unknown> | null;
  error: JobError | null;
  requested_by_id: string;
  created_at: string;
  started_at: string | null;
  finished_at: string | null;
  cancel_requested_at: string | null;
}

const toJob = (row: JobRow): Job => ({
  id: row.id,
  kind: row.kind,
  state: row.state,
  input: row.input,
  progress: { done: row.progress_done, total: row.progress_total },
  attempt: row.attempt,
  result: row.result,
  error: row.error,
  requestedById: row.requested_by_id,
  createdAt: row.created_at,
  startedAt: row.started_at,
  finishedAt: row.finished_at,
  cancelRequestedAt: row.cancel_requested_at,
});

async function one(tx: Tx, sql: string, values: unknown[]): Promise<Job | null> {
  const [row] = await tx.sql<JobRow>(sql, [tx.organisationId, ...values]);
  return row ? toJob(row) : null;
}

export interface JobFilter {
  readonly kind?: string | undefined;
  readonly state?: JobState | undefined;
}

/** Reads and writes of the rows that show how jobs stand. */
export const jobRecord = {
  async insert(tx: Tx, id: string, kind: string, input: object): Promise<Job> {
    const made = await one(tx, INSERT_SQL, [id, kind, JSON.stringify(input), tx.actor.personId]);
    return made as Job;
  },

  read: (tx: Tx, id: string) => one(tx, READ_SQL, [id]),

  /** Newest first; one more than `limit`, when there is more. */
  async list(tx: Tx, filter: JobFilter, after: readonly string[] | null, limit: number) {
    const [createdAt = null, id = null] = after ?? [];
    const rows = await tx.sql<JobRow>(LIST_SQL, [
      tx.organisationId,
      filter.kind ?? null,
      filter.state ?? null,
      createdAt,
      id,
      limit + 1,
    ]);
    return rows.map(toJob);
  },

  /** Cancels a waiting job and asks a running one to stop; null when it has ended already. */
  cancel: (tx: Tx, id: string) => one(tx, CANCEL_SQL, [id]),

  /** A job of this kind, with this in its input, that has not ended; null when there is none. */
  async running(tx: Tx, kind: string, input: object): Promise<string | null> {
    const rows = await tx.sql<{ id: string }>(RUNNING_SQL, [
      tx.organisationId,
      kind,
      JSON.stringify(input),
    ]);
    return rows[0]?.id ?? null;
  },

  /** Begins the next attempt; null when the job has ended or is to be cancelled. */
  begin: (tx: Tx, id: string) => one(tx, BEGIN_SQL, [id]),

  /** Locks the row for this attempt until the transaction ends. */
  async hold(tx: Tx, id: string, attempt: number): Promise<'held' | 'cancelled' | 'superseded'> {
    const rows = await tx.sql<{ is_cancelled: boolean }>(HOLD_SQL, [
      tx.organisationId,
      id,
      attempt,
    ]);
    if (!rows[0]) return 'superseded';
    return rows[0].is_cancelled ? 'cancelled' : 'held';
  },

  async progress(tx: Tx, id: string, done: number, total: number): Promise<void> {
    await tx.sql(PROGRESS_SQL, [tx.organisationId, id, done, total]);
  },

  /** Ends this attempt's job; nothing happens when another attempt owns it by now. */
  async finish(
    tx: Tx,
    id: string,
    attempt: number,
    end: { state: JobState; result?: object; error?: JobError },
  ): Promise<void> {
    await tx.sql(FINISH_SQL, [
      tx.organisationId,
      id,
      attempt,
      end.state,
      end.result ? JSON.stringify(end.result) : null,
      end.error ? JSON.stringify(end.error) : null,
    ]);
  },

  /** Ends a job that was to be cancelled when no attempt of it was alive to notice. */
  async endCancelled(tx: Tx, id: string): Promise<void> {
    await tx.sql(END_CANCELLED_SQL, [tx.organisationId, id]);
  },

  /** Ends a job whose attempts are used up, whoever owned the last. */
  async endUnanswered(tx: Tx, id: string, error: JobError): Promise<void> {
    await tx.sql(END_UNANSWERED_SQL, [tx.organisationId, id, JSON.stringify(error)]);
  },
};
