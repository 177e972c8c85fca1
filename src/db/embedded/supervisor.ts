import { realpath } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { ensureBinaries, findBinaryPackage } from './binaries.ts';
import { type BringUpSettings, bringUp, type RunningServer } from './bring-up.ts';
import { findCluster, openDataFolder } from './cluster-location.ts';
import { DatabaseUnavailable, explainFailure } from './database-unavailable.ts';
import { withFolderLock } from './folder-lock.ts';
import { inspect } from './inspect.ts';
import {
  dropAllLeases,
  isKeptRunning,
  type LeaseHolder,
  liveLeases,
  setKeptRunning,
  takeLease,
} from './leases.ts';
import { adminUrlOf } from './server-record.ts';
import { stopServer } from './start-server.ts';
import { waitUntil } from './wait-until.ts';
import { watchServer } from './watch-server.ts';

export { DatabaseUnavailable } from './database-unavailable.ts';
export type { LeaseHolder } from './leases.ts';

/** A holder in another container or on another machine gets this long to fall silent. */
const ELSEWHERE_WITHIN_MS = 15_000;

export type EmbeddedOptions = {
  /** The service's data folder; the cluster lives in `postgres/` inside it. */
  dataDir: string;
  /** False switches fsync off: for tests only, a power cut may destroy the data. */
  durable?: boolean;
  maxConnections?: number;
  log?: (line: string) => void;
  /** Folder of the npm package with the programs; the installed one when absent. */
  binaryPackage?: string;
};

export type EmbeddedServer = {
  /** Connection URL of the bootstrap superuser, database `postgres`. */
  readonly adminUrl: string;
  readonly port: number;
  readonly started: 'fresh' | 'started' | 'reattached';
  /** Process id of the server; a restart after a crash changes it. */
  readonly pid: number;
  /** Gives the server back; the last process to do so stops it. May be called again. */
  release(): Promise<void>;
};

/**
 * Starts the PostgreSQL of a data folder, or joins it when it runs already, and keeps it running
 * until `release()`: a server that dies meanwhile is started again on the same port.
 *
 * @throws {DatabaseUnavailable} one plain sentence, whatever went wrong.
 */
export async function acquireEmbedded(options: EmbeddedOptions): Promise<EmbeddedServer> {
  const wanted = resolve(options.dataDir);
  const settings = settingsOf(options);
  try {
    const dataDir = await openDataFolder(wanted);
    const folder = runFolder(dataDir);
    const { lease, server } = await withFolderLock(folder, async () => {
      await refuseHoldersElsewhere(folder, dataDir);
      const taken = await takeLease(folder);
      try {
        return { lease: taken, server: await bringUp(dataDir, settings) };
      } catch (error) {
        await taken.drop();
        throw error;
      }
    });
    const watch = watchServer(dataDir, folder, lease, server, settings);
    let released: Promise<void> | undefined;
    return {
      get adminUrl() {
        return adminUrlOf(watch.current().record);
      },
      get port() {
        return watch.current().record.port;
      },
      get pid() {
        return watch.current().pid;
      },
      started: server.started,
      release: () => {
        released ??= watch.stop().then(() =>
          withFolderLock(folder, async () => {
            await lease.drop();
            const isUnused = (await liveLeases(folder)).length === 0;
            if (isUnused && !(await isKeptRunning(folder))) await stopCluster(dataDir, settings);
          }).catch((error) => {
            throw explainFailure(error, dataDir);
          }),
        );
        return released;
      },
    };
  } catch (error) {
    throw explainFailure(error, wanted);
  }
}

/** Starts the server and leaves it running without users, until `stopEmbedded`. */
export async function keepEmbeddedRunning(options: EmbeddedOptions): Promise<RunningServer> {
  const wanted = resolve(options.dataDir);
  try {
    const dataDir = await openDataFolder(wanted);
    const folder = runFolder(dataDir);
    return await withFolderLock(folder, async () => {
      await refuseHoldersElsewhere(folder, dataDir);
      const server = await bringUp(dataDir, settingsOf(options));
      await setKeptRunning(folder, true);
      return server;
    });
  } catch (error) {
    throw explainFailure(error, wanted);
  }
}

