import { chmod, cp, mkdir, readdir, readFile, rm, stat } from 'node:fs/promises';
import { createServer } from 'node:net';
import { networkInterfaces } from 'node:os';
import { dirname, join } from 'node:path';
import pg from 'pg';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { findBinaryPackage } from '../../src/db/embedded/binaries.ts';
import { inspect } from '../../src/db/embedded/inspect.ts';
import {
  acquireEmbedded,
  embeddedStatus,
  keepEmbeddedRunning,
  stopEmbedded,
} from '../../src/db/embedded/supervisor.ts';
import {
  isRoot,
  makeWorkbench,
  query,
  serviceUsers,
  type Workbench,
} from '../support/database-users.ts';
import { startTestServer } from '../support/embedded.ts';
import { compileHolder, type HolderFactory } from '../support/embedded-holder.ts';

let bench: Workbench;
let holders: HolderFactory;

beforeAll(async () => {
  holders = await compileHolder();
});
beforeEach(async () => {
  bench = await makeWorkbench();
});
afterEach(async () => {
  await holders.killAll();
  await bench.remove();
});
afterAll(() => holders.remove());

describe.each(serviceUsers)('as $title', (user) => {
  const { ids } = user;

  test('starts a new cluster, keeps its data and port over a stop, and stops it at the end', async () => {
    const dataDir = await bench.folder('data', user);
    const first = holders.start({ dataDir, ids });
    const fresh = await first.server;
    expect(fresh.started).toBe('fresh');
    await query(fresh.adminUrl, 'create table kept as select 42 as answer');
    await first.release();
    expect(await inspect(join(dataDir, 'postgres'))).toEqual({ state: 'none' });

    const second = holders.start({ dataDir, ids });
    const again = await second.server;
    expect(again).toMatchObject({ started: 'started', adminUrl: fresh.adminUrl });
    expect(await query(again.adminUrl, 'select answer from kept')).toEqual([{ answer: 42 }]);
    await second.release();
    expect((await embeddedStatus(dataDir)).server).toBeUndefined();
  });

  test('runs without privileges, with checksums, UTF-8 and passwords, on the loopback address', async () => {
    const dataDir = await bench.folder('data', user);
    const server = await holders.start({ dataDir, ids }).server;
    expect((await stat(`/proc/${server.pid}`)).uid).not.toBe(0);
    expect((await stat(join(dataDir, 'server.json'))).mode & 0o777).toBe(0o600);

    const [settings] = await query(
      server.adminUrl,
      `select current_setting('data_checksums') as checksums,
              current_setting('server_encoding') as encoding,
              current_setting('listen_addresses') as addresses,
              current_setting('unix_socket_directories') as sockets,
              current_setting('max_connections') as connections,
              lower('ÉTÉ') as lowered,
              (select string_agg(distinct auth_method, ' ') from pg_hba_file_rules) as methods`,
    );
    expect(settings).toEqual({
      checksums: 'on',
      encoding: 'UTF8',
      addresses: '127.0.0.1',
      sockets: '',
      connections: '60',
      lowered: 'été',
      methods: 'scram-sha-256',
    });
    const guessed = new URL(server.adminUrl);
    guessed.password = 'a-guess';
    await expect(query(guessed.href, 'select 1')).rejects.toMatchObject({ code: '28P01' });
    for (const address of outsideAddresses()) {
      const client = new pg.Client({ host: address, port: server.port, user: 'postgres' });
      await expect(client.connect()).rejects.toMatchObject({ code: 'ECONNREFUSED' });
    }
  });

  test('is shared by several processes, and the last one out stops it', async () => {
    const dataDir = await bench.folder('data', user);
    const three = [1, 2, 3].map(() => holders.start({ dataDir, ids }));
    const servers = await Promise.all(three.map((holder) => holder.server));
    expect(servers.map((server) => server.started).sort()).toEqual([
      'fresh',
      'reattached',
      'reattached',
    ]);
    expect(new Set(servers.map((server) => server.adminUrl)).size).toBe(1);
    const url = servers[0]?.adminUrl ?? '';

    await three[0]?.release();
    await three[1]?.release();
    expect(await query(url, 'select 1 as one')).toEqual([{ one: 1 }]);
    expect((await embeddedStatus(dataDir)).holders).toMatchObject([
      { pid: three[2]?.process.pid, elsewhere: false },
    ]);
    await three[2]?.release();
    expect(await embeddedStatus(dataDir)).toMatchObject({ server: undefined, holders: [] });
  });

  test('works in a folder with an awkward name', async () => {
    const dataDir = await bench.folder(`my $HOME "tanks" 's \`é\``, user);
    const holder = holders.start({ dataDir, ids });
    const server = await holder.server;
    expect(await query(server.adminUrl, 'show data_directory')).toEqual([
      { data_directory: join(dataDir, 'postgres') },
    ]);
    await holder.release();
  });

  test('works where the package’s install script never ran', async () => {
    const dataDir = await bench.folder('data', user);
    const binaryPackage = await packageWithoutLinks(join(bench.path, 'package'));
    const holder = holders.start({ dataDir, ids, binaryPackage });
    expect((await holder.server).started).toBe('fresh');
    // Root makes the links in place; another user cannot, and copies the programs.
    expect((await readdir(dataDir)).some((name) => name.startsWith('postgresql-'))).toBe(
      ids !== undefined,
    );
    await holder.release();
  });

  test('moves to another port when its own was taken while it was down', async () => {
    const dataDir = await bench.folder('data', user);
    const first = holders.start({ dataDir, ids });
    const { port } = await first.server;
    await first.release();
    const intruder = createServer();
    await new Promise<void>((resolve) => intruder.listen(port, '127.0.0.1', resolve));
    try {
      const second = holders.start({ dataDir, ids });
      const server = await second.server;
      expect(server.port).not.toBe(port);
      expect(await query(server.adminUrl, 'select 1 as one')).toEqual([{ one: 1 }]);
      await second.release();
    } finally {
      intruder.close();
    }
  });

  test('gives the superuser a new password when server.json was lost', async () => {
    const dataDir = await bench.folder('data', user);
    const first = holders.start({ dataDir, ids });
    const before = await first.server;
    await query(before.adminUrl, 'create table kept as select 42 as answer');
    await first.release();
    await rm(join(dataDir, 'server.json'));

    const second = holders.start({ dataDir, ids });
    const after = await second.server;
    expect(await query(after.adminUrl, 'select answer from kept')).toEqual([{ answer: 42 }]);
    expect(new URL(after.adminUrl).password).not.toBe(new URL(before.adminUrl).password);
    expect(second.log.join()).toMatch(/server\.json was missing/);
    await second.release();
  });

  test('keeps the cluster reachable when others cannot enter the data folder', async () => {
    await bench.folder('closed', user, 0o700);
    const dataDir = await bench.folder('closed/.data', user);
    const first = holders.start({ dataDir, ids });
    const server = await first.server;
    const [row] = await query(server.adminUrl, 'show data_directory');
    await query(server.adminUrl, 'create table kept as select 42 as answer');
    await first.release();

    const pgData = String(row?.data_directory);
    if (isRoot && !ids) {
      // Root's own database account cannot enter: the cluster is placed elsewhere and says so.
      expect(pgData).toMatch(/^\/(var\/lib|srv|opt)\/hoopwright\/[0-9a-f]{12}\/postgres$/);
      expect(first.log).toEqual([
        `The database is kept in ${dirname(pgData)}, because PostgreSQL runs as account ` +
          `${await accountName(pgData)}, which cannot enter ${dataDir}.`,
      ]);
    } else {
      expect(pgData).toBe(join(dataDir, 'postgres'));
      expect(first.log).toEqual([]);
    }
    const second = holders.start({ dataDir, ids });
    const again = await second.server;
    expect(again.started).toBe('started');
    expect(await query(again.adminUrl, 'select answer from kept')).toEqual([{ answer: 42 }]);
    expect(second.log).toEqual([]);
    await second.release();
  });
});

