import { randomBytes } from 'node:crypto';
import { chmod, mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Config } from './config.ts';
import { type Database, openDatabase } from './db/database.ts';
import { acquireEmbedded } from './db/embedded/supervisor.ts';
import { migrate, readMigrations, requireMigrated } from './db/migrate.ts';
import {
  APP_ROLE,
  createRolesAndDatabase,
  grantAppRole,
  OWNER_ROLE,
  type RolePasswords,
  refusePrivilegedRole,
  urlAs,
  urlWithAppRole,
} from './db/roles.ts';
import { prepareQueues } from './jobs/prepare-queues.ts';

const DATABASE_NAME = 'hoopwright';

export interface OpenService {
  readonly db: Database;
  /** What the app's own connections use. */
  readonly appUrl: string;
  close(): Promise<void>;
}

export interface OpenOptions {
  readonly log?: (line: string) => void;
  readonly applicationName?: string;
}

/**
 * Makes the database ready and opens it: starts or joins the embedded PostgreSQL unless
 * `DATABASE_URL` names a server, migrates as the owner, and connects as the role that row security
 * binds.
 *
 * @throws {DatabaseUnavailable | MigrationConflict | PrivilegedRole} with one sentence to show
 */
export async function openService(config: Config, options: OpenOptions = {}): Promise<OpenService> {
  const { ownerUrl, appUrl, release } = await findDatabase(config, options);
  let db: Database | null = null;
  try {
    if (ownerUrl !== null) await migrateDatabase(ownerUrl);
    const putsOnAppRole = config.databaseUrl !== undefined && appUrl !== config.databaseUrl;
    if (ownerUrl !== null && putsOnAppRole) await grantAppRole(ownerUrl);
    db = openDatabase({
      url: appUrl,
      maxConnections: config.databasePoolSize,
      ...(options.applicationName ? { applicationName: options.applicationName } : {}),
    });
    await refusePrivilegedRole(db.pool);
    await requireMigrated(db.pool, await readMigrations(await migrationsFolder()));
    const opened = db;
    return {
      db: opened,
      appUrl,
      async close() {
        await opened.close();
        await release();
      },
    };
  } catch (error) {
    await db?.close();
    await release();
    throw error;
  }
}

interface FoundDatabase {
  /** Null when this process must not migrate: it knows the app's login only. */
  readonly ownerUrl: string | null;
  readonly appUrl: string;
  release(): Promise<void>;
}

async function findDatabase(config: Config, options: OpenOptions): Promise<FoundDatabase> {
  const { databaseUrl, databaseOwnerUrl, dataDir } = config;
  if (databaseUrl !== undefined) {
    const sharesLogin = databaseOwnerUrl === undefined || databaseOwnerUrl === databaseUrl;
    const isAppLogin = decodeURIComponent(new URL(databaseUrl).username) === APP_ROLE;
    return {
      ownerUrl: sharesLogin && isAppLogin ? null : (databaseOwnerUrl ?? databaseUrl),
      appUrl: isAppLogin ? databaseUrl : urlWithAppRole(databaseUrl),
      release: async () => undefined,
    };
  }
  const server = await acquireEmbedded({ dataDir, ...(options.log ? { log: options.log } : {}) });
  try {
    const passwords = await rolePasswords(dataDir);
    await createRolesAndDatabase(server.adminUrl, DATABASE_NAME, passwords);
    return {
      ownerUrl: urlAs(server.adminUrl, OWNER_ROLE, passwords.owner, DATABASE_NAME),
      appUrl: urlAs(server.adminUrl, APP_ROLE, passwords.app, DATABASE_NAME),
      release: () => server.release(),
    };
  } catch (error) {
    await server.release();
    throw error;
  }
}

/** Migrates a database as its owner and makes the queues; returns the names applied now. */
export async function migrateDatabase(ownerUrl: string): Promise<string[]> {
  const applied = await migrate(ownerUrl, await readMigrations(await migrationsFolder()));
  await prepareQueues(ownerUrl);
  return applied;
}

/** `prisma/migrations` of the checkout, from `src/` and from `dist/src/` alike. */
async function migrationsFolder(): Promise<string> {
  for (const up of ['../prisma/migrations', '../../prisma/migrations']) {
    const folder = fileURLToPath(new URL(up, import.meta.url));
    if ((await readMigrations(folder).catch(() => [])).length > 0) return folder;
  }
  throw new Error('The folder prisma/migrations is missing beside the service.');
}

/** Passwords of the two login roles of the embedded server, made once, readable by us alone. */
async function rolePasswords(dataDir: string): Promise<RolePasswords> {
  const file = join(dataDir, 'roles.json');
  try {
    return JSON.parse(await readFile(file, 'utf8')) as RolePasswords;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
  }
  const passwords = {
    owner: randomBytes(32).toString('hex'),
    app: randomBytes(32).toString('hex'),
  };
  await mkdir(dataDir, { recursive: true });
  try {
    await writeFile(file, JSON.stringify(passwords), { mode: 0o600, flag: 'wx' });
    await chmod(file, 0o600);
    return passwords;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    return rolePasswords(dataDir);
  }
}
