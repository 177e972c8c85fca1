import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmdirSync } from 'node:fs';
import { chmod, mkdir, readdir, rm, stat, symlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { findBinaryPackage } from '../../src/db/embedded/binaries.ts';
import { DatabaseUnavailable } from '../../src/db/embedded/database-unavailable.ts';
import { thisProcess } from '../../src/db/embedded/process-identity.ts';
import { acquireEmbedded } from '../../src/db/embedded/supervisor.ts';
import {
  isRoot,
  makeWorkbench,
  query,
  type ServiceUser,
  serviceUsers,
  type Workbench,
} from '../support/database-users.ts';
import { compileHolder, type HolderFactory } from '../support/embedded-holder.ts';

let bench: Workbench;
let holders: HolderFactory;
const self: ServiceUser = { title: 'this user' };
/** Root may mount a small disk, but not inside every container. */
const canMount = isRoot && mayMount();
/** Small disks that were mounted for a test. */
const mounts: string[] = [];

beforeAll(async () => {
  holders = await compileHolder();
});
beforeEach(async () => {
  bench = await makeWorkbench();
});
afterEach(async () => {
  await holders.killAll();
  for (const mount of mounts.splice(0)) execFileSync('umount', [mount]);
  await bench.remove();
});
afterAll(() => holders.remove());

/** The sentence of a refusal; anything but one plain sentence fails. */
async function refusalOf(attempt: Promise<unknown>): Promise<string> {
  const error = await attempt.then(
    () => undefined,
    (reason: Error) => reason,
  );
  if (error === undefined) throw new Error('nothing was refused');
  expect(error.name).toBe(DatabaseUnavailable.name);
  expect(error.message).toMatch(/^[A-Z][^\n]*[^.]\.$/);
  expect(error.message).not.toMatch(/undefined|\[object|Error:/);
  return error.message;
}

describe.each(serviceUsers)('as $title', (user) => {
  const { ids } = user;

  test('refuses a cluster of another major version and leaves it as it is', async () => {
    const dataDir = await bench.folder('data', user);
    const first = holders.start({ dataDir, ids });
    await first.server;
    await first.release();
    const bundled = (await findBinaryPackage()).major;
    const versionFile = join(dataDir, 'postgres', 'PG_VERSION');
    await writeFile(versionFile, `${bundled - 1}\n`);

    expect(await refusalOf(holders.start({ dataDir, ids }).server)).toBe(
      `The data in ${join(dataDir, 'postgres')} was written by PostgreSQL ${bundled - 1} and this ` +
        `release brings PostgreSQL ${bundled}, which cannot read it: export it with the release ` +
        'that wrote it, or set DATA_DIR to an empty folder to begin afresh.',
    );
    await writeFile(versionFile, `${bundled}\n`);
    const again = holders.start({ dataDir, ids });
    expect((await again.server).started).toBe('started');
    await again.release();
  });

  test('refuses a folder named postgres that holds something else', async () => {
    const dataDir = await bench.folder('data', user);
    const other = await bench.folder('data/postgres', user, 0o700);
    await writeFile(join(other, 'letter.txt'), 'not a database');
    // Root runs the database as the folder's owner, and refuses an owner that is root itself.
    const expected = isRoot && !ids ? 'belong to root' : 'holds files but no database';
    expect(await refusalOf(holders.start({ dataDir, ids }).server)).toContain(expected);
    expect(await readdir(other)).toEqual(['letter.txt']);
  });

  test('says so when the settings keep PostgreSQL from starting', async () => {
    const dataDir = await bench.folder('data', user);
    const first = holders.start({ dataDir, ids });
    await first.server;
    await first.release();
    await writeFile(join(dataDir, 'postgres', 'postgresql.conf'), 'work_mem = plenty\n');
    expect(await refusalOf(holders.start({ dataDir, ids }).server)).toBe(
      'The embedded database did not start (configuration file ' +
        `"${join(dataDir, 'postgres', 'postgresql.conf')}" contains errors): ` +
        `see ${join(dataDir, 'server.log')}.`,
    );
  });
});

test('refuses a data folder that is a file', async () => {
  const dataDir = join(bench.path, 'file');
  await writeFile(dataDir, '');
  expect(await refusalOf(acquireEmbedded({ dataDir }))).toBe(
    `The data folder ${dataDir} is not a folder: set DATA_DIR to one.`,
  );
  expect(await refusalOf(acquireEmbedded({ dataDir: join(dataDir, 'below') }))).toBe(
    `The data folder ${join(dataDir, 'below')} is not a folder: set DATA_DIR to one.`,
  );
});

test('refuses a folder that an ordinary user cannot write', async () => {
  const user = serviceUsers.at(-1) ?? self;
  const dataDir = await bench.folder('data', self, 0o555);
  expect(await refusalOf(holders.start({ dataDir, ids: user.ids }).server)).toMatch(
    new RegExp(`^The data folder ${dataDir} cannot be written by user \\d+: give that user access`),
  );
  expect(await readdir(dataDir)).toEqual([]);
});

test(
  canMount
    ? 'refuses a disk that even root cannot write'
    : 'refuses a disk that cannot be written (no right to mount one: a folder inside /proc instead)',
  async () => {
    const dataDir = canMount ? await smallDisk('disk', 'ro,size=1m') : '/proc/self/hoopwright';
    expect(await refusalOf(acquireEmbedded({ dataDir }))).toMatch(
      canMount
        ? new RegExp(`^The data folder ${dataDir} cannot be written by root: `)
        : /^The (data folder|embedded database in) \/proc\/self\/hoopwright /,
    );
  },
);

test('refuses another account’s cluster to an ordinary user', async () => {
  const dataDir = await bench.folder('data', self, 0o777);
  const pgData = await bench.folder('data/postgres', self, 0o700);
  await writeFile(join(pgData, 'PG_VERSION'), '18\n');
  if (isRoot) {
    const user = serviceUsers.at(-1) ?? self;
    expect(await refusalOf(holders.start({ dataDir, ids: user.ids }).server)).toBe(
      `The database files in ${pgData} belong to root: start the service as root or as that ` +
        'account, or set DATA_DIR to another folder.',
    );
    expect(await refusalOf(acquireEmbedded({ dataDir }))).toContain(
      `The database files in ${pgData} belong to root, and PostgreSQL must not run as root`,
    );
  } else {
    // Only root can give files away; an unreadable cluster of our own is the nearest thing.
    await chmod(pgData, 0o000);
    expect(await refusalOf(acquireEmbedded({ dataDir }))).toContain('cannot be written by user');
    await chmod(pgData, 0o700);
  }
});

test(
  canMount
    ? 'refuses a disk too small for a cluster and leaves it clean'
    : 'refuses a full disk (no right to mount a small one: a write that meets /dev/full instead)',
  async () => {
    const dataDir = canMount
      ? await smallDisk('disk', 'size=8m')
      : await bench.folder('data', self);
    if (!canMount) await symlink('/dev/full', join(dataDir, 'server.json.unfinished'));
    expect(await refusalOf(acquireEmbedded({ dataDir, durable: false }))).toBe(
      `The disk that holds ${dataDir} is full: free some space and start again.`,
    );
    if (canMount) expect(await readdir(dataDir)).toEqual(['run']);
  },
);

if (canMount) {
  test.each(['between two runs', 'under a running server'] as const)(
    'comes back with every row once space is made on a disk that filled up %s',
    async (moment) => {
      const dataDir = await smallDisk('disk', 'size=160m');
      const ballast = join(dataDir, 'ballast');
      const first = holders.start({ dataDir, durable: true });
      const server = await first.server;
      await query(server.adminUrl, 'create table kept as select generate_series(1, 1000) as id');
      if (moment === 'between two runs') {
        await first.release();
        await fill(ballast);
      } else {
        await fill(ballast);
        await first.kill();
        process.kill(server.pid, 'SIGKILL');
      }
      expect(await refusalOf(acquireEmbedded({ dataDir }))).toBe(
        `The disk that holds ${dataDir} is full: free some space and start again.`,
      );
      await rm(ballast);
      const next = holders.start({ dataDir, durable: true });
      const again = await next.server;
      expect(await query(again.adminUrl, 'select count(*)::int as count from kept')).toEqual([
        { count: 1000 },
      ]);
      await next.release();
    },
  );
}

test('refuses a folder that another container uses, until that one falls silent', async () => {
  const dataDir = await bench.folder('data', self);
  const lease = join(dataDir, 'run', 'lease-1-other');
  await mkdir(join(dataDir, 'run'));
  const elsewhere = { ...thisProcess(), machine: 'another boot', host: 'other-container', pid: 7 };
  await writeFile(lease, JSON.stringify(elsewhere));
  const heartbeat = setInterval(() => void utimes(lease, new Date(), new Date()), 1_000);
  try {
    expect(await refusalOf(acquireEmbedded({ dataDir }))).toBe(
      `The data folder ${dataDir} is in use by process 7 on other-container in another container ` +
        'or on another machine: stop that one, or give each its own DATA_DIR or one shared ' +
        'DATABASE_URL.',
    );
  } finally {
    clearInterval(heartbeat);
  }
  await utimes(lease, new Date(), new Date(Date.now() - 60_000));
  const server = await acquireEmbedded({ dataDir, durable: false });
  expect(server.started).toBe('fresh');
  await server.release();
});

function mayMount(): boolean {
  const folder = mkdtempSync(join(tmpdir(), 'hoopwright-mount-'));
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', folder], { stdio: 'ignore' });
    execFileSync('umount', [folder]);
    return true;
  } catch {
    return false;
  } finally {
    rmdirSync(folder);
  }
}

/** A disk of its own, which only root can mount. */
async function smallDisk(name: string, options: string): Promise<string> {
  const folder = await bench.folder(name, self);
  execFileSync('mount', ['-t', 'tmpfs', '-o', `${options},mode=0711`, 'tmpfs', folder]);
  mounts.push(folder);
  return folder;
}

/** Writes until the disk is full. */
async function fill(path: string): Promise<void> {
  await expect(writeFile(path, Buffer.alloc(200 * 1024 * 1024))).rejects.toMatchObject({
    code: 'ENOSPC',
  });
  expect((await stat(path)).size).toBeGreaterThan(1024 * 1024);
}