test('copies the programs when the database’s account cannot reach the package', async () => {
  const user = serviceUsers[0] ?? { title: 'this user' };
  const dataDir = await bench.folder('data', user);
  const closed = await bench.folder('closed', user, 0o700);
  const binaryPackage = await packageWithoutLinks(join(closed, 'package'));
  // An ordinary user reaches its own folders: there, the package is made read-only instead.
  if (!isRoot) await chmod(join(binaryPackage, 'native', 'lib'), 0o555);
  try {
    const server = await acquireEmbedded({ dataDir, durable: false, binaryPackage });
    const copies = (await readdir(dataDir)).filter((name) => name.startsWith('postgresql-'));
    expect(copies).toHaveLength(1);
    expect(await query(server.adminUrl, 'select 1 as one')).toEqual([{ one: 1 }]);
    await server.release();
  } finally {
    if (!isRoot) await chmod(join(binaryPackage, 'native', 'lib'), 0o755);
  }
});

test('counts every acquire of one process, and takes a second release calmly', async () => {
  const dataDir = await bench.folder('data', { title: 'this user' });
  const first = await acquireEmbedded({ dataDir, durable: false });
  const second = await acquireEmbedded({ dataDir, durable: false });
  expect(second).toMatchObject({ started: 'reattached', adminUrl: first.adminUrl, pid: first.pid });
  await first.release();
  await first.release();
  expect(await query(second.adminUrl, 'select 1 as one')).toEqual([{ one: 1 }]);
  await second.release();
  expect(await inspect(join(dataDir, 'postgres'))).toEqual({ state: 'none' });
});

