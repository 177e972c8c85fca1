import { randomBytes } from 'node:crypto';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import pg from 'pg';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it } from 'vitest';
import { ENGINE_VERSION } from '../../shared/version.ts';
import { MigrationConflict, migrate, readMigrations } from '../../src/db/migrate.ts';
import { schemaFromDatabase } from '../../src/db/schema-from-database.ts';
import { createTestDatabase } from '../support/database.ts';

const fromRoot = (path: string) => fileURLToPath(new URL(`../../${path}`, import.meta.url));

const made: string[] = [];
let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'hoopwright-migrations-'));
});
afterEach(async () => {
  for (const name of made.splice(0)) await asAdmin(`drop database "${name}" with (force)`);
});
afterAll(() => rm(folder, { recursive: true }));

async function asAdmin(sql: string) {
  const client = new pg.Client({ connectionString: inject('testServer').adminUrl });
  await client.connect();
  await client.query(sql).finally(() => client.end());
}

/** The owner's address of a new and empty database. */
async function emptyDatabase(): Promise<string> {
  const name = `test_${randomBytes(6).toString('hex')}`;
  const url = new URL(inject('testServer').ownerUrl);
  await asAdmin(`create database "${name}" owner ${decodeURIComponent(url.username)}`);
  made.push(name);
  url.pathname = `/${name}`;
  return url.href;
}

/** Writes migrations into a folder of their own and reads them as the service does. */
async function migrations(files: Readonly<Record<string, string>>) {
  const place = await mkdtemp(join(folder, 'set-'));
  for (const [name, sql] of Object.entries(files)) {
    await mkdir(join(place, name));
    await writeFile(join(place, name, 'migration.sql'), sql);
  }
  return readMigrations(place);
}

async function query<Row extends object>(url: string, sql: string): Promise<Row[]> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

const tablesOf = async (url: string) =>
  (
    await query<{ name: string }>(
      url,
      `select tablename as name from pg_tables where schemaname = 'public' order by tablename`,
    )
  ).map(({ name }) => name);

const historyOf = (url: string) =>
  query<{ migration_name: string; checksum: string }>(
    url,
    'select migration_name, checksum from _prisma_migrations order by migration_name',
  );

const TWO = {
  '20261101000001_create_well': 'create table well (id integer primary key);',
  '20261101000002_create_pump': 'create table pump (id integer primary key);',
};

describe('the schema', () => {
  it('of Prisma is what the migrations make', async () => {
    const database = await createTestDatabase();
    const client = new pg.Client({ connectionString: database.ownerUrl });
    await client.connect();
    try {
      const kept = await readFile(fromRoot('prisma/schema.prisma'), 'utf8');
      const rendered = await schemaFromDatabase(client);
      expect(rendered === kept || differenceOf(kept, rendered), 'run npm run schema:pull').toBe(
        true,
      );
      await client.query('alter table donor add column colour text');
      expect(await schemaFromDatabase(client)).not.toBe(kept);
    } finally {
      await client.end();
      await database.drop();
    }
  });

  it('is made once: a second run applies nothing', async () => {
    const url = await emptyDatabase();
    const files = await readMigrations(fromRoot('prisma/migrations'));
    expect(await migrate(url, files)).toEqual(files.map(({ name }) => name));
    expect(await migrate(url, files)).toEqual([]);
    const history = await historyOf(url);
    expect(history).toEqual(
      files.map(({ name, checksum }) => ({ migration_name: name, checksum })),
    );
  });

  it('is named in order, a verb and a noun after the stamp', async () => {
    const files = await readMigrations(fromRoot('prisma/migrations'));
    const names = files.map(({ name }) => name);
    expect(names.length).toBeGreaterThan(5);
    for (const name of names) expect(name).toMatch(/^\d{14}_[a-z]+(_[a-z]+)+$/);
    expect(new Set(names.map((name) => name.slice(0, 14))).size).toBe(names.length);
  });
});

describe('migrating', () => {
  it('applies each migration once when five processes start on an empty database', async () => {
    const url = await emptyDatabase();
    const files = await readMigrations(fromRoot('prisma/migrations'));
    const runs = await Promise.all(Array.from({ length: 5 }, () => migrate(url, files)));
    expect(runs.flat().sort()).toEqual(files.map(({ name }) => name));
    expect((await historyOf(url)).length).toBe(files.length);
  });

  it('goes on from where the database stands', async () => {
    const url = await emptyDatabase();
    const both = await migrations(TWO);
    expect(await migrate(url, both.slice(0, 1))).toEqual(['20261101000001_create_well']);
    expect(await migrate(url, both)).toEqual(['20261101000002_create_pump']);
    expect(await tablesOf(url)).toEqual(['_prisma_migrations', 'pump', 'well']);
  });

  it('refuses a migration that was changed after it was applied', async () => {
    const url = await emptyDatabase();
    await migrate(url, await migrations(TWO));
    const changed = await migrations({
      ...TWO,
      '20261101000001_create_well': 'create table well (id bigint primary key);',
      '20261101000003_create_pipe': 'create table pipe (id integer primary key);',
    });
    const refused = migrate(url, changed);
    await expect(refused).rejects.toThrow(MigrationConflict);
    await expect(refused).rejects.toThrow('20261101000001_create_well was changed');
    expect(await tablesOf(url)).toEqual(['_prisma_migrations', 'pump', 'well']);
  });

  it('refuses a database that is newer than the program', async () => {
    const url = await emptyDatabase();
    const both = await migrations(TWO);
    await migrate(url, both);
    const refused = migrate(url, both.slice(0, 1));
    await expect(refused).rejects.toThrow(MigrationConflict);
    await expect(refused).rejects.toThrow('20261101000002_create_pump');
  });

  it('leaves nothing of a migration that fails half-way, and runs it whole when it is mended', async () => {
    const url = await emptyDatabase();
    const name = '20261101000003_create_pipe';
    const half = 'create table pipe (id integer primary key); insert into pipe values (1);';
    const broken = await migrations({ ...TWO, [name]: `${half} select 1 / 0;` });
    await expect(migrate(url, broken)).rejects.toThrow(
      `Migration ${name} failed and left the database as it was.`,
    );
    expect(await tablesOf(url)).toEqual(['_prisma_migrations', 'pump', 'well']);
    expect((await historyOf(url)).map((row) => row.migration_name)).toEqual(Object.keys(TWO));
    const mended = await migrations({ ...TWO, [name]: half });
    expect(await migrate(url, mended)).toEqual([name]);
    expect(await query(url, 'select id from pipe')).toEqual([{ id: 1 }]);
  });

  it('does not take back the lock of the next process when one fails', async () => {
    const url = await emptyDatabase();
    const broken = await migrations({ '20261101000001_break_all': 'select 1 / 0;' });
    const runs = await Promise.allSettled([migrate(url, broken), migrate(url, broken)]);
    expect(runs.map(({ status }) => status)).toEqual(['rejected', 'rejected']);
    expect(await migrate(url, await migrations(TWO))).toHaveLength(2);
  });
});

describe('the version', () => {
  it('of the engine is the version of the package', async () => {
    const { version } = JSON.parse(await readFile(fromRoot('package.json'), 'utf8'));
    expect(ENGINE_VERSION).toBe(version);
  });
});

/** The first line in which two texts differ, so that a failure can be read. */
function differenceOf(kept: string, rendered: string): string {
  const [left, right] = [kept.split('\n'), rendered.split('\n')];
  const at = left.findIndex((line, index) => line !== right[index]);
  return `line ${at + 1}: kept "${left[at]}", the database has "${right[at]}"`;
}
