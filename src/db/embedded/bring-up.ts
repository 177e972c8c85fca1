import { type BinaryPackage, ensureBinaries, findBinaryPackage } from './binaries.ts';
import { type ClusterLocation, locateCluster } from './cluster-location.ts';
import { clusterMajor, createCluster, requireSameMajor } from './create-cluster.ts';
import { DatabaseUnavailable } from './database-unavailable.ts';
import { inspect } from './inspect.ts';
import { checkLogin } from './login.ts';
import { resetPassword } from './reset-password.ts';
import {
  freePort,
  newPassword,
  readServerRecord,
  type ServerRecord,
  writeServerRecord,
} from './server-record.ts';
import { type StartSettings, startServer, stopServer } from './start-server.ts';
import { waitUntil } from './wait-until.ts';

/** A server may be replaying its log after a crash before it lets anyone in. */
const READY_WITHIN_MS = 120_000;

export type BringUpSettings = StartSettings & {
  /** Folder of the package with the programs; the installed one when absent. */
  binaryPackage?: string;
  log: (line: string) => void;
};

export type RunningServer = {
  record: ServerRecord;
  pid: number;
  pgData: string;
  started: 'fresh' | 'started' | 'reattached';
};

/** Makes sure that the server of a data folder runs. Call it under the folder's lock only. */
export async function bringUp(dataDir: string, settings: BringUpSettings): Promise<RunningServer> {
  const location = await locateCluster(dataDir, settings.log);
  const source = await findBinaryPackage(settings.binaryPackage);
  const major = await clusterMajor(location.pgData);
  if (major === undefined) return createAndStart(dataDir, location, source, settings);
  requireSameMajor(major, source.major, location.pgData);

  const record = await readServerRecord(dataDir);
  if (record) {
    const live = await reattach(dataDir, location, record);
    if (live) return live;
  }
  const binFolder = await ensureBinaries(source, location.root, location.account);
  const usable = record ?? (await recordAnew(dataDir, location, binFolder, settings.log));
  return start(dataDir, location, binFolder, usable, settings, 'started');
}

async function createAndStart(
  dataDir: string,
  location: ClusterLocation,
  source: BinaryPackage,
  settings: BringUpSettings,
): Promise<RunningServer> {
  const binFolder = await ensureBinaries(source, location.root, location.account);
  const record = { port: await freePort(), password: newPassword() };
  await createCluster(location, binFolder, { ...settings, password: record.password });
  await writeServerRecord(dataDir, record);
  return start(dataDir, location, binFolder, record, settings, 'fresh');
}

async function start(
  dataDir: string,
  location: ClusterLocation,
  binFolder: string,
  record: ServerRecord,
  settings: BringUpSettings,
  started: 'fresh' | 'started',
): Promise<RunningServer> {
  const port = await startServer(location, binFolder, record.port, settings);
  const current = { ...record, port };
  if (port !== record.port) await writeServerRecord(dataDir, current);
  const live = await reattach(dataDir, location, current);
  if (live) return { ...live, started };
  throw new DatabaseUnavailable(
    `The embedded database started and ended at once: see ${location.serverLog}.`,
  );
}

/** Joins a server that already runs; one that is on its way down is waited for. */
async function reattach(
  dataDir: string,
  location: ClusterLocation,
  record: ServerRecord,
): Promise<RunningServer | undefined> {
  const settled = await waitUntil(async () => {
    const found = await inspect(location.pgData);
    const isSettled = found.state !== 'live' || found.phase === 'ready';
    return isSettled ? found : undefined;
  }, READY_WITHIN_MS);
  if (settled === undefined) {
    throw new DatabaseUnavailable(
      `The database server in ${location.pgData} has been starting or stopping for two minutes: ` +
        `see ${location.serverLog}.`,
    );
  }
  if (settled.state !== 'live') return undefined;
  const current = { ...record, port: settled.port };
  const login = await checkLogin(current, location.pgData);
  if (login.kind === 'ours') {
    if (settled.port !== record.port) await writeServerRecord(dataDir, current);
    const { pgData } = location;
    return { record: current, pid: settled.pid, pgData, started: 'reattached' };
  }
  throw new DatabaseUnavailable(
    login.kind === 'wrong-password'
      ? `The running database does not accept the password kept in ${dataDir}/server.json: stop ` +
          `process ${settled.pid}, remove that file and start again.`
      : `Process ${settled.pid} holds the database in ${location.pgData}, but it does not answer ` +
          `on port ${settled.port} (${login.reason}): stop that process and start again.`,
  );
}

/** Without a record nobody can log in: stop what may run, and give the superuser a new password. */
async function recordAnew(
  dataDir: string,
  location: ClusterLocation,
  binFolder: string,
  log: (line: string) => void,
): Promise<ServerRecord> {
  await stopServer(location, async () => binFolder);
  const record = { port: await freePort(), password: newPassword() };
  await resetPassword(location, binFolder, record.password);
  await writeServerRecord(dataDir, record);
  log(`The file server.json was missing in ${dataDir}; the database has a new password.`);
  return record;
}
