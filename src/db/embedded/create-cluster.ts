import { randomBytes } from 'node:crypto';
import {
  chown,
  mkdir,
  open,
  readdir,
  readFile,
  rename,
  rm,
  rmdir,
  writeFile,
} from 'node:fs/promises';
import { join } from 'node:path';
import type { ClusterLocation } from './cluster-location.ts';
import { DatabaseUnavailable, explainFailure } from './database-unavailable.ts';
import { runProgram } from './run-program.ts';
import { ADMIN_ROLE } from './server-record.ts';

const UNFINISHED = 'postgres.unfinished-';

/** The PostgreSQL major version that wrote the cluster, or `undefined` when there is none yet. */
export async function clusterMajor(pgData: string): Promise<number | undefined> {
  try {
    return Number.parseInt(await readFile(join(pgData, 'PG_VERSION'), 'utf8'), 10);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}

/** Refuses a cluster that the bundled PostgreSQL cannot read. */
export function requireSameMajor(found: number, bundled: number, pgData: string): void {
  if (found === bundled) return;
  throw new DatabaseUnavailable(
    `The data in ${pgData} was written by PostgreSQL ${found} and this release brings PostgreSQL ` +
      `${bundled}, which cannot read it: export it with the release that wrote it, or set DATA_DIR ` +
      'to an empty folder to begin afresh.',
  );
}

/**
 * Makes the cluster beside its final place and moves it there when complete, so that a crash never
 * leaves half a cluster. Checksums on, UTF-8, code-point order, SCRAM passwords only.
 */
export async function createCluster(
  location: ClusterLocation,
  binFolder: string,
  settings: { password: string; durable: boolean },
): Promise<void> {
  await removeUnfinished(location.root);
  const suffix = randomBytes(4).toString('hex');
  const target = join(location.root, UNFINISHED + suffix);
  const passwordFile = join(location.root, `password-${suffix}`);
  try {
    await mkdir(target, { mode: 0o700 });
    await writeFile(passwordFile, `${settings.password}\n`, { mode: 0o600, flag: 'wx' });
    await giveTo(location, target);
    await giveTo(location, passwordFile);
    const args = [
      `--pgdata=${target}`,
      `--username=${ADMIN_ROLE}`,
      `--pwfile=${passwordFile}`,
      '--auth=scram-sha-256',
      '--data-checksums',
      '--encoding=UTF8',
      '--locale=C',
      '--locale-provider=builtin',
      '--builtin-locale=C.UTF-8',
      '--no-instructions',
      ...(settings.durable ? [] : ['--no-sync']),
    ];
    const { account, root } = location;
    const result = await runProgram(join(binFolder, 'initdb'), args, { account, cwd: root });
    if (result.code !== 0) throw initFailure(result.output, location);
    await takePlace(target, location);
    if (settings.durable) await syncFolder(location.root);
  } catch (error) {
    await rm(target, { recursive: true, force: true });
    throw explainFailure(error, location.root);
  } finally {
    await rm(passwordFile, { force: true });
  }
}

/** Hands a file or folder to the database's account. */
export async function giveTo(location: ClusterLocation, path: string): Promise<void> {
  const ids = location.account.ids;
  if (ids) await chown(path, ids.uid, ids.gid);
}

async function removeUnfinished(root: string): Promise<void> {
  for (const name of await readdir(root)) {
    if (name.startsWith(UNFINISHED) || name.startsWith('password-')) {
      // An initdb whose starter was killed may still be writing there for a moment.
      await rm(join(root, name), { recursive: true, force: true, maxRetries: 20 });
    }
  }
}

async function takePlace(target: string, location: ClusterLocation): Promise<void> {
  try {
    await rmdir(location.pgData);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'ENOTEMPTY' || code === 'EEXIST') {
      throw new DatabaseUnavailable(
        `The folder ${location.pgData} holds files but no database: ` +
          'move them away, or set DATA_DIR to another folder.',
      );
    }
    if (code !== 'ENOENT') throw error;
  }
  await rename(target, location.pgData);
}

async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

function initFailure(output: string, location: ClusterLocation): Error {
  if (/could not look up effective user ID/.test(output)) {
    return new DatabaseUnavailable(
      `PostgreSQL needs a named account, and user ${process.getuid?.()} has no entry in ` +
        '/etc/passwd: run the service as a named user, or set DATABASE_URL.',
    );
  }
  const errors = output.split('\n').filter((line) => /error|fatal|detail|could not/i.test(line));
  return explainFailure(errors.join('; ') || output, location.root);
}