/**
 * Stops the server of a data folder.
 *
 * @returns what was found running, or `undefined` when nothing ran.
 * @throws {DatabaseUnavailable} when processes use it, unless `evenIfUsed`.
 */
export async function stopEmbedded(
  options: EmbeddedOptions & { evenIfUsed?: boolean },
): Promise<{ pid: number } | undefined> {
  const wanted = resolve(options.dataDir);
  try {
    const dataDir = await openDataFolder(wanted);
    const folder = runFolder(dataDir);
    return await withFolderLock(folder, async () => {
      const holders = await liveLeases(folder);
      if (holders.length > 0 && !options.evenIfUsed) {
        throw new DatabaseUnavailable(
          `The database is used by ${nameHolders(holders)}: stop that first, or stop with --now.`,
        );
      }
      await dropAllLeases(folder);
      await setKeptRunning(folder, false);
      return stopCluster(dataDir, settingsOf(options));
    });
  } catch (error) {
    throw explainFailure(error, wanted);
  }
}

export type EmbeddedStatus = {
  dataDir: string;
  holders: LeaseHolder[];
  isKeptRunning: boolean;
  server: { pid: number; port: number; pgData: string; serverLog: string } | undefined;
};

/** Looks, without starting or changing anything. */
export async function embeddedStatus(dataDir: string): Promise<EmbeddedStatus> {
  const wanted = resolve(dataDir);
  try {
    const opened = await realpath(wanted).catch(() => undefined);
    if (opened === undefined) {
      return { dataDir: wanted, holders: [], isKeptRunning: false, server: undefined };
    }
    const folder = runFolder(opened);
    const location = await findCluster(opened);
    const found = location && (await inspect(location.pgData));
    return {
      dataDir: opened,
      holders: await liveLeases(folder),
      isKeptRunning: await isKeptRunning(folder),
      server:
        location && found?.state === 'live'
          ? { ...found, pgData: location.pgData, serverLog: location.serverLog }
          : undefined,
    };
  } catch (error) {
    throw explainFailure(error, wanted);
  }
}

async function stopCluster(
  dataDir: string,
  settings: BringUpSettings,
): Promise<{ pid: number } | undefined> {
  const location = await findCluster(dataDir);
  if (!location) return undefined;
  return stopServer(location, async () => {
    const source = await findBinaryPackage(settings.binaryPackage);
    return ensureBinaries(source, location.root, location.account);
  });
}

async function refuseHoldersElsewhere(folder: string, dataDir: string): Promise<void> {
  let elsewhere: LeaseHolder[] = [];
  const isAlone = await waitUntil(async () => {
    elsewhere = (await liveLeases(folder)).filter((holder) => holder.elsewhere);
    return elsewhere.length === 0 ? true : undefined;
  }, ELSEWHERE_WITHIN_MS);
  if (isAlone) return;
  throw new DatabaseUnavailable(
    `The data folder ${dataDir} is in use by ${nameHolders(elsewhere)} in another container or on ` +
      'another machine: stop that one, or give each its own DATA_DIR or one shared DATABASE_URL.',
  );
}

function nameHolders(holders: LeaseHolder[]): string {
  return holders.map((holder) => `process ${holder.pid} on ${holder.host}`).join(', ');
}

function settingsOf(options: EmbeddedOptions): BringUpSettings {
  return {
    durable: options.durable ?? true,
    maxConnections: options.maxConnections ?? 60,
    log: options.log ?? (() => {}),
    ...(options.binaryPackage === undefined ? {} : { binaryPackage: options.binaryPackage }),
  };
}

function runFolder(dataDir: string): string {
  return join(dataDir, 'run');
}
