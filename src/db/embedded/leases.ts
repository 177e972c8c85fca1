import { randomBytes } from 'node:crypto';
import { readdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { readHolderFile, writeHolderFile } from './holder-file.ts';
import type { ProcessIdentity } from './process-identity.ts';

/** A lease says: this process uses the server, do not stop it. */
export type Lease = { path: string; drop(): Promise<void> };

/** A process that uses the server now; `elsewhere` means another machine or container. */
export type LeaseHolder = { pid: number; host: string; elsewhere: boolean };

const KEPT_RUNNING = 'kept-running';

/** Writes this process's lease into the folder, under that folder's lock. */
export async function takeLease(folder: string): Promise<Lease> {
  const path = join(folder, `lease-${process.pid}-${randomBytes(4).toString('hex')}`);
  const heartbeat = await writeHolderFile(path);
  return {
    path,
    drop: async () => {
      heartbeat.stop();
      await rm(path, { force: true });
    },
  };
}

/** The living users of the server; leases of processes that ended are removed. */
export async function liveLeases(folder: string): Promise<LeaseHolder[]> {
  const holders: LeaseHolder[] = [];
  for (const name of await namesIn(folder)) {
    if (!name.startsWith('lease-')) continue;
    const path = join(folder, name);
    const state = await readHolderFile(path);
    if (state.alive) holders.push(describe(state.holder, state.elsewhere));
    else await rm(path, { force: true });
  }
  return holders;
}

/** Removes every lease, so that the processes that hold them stop looking after the server. */
export async function dropAllLeases(folder: string): Promise<void> {
  for (const name of await namesIn(folder)) {
    if (name.startsWith('lease-')) await rm(join(folder, name), { force: true });
  }
}

/** True while a person asked for the server to stay up without users. */
export async function isKeptRunning(folder: string): Promise<boolean> {
  return (await namesIn(folder)).includes(KEPT_RUNNING);
}

/** Records, or takes back, that the server stays up without users. */
export async function setKeptRunning(folder: string, isKept: boolean): Promise<void> {
  const path = join(folder, KEPT_RUNNING);
  if (isKept) await writeFile(path, '', { mode: 0o600 });
  else await rm(path, { force: true });
}

function describe(holder: ProcessIdentity | undefined, elsewhere: boolean): LeaseHolder {
  return { pid: holder?.pid ?? 0, host: holder?.host ?? 'unknown', elsewhere };
}

async function namesIn(folder: string): Promise<string[]> {
  try {
    return await readdir(folder);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}
