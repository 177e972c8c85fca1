import PgBoss from 'pg-boss';
import type { Database, Tx } from '../db/database.ts';
import { type DEAD_LETTER_QUEUE, type JobPayload, QUEUE_SCHEMA, type QueueName } from './queues.ts';

/** Seconds between two looks for jobs whose worker has died. */
const MAINTENANCE_SECONDS = 10;
/** Days that finished jobs stay in the queue's archive; their rows in `job` stay for good. */
const DELETE_AFTER_DAYS = 7;

const settings = { schema: QUEUE_SCHEMA, migrate: false, schedule: false } as const;

/** Builds statements only: everything it sends goes through the transaction it is given. */
const sender = new PgBoss({
  ...settings,
  supervise: false,
  db: { executeSql: () => Promise.reject(new Error('The queue sends inside a transaction only')) },
});

/** Puts a job into its queue; it exists when the transaction commits, and not before. */
export async function enqueue(tx: Tx, name: QueueName, payload: JobPayload): Promise<void> {
  const executeSql = async (text: string, values: unknown[]) => ({
    rows: await tx.sql<object>(text, values),
  });
  const sent = await sender.send(name, payload, { db: { executeSql } });
  if (sent === null) throw new Error(`There is no queue ${name}; the queues were not prepared`);
}

/** One attempt at a job that a worker has taken. */
export interface Delivery {
  readonly queue: QueueName | typeof DEAD_LETTER_QUEUE;
  readonly deliveryId: string;
  readonly payload: JobPayload;
  readonly isLastAttempt: boolean;
}

export interface Queue {
  /** Takes the oldest waiting job; nobody else gets it before it expires. */
  take(name: Delivery['queue']): Promise<Delivery | null>;
  /** The attempt has come to an end and the job needs no other. */
  complete(delivery: Delivery): Promise<void>;
  /** The attempt failed: the job waits for its next one, or is dead after the last. */
  fail(delivery: Delivery): Promise<void>;
  /** Gives jobs of dead workers to others, and tidies up; happens by itself every few seconds. */
  maintain(): Promise<void>;
  stop(): Promise<void>;
}

export interface QueueOptions {
  /** False: `maintain` is called by hand, and delayed retries are taken at once. */
  readonly runsByItself?: boolean;
  readonly onError?: (error: unknown) => void;
}

/** Opens the worker's side of the queue on the service's own pool. */
export async function startQueue(db: Database, options: QueueOptions = {}): Promise<Queue> {
  const { runsByItself = true, onError } = options;
  const boss = new PgBoss({
    ...settings,
    supervise: runsByItself,
    maintenanceIntervalSeconds: MAINTENANCE_SECONDS,
    deleteAfterDays: DELETE_AFTER_DAYS,
    db: { executeSql: (text, values) => executeApart(db, text, values) },
  });
  boss.on('error', (error) => onError?.(error));
  await boss.start();
  return {
    async take(name) {
      const [taken] = await boss.fetch<JobPayload>(name, {
        includeMetadata: true,
        ignoreStartAfter: !runsByItself,
      });
      if (!taken) return null;
      return {
        queue: name,
        deliveryId: taken.id,
        payload: taken.data,
        isLastAttempt: taken.retryCount >= taken.retryLimit,
      };
    },
    complete: ({ queue, deliveryId }) => boss.complete(queue, deliveryId),
    fail: ({ queue, deliveryId }) => boss.fail(queue, deliveryId),
    maintain: () => boss.maintain(),
    stop: () => boss.stop({ graceful: false }),
  };
}

/** A statement that opens its own transaction may leave it broken: such a connection is thrown away. */
async function executeApart(db: Database, text: string, values?: unknown[]) {
  const client = await db.pool.connect();
  try {
    const result = await client.query(text, values);
    client.release();
    return result;
  } catch (error) {
    client.release(error as Error);
    throw error;
  }
}
