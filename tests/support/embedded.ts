import { chmod, mkdtemp, readdir, realpath, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findCluster } from '../../src/db/embedded/cluster-location.ts';
import { acquireEmbedded, embeddedStatus, stopEmbedded } from '../../src/db/embedded/supervisor.ts';

const PREFIX = 'hoopwright-test-';
/** A younger folder may belong to a run that is only just beginning. */
const ABANDONED_AFTER_MS = 60_000;

export type TestServer = {
  /** Connection URL of the superuser. */
  adminUrl: string;
  port: number;
  dataDir: string;
  /** Stops the server and removes its folder. */
  release(): Promise<void>;
};

/** A PostgreSQL of its own for a test run: not durable, 200 connections, in a temporary folder. */
export async function startTestServer(): Promise<TestServer> {
  await removeAbandoned();
  const dataDir = await mkdtemp(join(tmpdir(), PREFIX));
  // A temporary folder is closed to others, and as root the database runs as another account.
  await chmod(dataDir, 0o711);
  const server = await acquireEmbedded({ dataDir, durable: false, maxConnections: 200 });
  return {
    adminUrl: server.adminUrl,
    port: server.port,
    dataDir,
    release: async () => {
      await server.release();
      await removeFolder(dataDir);
    },
  };
}

/** Stops and removes what killed runs left behind. */
async function removeAbandoned(): Promise<void> {
  for (const name of await readdir(tmpdir())) {
    const folder = join(tmpdir(), name);
    if (name.startsWith(PREFIX) && (await isAbandoned(folder))) await removeFolder(folder);
  }
}

async function isAbandoned(folder: string): Promise<boolean> {
  const found = await stat(folder).catch(() => undefined);
  if (!found?.isDirectory() || found.uid !== process.getuid?.()) return false;
  if (Date.now() - found.ctimeMs < ABANDONED_AFTER_MS) return false;
  return (await embeddedStatus(folder)).holders.length === 0;
}

/** Removes a data folder with its server and, when that was placed elsewhere, its cluster. */
export async function removeFolder(folder: string): Promise<void> {
  await stopEmbedded({ dataDir: folder });
  const cluster = await findCluster(await realpath(folder));
  if (cluster) await rm(cluster.root, { recursive: true, force: true });
  await rm(folder, { recursive: true, force: true });
}
