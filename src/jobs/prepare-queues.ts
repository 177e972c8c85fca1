import pg from 'pg';
import PgBoss from 'pg-boss';
import { APP_ROLE } from '../db/roles.ts';
import { DEAD_LETTER_QUEUE, QUEUE_NAMES, QUEUE_SCHEMA, QUEUES } from './queues.ts';

/** Any constant: all processes that prepare one database queue on this lock. */
const PREPARE_LOCK = 7_203_116;

const GRANTS_SQL = `
  grant usage on schema ${QUEUE_SCHEMA} to ${APP_ROLE};
  grant select on ${QUEUE_SCHEMA}.queue, ${QUEUE_SCHEMA}.schedule, ${QUEUE_SCHEMA}.subscription to ${APP_ROLE};
  grant select, update on ${QUEUE_SCHEMA}.version to ${APP_ROLE};
  grant select, insert, update, delete on ${QUEUE_SCHEMA}.job to ${APP_ROLE};
  grant select, insert, delete on ${QUEUE_SCHEMA}.archive to ${APP_ROLE};
  revoke execute on function ${QUEUE_SCHEMA}.create_queue(text, json), ${QUEUE_SCHEMA}.delete_queue(text) from public`;

/**
 * Makes the queue's schema and every queue as the owner, and lets the app role use them. Run it after
 * the migrations, at every start: what is there already is brought up to date.
 */
export async function prepareQueues(ownerUrl: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query('select pg_advisory_lock($1)', [PREPARE_LOCK]);
    const boss = new PgBoss({
      schema: QUEUE_SCHEMA,
      migrate: true,
      supervise: false,
      schedule: false,
      db: { executeSql: (text, values) => client.query(text, values) },
    });
    await boss.start();
    const deadLetter = { name: DEAD_LETTER_QUEUE, retryLimit: 20, retryDelay: 5 };
    await boss.createQueue(DEAD_LETTER_QUEUE, deadLetter);
    for (const name of QUEUE_NAMES) {
      const policy = {
        name,
        ...QUEUES[name],
        retryDelay: 1,
        retryBackoff: true,
        deadLetter: DEAD_LETTER_QUEUE,
      };
      await boss.createQueue(name, policy);
      await boss.updateQueue(name, policy);
    }
    await client.query(GRANTS_SQL);
    await boss.stop({ graceful: false });
  } finally {
    await client.end();
  }
}
