import { createHash, randomUUID } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Client, type ClientBase, type Pool } from 'pg';

/** Any constant: all processes that migrate one database queue on this lock. */
const MIGRATION_LOCK = 7_203_115;

const HISTORY_TABLE_SQL = `
  create table if not exists _prisma_migrations (
    id varchar(36) primary key,
    checksum varchar(64) not null,
    finished_at timestamptz,
    migration_name varchar(255) not null,
    logs text,
    rolled_back_at timestamptz,
    started_at timestamptz not null default now(),
    applied_steps_count integer not null default 0
  )`;

/** The app reads the history, to see at its start that the database is ready for it. */
const SHOW_HISTORY_SQL = `
  do $$ begin
    if exists (select from pg_roles where rolname = 'hoopwright_app') then
      grant select on _prisma_migrations to hoopwright_app;
    end if;
  end $$`;

export interface Migration {
  readonly name: string;
  readonly sql: string;
  readonly checksum: string;
}

export class MigrationConflict extends Error {}

/** Reads `<folder>/<stamp>_<name>/migration.sql` in the order of the stamps. */
export async function readMigrations(folder: string): Promise<Migration[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort();
  return Promise.all(
    names.map(async (name) => {
      const sql = await readFile(join(folder, name, 'migration.sql'), 'utf8');
      return { name, sql, checksum: createHash('sha256').update(sql).digest('hex') };
    }),
  );
}

/**
 * Applies the migrations that the database does not have yet, each in its own transaction together
 * with its history row, behind an advisory lock; history is kept as Prisma keeps it.
 *
 * @returns the names applied now, in order
 * @throws {MigrationConflict} when an applied migration differs from the file, or the database is
 *   newer than the files
 */
export async function migrate(ownerUrl: string, migrations: readonly Migration[]) {
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query('select pg_advisory_lock($1)', [MIGRATION_LOCK]);
    await client.query(HISTORY_TABLE_SQL);
    const pending = await pendingMigrations(client, migrations);
    for (const migration of pending) await applyMigration(client, migration);
    if (pending.length > 0) await client.query(SHOW_HISTORY_SQL);
    return pending.map((migration) => migration.name);
  } finally {
    await client.end();
  }
}

/**
 * Throws `MigrationConflict` when the database is older or newer than the files; for a process that
 * may not migrate by itself.
 */
export async function requireMigrated(pool: Pool, migrations: readonly Migration[]): Promise<void> {
  const client = await pool.connect();
  try {
    const pending = await pendingMigrations(client, migrations);
    if (pending.length === 0) return;
  } finally {
    client.release();
  }
  throw new MigrationConflict(
    'The database is older than this version; run the migrations first (node dist/src/cli/migrate.js).',
  );
}

async function pendingMigrations(client: ClientBase, migrations: readonly Migration[]) {
  const { rows } = await client.query<{ migration_name: string; checksum: string }>(
    `select migration_name, checksum from _prisma_migrations
     where finished_at is not null and rolled_back_at is null`,
  );
  const applied = new Map(rows.map((row) => [row.migration_name, row.checksum]));
  for (const { name, checksum } of migrations) {
    if (applied.has(name) && applied.get(name) !== checksum) {
      throw new MigrationConflict(
        `Migration ${name} was changed after this database applied it; restore the file or use a new database.`,
      );
    }
    applied.delete(name);
  }
  if (applied.size > 0) {
    throw new MigrationConflict(
      `The database has migrations that this version does not know (${[...applied.keys()].join(', ')}); start a newer version.`,
    );
  }
  const known = new Set(rows.map((row) => row.migration_name));
  return migrations.filter(({ name }) => !known.has(name));
}

async function applyMigration(client: Client, { name, sql, checksum }: Migration) {
  await client.query('begin');
  try {
    await client.query(sql);
    await client.query(
      `insert into _prisma_migrations (id, checksum, migration_name, finished_at, applied_steps_count)
       values ($1, $2, $3, now(), 1)`,
      [randomUUID(), checksum, name],
    );
    await client.query('commit');
  } catch (cause) {
    await client.query('rollback');
    throw new Error(`Migration ${name} failed and left the database as it was.`, { cause });
  }
}
