import pg from 'pg';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openService } from '../../src/boot.ts';
import { ConfigError, readConfig } from '../../src/config.ts';
import { MigrationConflict, requireMigrated } from '../../src/db/migrate.ts';
import { createTestDatabase, type TestDatabase } from '../support/database.ts';

let database: TestDatabase;

beforeAll(async () => {
  database = await createTestDatabase();
});
afterAll(() => database.drop());

async function withPool<T>(url: string, work: (pool: pg.Pool) => Promise<T>): Promise<T> {
  const pool = new pg.Pool({ connectionString: url, max: 1 });
  try {
    return await work(pool);
  } finally {
    await pool.end();
  }
}

describe('the start of the service', () => {
  it('puts on the bound role when DATABASE_URL logs in as the owner, and migrates once', async () => {
    const service = await openService(readConfig({ DATABASE_URL: database.ownerUrl }));
    try {
      const { rows } = await service.db.pool.query<{ role: string }>('select current_user as role');
      expect(rows).toEqual([{ role: 'hoopwright_app' }]);
    } finally {
      await service.close();
    }
  });

  it('tells a process that may not migrate that the database is older than it', async () => {
    const later = { name: '29991231000000_add_later', sql: '', checksum: 'x' };
    const { rows } = await withPool(database.ownerUrl, (pool) =>
      pool.query<{ name: string; checksum: string }>(
        'select migration_name as name, checksum from _prisma_migrations',
      ),
    );
    const known = rows.map((row) => ({ ...row, sql: '' }));
    await withPool(database.appUrl, (pool) => requireMigrated(pool, known));
    const refusal = withPool(database.appUrl, (pool) => requireMigrated(pool, [...known, later]));
    await expect(refusal).rejects.toThrow(MigrationConflict);
    await expect(refusal).rejects.toThrow(/run the migrations first/);
  });

  it('names every variable of the environment that is not right', () => {
    const wrong = () => readConfig({ PORT: '70000', DATABASE_URL: 'mysql://x', DEMO: 'yes' });
    expect(wrong).toThrow(ConfigError);
    for (const name of ['PORT', 'DATABASE_URL', 'DEMO']) expect(wrong).toThrow(new RegExp(name));
  });
});
