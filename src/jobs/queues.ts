export interface QueuePolicy {
  /** Seconds after which a job whose worker has not answered is given to another one. */
  readonly expireInSeconds: number;
  /** Attempts after the first. */
  readonly retryLimit: number;
}

/** The kinds of work that run after the answer, one queue each. */
export const QUEUES = {
  'programme-sizing': { expireInSeconds: 180, retryLimit: 3 },
  // The longest time that weather samples are replayed for, reading and writing beside it.
  'season-forecasting': { expireInSeconds: 600, retryLimit: 1 },
  // The longest time limit of a season's search, reading and writing beside it.
  'season-planning': { expireInSeconds: 480, retryLimit: 1 },
  // The longest time limit of a plan, reading and writing beside it.
  'supply-planning': { expireInSeconds: 780, retryLimit: 1 },
} as const satisfies Readonly<Record<string, QueuePolicy>>;

export type QueueName = keyof typeof QUEUES;

export const QUEUE_NAMES = Object.keys(QUEUES) as QueueName[];

/** Where jobs go whose every attempt ended without an answer. */
export const DEAD_LETTER_QUEUE = 'ended-without-answer';

/** Schema of the queue's own tables. */
export const QUEUE_SCHEMA = 'pgboss';

/** Ids only: what a job is to do stands in its row, which row security guards. */
export interface JobPayload {
  readonly organisationId: string;
  readonly jobId: string;
}
