import pg from 'pg';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startTestService, type TestPerson, type TestService } from '../support/service.ts';

let service: TestService;
let person: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  person = await service.person(['coordinator']);
});
afterAll(() => service.close());

/** Ends the server process behind a connection, as a crash of the database would. */
async function cutOff(pid: number) {
  const admin = new pg.Client({ connectionString: service.database.adminUrl });
  await admin.connect();
  try {
    await admin.query('select pg_terminate_backend($1)', [pid]);
  } finally {
    await admin.end();
  }
}

describe('a connection that is lost', () => {
  it('fails its own transaction and no later one', async () => {
    const lost = service.as(person, async (tx) => {
      const [row] = await tx.sql<{ pid: number }>('select pg_backend_pid() as pid');
      await cutOff(row?.pid ?? 0);
      return tx.sql('select 1');
    });
    await expect(lost).rejects.toThrow();
    await expect(service.as(person, (tx) => tx.sql('select 1 as one'))).resolves.toEqual([
      { one: 1 },
    ]);
  });

  it('may report its end at the very moment it is handed out, and the process lives on', async () => {
    const { pool } = service.db;
    const handOut = pool.connect.bind(pool) as () => Promise<pg.PoolClient>;
    const late = new Error('terminating connection due to unexpected postmaster exit');
    pool.connect = (async () => {
      const client = await handOut();
      client.emit('error', late);
      return client;
    }) as typeof pool.connect;
    try {
      const answer = service.as(person, (tx) => tx.sql('select 1 as one'));
      await expect(answer).resolves.toEqual([{ one: 1 }]);
    } finally {
      pool.connect = handOut as typeof pool.connect;
    }
  });
});
