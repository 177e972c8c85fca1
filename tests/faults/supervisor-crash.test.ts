import { readdir, readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { ensureBinaries, findBinaryPackage } from '../../src/db/embedded/binaries.ts';
import { findCluster } from '../../src/db/embedded/cluster-location.ts';
import { inspect } from '../../src/db/embedded/inspect.ts';
import { processState } from '../../src/db/embedded/process-identity.ts';
import { runProgram } from '../../src/db/embedded/run-program.ts';
import { stopEmbedded } from '../../src/db/embedded/supervisor.ts';
import {
  eventually,
  makeWorkbench,
  query,
  serviceUsers,
  type Workbench,
  writeRows,
} from '../support/database-users.ts';
import { compileHolder, type HolderFactory } from '../support/embedded-holder.ts';
import { type Bystander, startBystander } from '../support/zombie.ts';

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

  test('rejoins a server whose holder was killed, and stops it at the end', async () => {
    const dataDir = await bench.folder('data', user);
    const killed = holders.start({ dataDir, ids, durable: true });
    const before = await killed.server;
    const writer = await writeRows(before.adminUrl);
    await killed.kill();
    writer.stop();
    const confirmed = await writer.done;

    const next = holders.start({ dataDir, ids, durable: true });
    const after = await next.server;
    expect(after).toMatchObject({ started: 'reattached', pid: before.pid, port: before.port });
    expect(await countRows(after.adminUrl)).toBeGreaterThanOrEqual(confirmed);
    await next.release();
    expect(await inspect(join(dataDir, 'postgres'))).toEqual({ state: 'none' });
  });

  test('starts a killed server again on the same port, for all who hold it', async () => {
    const dataDir = await bench.folder('data', user);
    const first = holders.start({ dataDir, ids, durable: true });
    const second = holders.start({ dataDir, ids, durable: true });
    const [before] = await Promise.all([first.server, second.server]);
    const writer = await writeRows(before.adminUrl);
    process.kill(before.pid, 'SIGKILL');
    const confirmed = await writer.done;

    expect(await eventually('the server', () => countRows(before.adminUrl).catch(() => undefined)))
      // One insert may have been committed without its confirmation having arrived.
      .toSatisfy((count) => count === confirmed || count === confirmed + 1);
    const sentences = await eventually('both holders to notice', () => {
      return first.log.length && second.log.length ? [...first.log, ...second.log] : undefined;
    });
    expect(
      sentences.filter((line) => /died and was started again \(now \d+\)/.test(line)),
    ).toHaveLength(1);
    expect(sentences.filter((line) => /started again by another process/.test(line))).toHaveLength(
      1,
    );
    await first.release();
    expect(await countRows(before.adminUrl)).toBeGreaterThanOrEqual(confirmed);
    await second.release();
    expect(await inspect(join(dataDir, 'postgres'))).toEqual({ state: 'none' });
  });

  test('recovers every confirmed row when holder and server were killed together', async () => {
    const dataDir = await bench.folder('data', user);
    const killed = holders.start({ dataDir, ids, durable: true });
    const before = await killed.server;
    const writer = await writeRows(before.adminUrl);
    process.kill(killed.process.pid ?? 0, 'SIGKILL');
    process.kill(before.pid, 'SIGKILL');
    const confirmed = await writer.done;
    await killed.kill();

    const next = holders.start({ dataDir, ids, durable: true });
    const after = await next.server;
    expect(after).toMatchObject({ started: 'started', port: before.port });
    expect(after.pid).not.toBe(before.pid);
    expect(await countRows(after.adminUrl)).toSatisfy(
      (count) => count === confirmed || count === confirmed + 1,
    );
    await next.release();
  });

  test.each(['zombie', 'foreign'] as const)(
    'starts although the dead server’s id belongs to a %s process',
    async (kind) => {
      const dataDir = await bench.folder('data', user);
      const pgData = join(dataDir, 'postgres');
      const bystander = await crashedWithIdOfAnother(dataDir, kind);
      try {
        expect(await inspect(pgData)).toMatchObject({ state: kind, pid: bystander.pid });
        // PostgreSQL by itself takes that process for a living server of the folder.
        expect(await plainStart(dataDir)).toMatch(/lock file "postmaster\.pid" already exists/);

        const next = holders.start({ dataDir, ids });
        const after = await next.server;
        expect(after.started).toBe('started');
        expect(await query(after.adminUrl, 'select answer from kept')).toEqual([{ answer: 42 }]);
        // Whoever got the id was left alone.
        expect(processState(bystander.pid).state).toBe(kind === 'zombie' ? 'zombie' : 'running');
        await next.release();
      } finally {
        await bystander.remove();
      }
    },
  );

  test('begins again when it was killed while making the cluster', async () => {
    const dataDir = await bench.folder('data', user);
    const killed = holders.start({ dataDir, ids });
    await eventually('initdb at work', async () => {
      const unfinished = (await readdir(dataDir)).find((name) => name.startsWith('postgres.unfin'));
      if (!unfinished) return undefined;
      const files = await readdir(join(dataDir, unfinished));
      return files.includes('PG_VERSION') ? true : undefined;
    });
    await killed.kill();
    await expect(stat(join(dataDir, 'postgres'))).rejects.toMatchObject({ code: 'ENOENT' });

    const next = holders.start({ dataDir, ids });
    expect((await next.server).started).toBe('fresh');
    await next.release();
    expect((await readdir(dataDir)).sort()).toEqual([
      'postgres',
      'run',
      'server.json',
      'server.log',
    ]);
  });

  /** A crashed server whose lock file names a process of the database's own account. */
  async function crashedWithIdOfAnother(
    dataDir: string,
    kind: 'zombie' | 'foreign',
  ): Promise<Bystander> {
    const pgData = join(dataDir, 'postgres');
    const killed = holders.start({ dataDir, ids, durable: true });
    const server = await killed.server;
    await query(server.adminUrl, 'create table kept as select 42 as answer');
    await killed.kill();
    process.kill(server.pid, 'SIGKILL');
    await eventually('the server to be gone', async () =>
      (await inspect(pgData)).state === 'live' ? undefined : true,
    );
    const { uid, gid } = await stat(pgData);
    const bystander = await startBystander({ uid, gid });
    if (kind === 'zombie') await bystander.turnIntoZombie();
    const lockFile = join(pgData, 'postmaster.pid');
    const lines = (await readFile(lockFile, 'utf8')).split('\n');
    await writeFile(lockFile, [bystander.pid, ...lines.slice(1)].join('\n'));
    return bystander;
  }
});