test('stays up without users once a person asked for it, until it is stopped', async () => {
  const dataDir = await bench.folder('data', { title: 'this user' });
  const kept = await keepEmbeddedRunning({ dataDir, durable: false });
  const user = await acquireEmbedded({ dataDir });
  expect(user.started).toBe('reattached');
  await expect(stopEmbedded({ dataDir })).rejects.toThrow(
    `The database is used by process ${process.pid} on `,
  );
  await user.release();
  expect((await embeddedStatus(dataDir)).server).toMatchObject({ pid: kept.pid });
  expect(await stopEmbedded({ dataDir })).toEqual({ pid: kept.pid });
  expect(await stopEmbedded({ dataDir })).toBeUndefined();
});

test('gives a test run a server of its own that leaves nothing behind', async () => {
  const server = await startTestServer();
  expect(await query(server.adminUrl, 'show fsync')).toEqual([{ fsync: 'off' }]);
  expect(await query(server.adminUrl, 'show max_connections')).toEqual([
    { max_connections: '200' },
  ]);
  await server.release();
  await expect(stat(server.dataDir)).rejects.toMatchObject({ code: 'ENOENT' });
});

/** A copy of the installed package as `npm ci --ignore-scripts` leaves it. */
async function packageWithoutLinks(folder: string): Promise<string> {
  const installed = await findBinaryPackage();
  await mkdir(folder, { recursive: true });
  await cp(installed.folder, folder, { recursive: true, verbatimSymlinks: true });
  const links = JSON.parse(await readFile(join(folder, 'native', 'pg-symlinks.json'), 'utf8'));
  expect(links.length).toBeGreaterThan(0);
  for (const { target } of links) await rm(join(folder, target), { force: true });
  return folder;
}

async function accountName(path: string): Promise<string> {
  const { uid } = await stat(path);
  const passwd = await readFile('/etc/passwd', 'utf8');
  return (
    passwd
      .split('\n')
      .find((line) => line.split(':')[2] === String(uid))
      ?.split(':')[0] ?? ''
  );
}

function outsideAddresses(): string[] {
  return Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter((address) => address.family === 'IPv4' && !address.internal)
    .map((address) => address.address);
}
