import { createHash } from 'node:crypto';
import { readFile, realpath, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import {
  accountForExistingCluster,
  accountForNewCluster,
  canEnter,
  type DatabaseAccount,
} from './database-account.ts';
import { DatabaseUnavailable } from './database-unavailable.ts';
import { makeFolders } from './make-folders.ts';

/** Where the database's files are and which account they belong to. */
export type ClusterLocation = {
  /** Folder that the account can enter: holds `postgres/`, the log and copied programs. */
  root: string;
  pgData: string;
  serverLog: string;
  account: DatabaseAccount;
};

const POINTER_FILE = 'postgres-is-at';
const RELOCATION_PARENTS = ['/var/lib/hoopwright', '/srv/hoopwright', '/opt/hoopwright'];

/** Makes the data folder when it is missing: closed to others, but passable for the database. */
export async function openDataFolder(dataDir: string): Promise<string> {
  await makeFolders(dataDir, process.getuid?.() === 0 ? 0o711 : 0o700);
  return realpath(dataDir);
}

/** The cluster that belongs to a data folder, or `undefined` when there is none yet. */
export async function findCluster(dataDir: string): Promise<ClusterLocation | undefined> {
  const root = (await pointedRoot(dataDir)) ?? dataDir;
  const owner = await statIfPresent(join(root, 'postgres'));
  if (!owner) return undefined;
  const account = accountForExistingCluster(join(root, 'postgres'), owner);
  if (await canEnter(account, root)) {
    return { ...locationAt(root, account), pgData: await realpath(join(root, 'postgres')) };
  }
  throw new DatabaseUnavailable(
    `The database files in ${root} belong to ${account.name}, who cannot enter that folder: ` +
      'allow it (chmod o+x on each folder of the path), or move the data folder.',
  );
}

/**
 * The cluster that belongs to a data folder, or the place for a new one: inside the data folder, or,
 * when the database's account cannot enter that (a clone in root's own home), in a system folder,
 * remembered by a pointer file in the data folder.
 */
export async function locateCluster(
  dataDir: string,
  log: (line: string) => void,
): Promise<ClusterLocation> {
  const existing = await findCluster(dataDir);
  if (existing) return existing;
  const account = accountForNewCluster();
  const root = await pointedRoot(dataDir);
  if (root === undefined) {
    if (await canEnter(account, dataDir)) return locationAt(dataDir, account);
    return relocate(dataDir, account, log);
  }
  if (await statIfPresent(root)) return locationAt(root, account);
  throw new DatabaseUnavailable(
    `${join(dataDir, POINTER_FILE)} says that the database is in ${root}, but nothing is there: ` +
      'bring it back, or remove that file to begin with an empty database.',
  );
}

async function relocate(
  dataDir: string,
  account: DatabaseAccount,
  log: (line: string) => void,
): Promise<ClusterLocation> {
  const parent = await firstUsableParent(account, dataDir);
  const name = createHash('sha256').update(dataDir).digest('hex').slice(0, 12);
  let root = join(parent, name);
  for (let again = 2; await statIfPresent(join(root, 'postgres', 'PG_VERSION')); again += 1) {
    log(`An earlier database for this data folder stays in ${root}; it is not used any more.`);
    root = join(parent, `${name}-${again}`);
  }
  await makeFolders(root, 0o711);
  await writeFile(join(dataDir, POINTER_FILE), `${root}\n`, { mode: 0o600 });
  log(
    `The database is kept in ${root}, because PostgreSQL runs as account ${account.name}, ` +
      `which cannot enter ${dataDir}.`,
  );
  return locationAt(root, account);
}

async function firstUsableParent(account: DatabaseAccount, dataDir: string): Promise<string> {
  for (const parent of RELOCATION_PARENTS) {
    try {
      await makeFolders(parent, 0o755);
      if (await canEnter(account, parent)) return parent;
    } catch {
      // Read-only or missing system folder: the next one may do.
    }
  }
  throw new DatabaseUnavailable(
    `PostgreSQL runs as account ${account.name}, which cannot enter ${dataDir}, and none of ` +
      `${RELOCATION_PARENTS.map((parent) => dirname(parent)).join(', ')} can be used instead: ` +
      'set DATA_DIR to a folder that account can enter.',
  );
}

function locationAt(root: string, account: DatabaseAccount): ClusterLocation {
  return { root, pgData: join(root, 'postgres'), serverLog: join(root, 'server.log'), account };
}

/** A short stable name for a cluster, shown in its processes' titles. */
export function clusterName(pgData: string): string {
  const hash = createHash('sha256').update(pgData).digest('hex').slice(0, 12);
  return `hoopwright-${hash}-${basename(pgData)}`;
}

async function statIfPresent(path: string) {
  try {
    return await stat(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}

async function pointedRoot(dataDir: string): Promise<string | undefined> {
  try {
    return (await readFile(join(dataDir, POINTER_FILE), 'utf8')).trim() || undefined;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}