test('starts over the lock file of another folder’s living server, which it leaves alone', async () => {
  const user = { title: 'this user' };
  const [mine, other] = [await bench.folder('mine', user), await bench.folder('other', user)];
  const neighbour = await holders.start({ dataDir: other }).server;
  const first = holders.start({ dataDir: mine });
  await first.server;
  await first.release();
  const lock = await readFile(join(other, 'postgres', 'postmaster.pid'), 'utf8');
  await writeFile(join(mine, 'postgres', 'postmaster.pid'), lock);
  expect(await inspect(join(mine, 'postgres'))).toMatchObject({ state: 'foreign', isProved: true });

  const next = holders.start({ dataDir: mine });
  expect((await next.server).started).toBe('started');
  expect(await query(neighbour.adminUrl, 'select 1 as one')).toEqual([{ one: 1 }]);
  await next.release();
});

test('does not start again what a person stopped at once', async () => {
  const dataDir = await bench.folder('data', { title: 'this user' });
  const holder = holders.start({ dataDir });
  const server = await holder.server;
  expect(await stopEmbedded({ dataDir, evenIfUsed: true })).toEqual({ pid: server.pid });
  await holder.release();
  expect(holder.log).toEqual([]);
  expect(await inspect(join(dataDir, 'postgres'))).toEqual({ state: 'none' });
});

async function countRows(url: string): Promise<number> {
  const [row] = await query(url, 'select count(*)::int as count from kept');
  return Number(row?.count);
}

/** What PostgreSQL says when it is started without the supervisor's help. */
async function plainStart(dataDir: string): Promise<string> {
  const location = await findCluster(dataDir);
  if (!location) throw new Error(`no cluster in ${dataDir}`);
  const binFolder = await ensureBinaries(
    await findBinaryPackage(),
    location.root,
    location.account,
  );
  const result = await runProgram(join(binFolder, 'postgres'), ['-p', '1'], {
    account: location.account,
    cwd: location.root,
    environment: { PGDATA: location.pgData },
  });
  expect(result.code).toBe(1);
  return result.output;
}
