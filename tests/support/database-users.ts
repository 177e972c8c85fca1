import { readFileSync } from 'node:fs';
import { chmod, chown, mkdir, mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { waitUntil } from '../../src/db/embedded/wait-until.ts';
import { removeFolder } from './embedded.ts';

export const isRoot = process.getuid?.() === 0;

/** A user that the service may run as; `ids` is absent for the user that runs the tests. */
export type ServiceUser = { title: string; ids?: { uid: number; gid: number } };

/**
 * The users to test with: root and an ordinary user when the tests run as root; otherwise only an
 * ordinary user can be tried, and the titles say so.
 */
export const serviceUsers: ServiceUser[] = isRoot
  ? [{ title: 'root' }, { title: 'an ordinary user', ids: ordinaryIds() }]
  : [{ title: 'an ordinary user (the tests do not run as root, so root is not tried)' }];

function ordinaryIds(): { uid: number; gid: number } {
  for (const line of readFileSync('/etc/passwd', 'utf8').split('\n')) {
    const [name, , uid, gid] = line.split(':');
    // Not the account that root itself would choose for the database.
    if (name !== 'nobody' && Number(uid) > 0) return { uid: Number(uid), gid: Number(gid) };
  }
  throw new Error('/etc/passwd holds no ordinary user');
}

/** A temporary folder that everybody can pass through, with data folders inside. */
export type Workbench = {
  path: string;
  /** A folder that belongs to the user; mode 0711 unless told otherwise. */
  folder(name: string, user: ServiceUser, mode?: number): Promise<string>;
  /** Stops every server below and removes everything. */
  remove(): Promise<void>;
};

export async function makeWorkbench(): Promise<Workbench> {
  const path = await mkdtemp(join(tmpdir(), 'hoopwright-faults-'));
  await chmod(path, 0o755);
  const folders: string[] = [];
  return {
    path,
    folder: async (name, user, mode = 0o711) => {
      const folder = join(path, name);
      await mkdir(folder, { recursive: true });
      if (user.ids) await chown(folder, user.ids.uid, user.ids.gid);
      await chmod(folder, mode);
      folders.push(folder);
      return folder;
    },
    remove: async () => {
      for (const folder of folders) {
        const names: string[] = await readdir(folder).catch(() => []);
        if (names.includes('server.json')) await removeFolder(folder);
      }
      await rm(path, { recursive: true, force: true });
    },
  };
}

/** One statement on a connection of its own. */
export async function query(url: string, text: string): Promise<Record<string, unknown>[]> {
  const client = new pg.Client({ connectionString: url, connectionTimeoutMillis: 10_000 });
  client.on('error', () => {});
  await client.connect();
  try {
    return (await client.query(text)).rows;
  } finally {
    await client.end().catch(() => {});
  }
}

/** Asks until the answer comes, and fails naming what was waited for. */
export async function eventually<T>(
  what: string,
  ask: () => Promise<T | undefined> | T | undefined,
  withinMs = 20_000,
): Promise<T> {
  const answer = await waitUntil(ask, withinMs);
  if (answer === undefined) throw new Error(`gave up waiting for ${what}`);
  return answer;
}

/**
 * Inserts numbered rows, one transaction each, until the connection breaks or `stop()`.
 *
 * @returns how many commits the server confirmed.
 */
export async function writeRows(url: string): Promise<{ stop(): void; done: Promise<number> }> {
  await query(url, 'create table if not exists kept (id int primary key)');
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => {});
  await client.connect();
  let confirmed = 0;
  let isStopped = false;
  const run = async () => {
    try {
      while (!isStopped) {
        await client.query('insert into kept values ($1)', [confirmed + 1]);
        confirmed += 1;
      }
    } catch {
      // The server was killed: what was confirmed until now must be there later.
    }
    await client.end().catch(() => {});
    return confirmed;
  };
  const done = run();
  await eventually('some confirmed rows', () => (confirmed >= 50 ? true : undefined));
  return {
    stop: () => {
      isStopped = true;
    },
    done,
  };
}
