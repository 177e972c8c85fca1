import { open, readFile, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { type ClusterLocation, clusterName } from './cluster-location.ts';
import { giveTo } from './create-cluster.ts';
import { asClause, DatabaseUnavailable, explainFailure } from './database-unavailable.ts';
import { type Inspection, inspect, serverProcessesIn } from './inspect.ts';
import { runProgram } from './run-program.ts';
import { freePort } from './server-record.ts';
import { waitUntil } from './wait-until.ts';

const START_WITHIN_S = 120;
const STOP_WITHIN_MS = 60_000;
/** How long what is left of a killed server may take to end before a start is given up. */
const LEFTOVERS_WITHIN_MS = 10_000;
const LOG_LIMIT_BYTES = 16 * 1024 * 1024;
const PORT_ATTEMPTS = 5;

export type StartSettings = { durable: boolean; maxConnections: number };

/**
 * Starts the server and returns its port once it answers, after clearing a lock file that is proved
 * to belong to nobody.
 *
 * @throws {DatabaseUnavailable} with the server's own reason in one sentence.
 */
export async function startServer(
  location: ClusterLocation,
  binFolder: string,
  preferredPort: number | undefined,
  settings: StartSettings,
): Promise<number> {
  const giveUpAt = performance.now() + LEFTOVERS_WITHIN_MS;
  let preferred = preferredPort;
  for (let attempt = 1; ; ) {
    await clearDeadLock(location.pgData);
    const port = await freePort(preferred);
    const failure = await tryStart(location, binFolder, port, settings);
    if (failure === undefined) return port;
    const mayBeLeftovers = /lock file "postmaster\.pid"|pre-existing shared memory/.test(failure);
    if (mayBeLeftovers && performance.now() < giveUpAt) continue;
    if (/could not bind|could not create any TCP/.test(failure) && attempt < PORT_ATTEMPTS) {
      attempt += 1;
      preferred = undefined;
      continue;
    }
    throw startFailure(failure, location, await inspect(location.pgData));
  }
}

/**
 * Fast shutdown: open sessions are ended, everything committed stays.
 *
 * @returns the process that was stopped, or `undefined` when none ran.
 */
export async function stopServer(
  location: ClusterLocation,
  binFolder: () => Promise<string>,
): Promise<{ pid: number } | undefined> {
  const found = await inspect(location.pgData);
  if (found.state !== 'live') return undefined;
  if (process.platform === 'win32') {
    const args = ['stop', '-m', 'fast', '-w', '-D', location.pgData];
    const { account, root } = location;
    await runProgram(join(await binFolder(), 'pg_ctl'), args, { account, cwd: root });
  } else {
    process.kill(found.pid, 'SIGINT');
  }
  // The lock file goes when the server is down; its process entry may stay until it is reaped.
  const isDown = await waitUntil(async () => {
    return (await inspect(location.pgData)).state === 'live' ? undefined : true;
  }, STOP_WITHIN_MS);
  if (isDown) return { pid: found.pid };
  throw new DatabaseUnavailable(
    `The database server (process ${found.pid}) did not stop within a minute: ` +
      `see ${location.serverLog}.`,
  );
}

/**
 * Removes the lock file of a server that is proved dead: its process is a zombie or is no server at
 * all, and nothing else of it works in the folder. A missing process needs no help: PostgreSQL sees
 * that itself.
 */
async function clearDeadLock(pgData: string): Promise<void> {
  const found = await inspect(pgData);
  const isProvedDead = found.state === 'zombie' || (found.state === 'foreign' && found.isProved);
  if (!isProvedDead) return;
  const isEmpty = () => (serverProcessesIn(pgData).length === 0 ? true : undefined);
  if (!(await waitUntil(isEmpty, LEFTOVERS_WITHIN_MS))) return;
  const path = join(pgData, 'postmaster.pid');
  if ((await readFile(path, 'utf8')) === found.lockText) await rm(path);
}

/** @returns what the server wrote when it failed, or `undefined` when it runs. */
async function tryStart(
  location: ClusterLocation,
  binFolder: string,
  port: number,
  settings: StartSettings,
): Promise<string | undefined> {
  const logStart = await openLog(location);
  // No -D: pg_ctl would hand that path to a shell. The log is named relative to the folder.
  const args = ['start', '-w', '-t', String(START_WITHIN_S), '-l', 'server.log'];
  args.push('-o', serverOptions(location, port, settings));
  const result = await runProgram(join(binFolder, 'pg_ctl'), args, {
    account: location.account,
    cwd: location.root,
    environment: { PGDATA: location.pgData },
  });
  if (result.code === 0) return undefined;
  const written = (await readFile(location.serverLog)).subarray(logStart).toString();
  return `${written}\n${result.output}`;
}

function serverOptions(location: ClusterLocation, port: number, settings: StartSettings): string {
  const values: Record<string, string | number> = {
    cluster_name: clusterName(location.pgData),
    listen_addresses: '127.0.0.1',
    unix_socket_directories: '',
    max_connections: settings.maxConnections,
    shared_buffers: '128MB',
    max_wal_size: '512MB',
    log_min_duration_statement: 500,
    log_timezone: 'UTC',
    timezone: 'UTC',
    ...(settings.durable
      ? {}
      : { fsync: 'off', synchronous_commit: 'off', full_page_writes: 'off' }),
  };
  const pairs = Object.entries(values).map(([name, value]) => `-c ${name}=${value}`);
  return [`-p ${port}`, ...pairs].join(' ');
}

/** Makes the log file writable by the account and returns where new lines will begin. */
async function openLog(location: ClusterLocation): Promise<number> {
  const size = await stat(location.serverLog).then(
    (found) => found.size,
    () => 0,
  );
  const isLarge = size > LOG_LIMIT_BYTES;
  if (isLarge) await rename(location.serverLog, `${location.serverLog}.1`);
  const handle = await open(location.serverLog, 'a', 0o600);
  await handle.close();
  await giveTo(location, location.serverLog);
  return isLarge ? 0 : size;
}

function startFailure(failure: string, location: ClusterLocation, found: Inspection): Error {
  if (found.state === 'foreign') {
    return new DatabaseUnavailable(
      `The lock file ${join(location.pgData, 'postmaster.pid')} names process ${found.pid}, which ` +
        'may be another database server: stop that process and start again.',
    );
  }
  if (/No space left on device|Disk quota exceeded/.test(failure)) {
    return explainFailure(failure, location.root);
  }
  const reason = /(?:FATAL|PANIC):\s+(.*)/.exec(failure)?.[1] ?? failure.trim().split('\n').at(-1);
  return new DatabaseUnavailable(
    `The embedded database did not start (${asClause(reason ?? 'no reason given')}): ` +
      `see ${location.serverLog}.`,
  );
}
