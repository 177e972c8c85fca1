import { readdirSync, readFileSync, readlinkSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { clusterName } from './cluster-location.ts';
import { processState } from './process-identity.ts';

/** What PostgreSQL's lock file says, held against the processes that really exist. */
export type Inspection =
  /** No lock file: nothing runs here. */
  | { state: 'none' }
  /** The server of this folder runs. */
  | { state: 'live'; pid: number; port: number; phase: string }
  /** The server died and its process entry is not yet reaped; PostgreSQL takes it for alive. */
  | { state: 'zombie'; pid: number; lockText: string }
  /** The server died and its process is gone. */
  | { state: 'stale'; pid: number; lockText: string }
  /** The id belongs to another process; `isProved` when that cannot be a server of this folder. */
  | { state: 'foreign'; pid: number; lockText: string; isProved: boolean };

/** Reads `postmaster.pid` of a cluster and says what stands behind it. */
export async function inspect(pgData: string): Promise<Inspection> {
  let lockText: string;
  try {
    lockText = await readFile(join(pgData, 'postmaster.pid'), 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return { state: 'none' };
    throw error;
  }
  // Lines: process id, data folder, start time, port, socket folder, address, memory key, phase.
  const lines = lockText.split('\n');
  const pid = Number(lines[0]);
  const found = processState(pid);
  if (found.state === 'absent') return { state: 'stale', pid, lockText };
  if (found.state === 'zombie') return { state: 'zombie', pid, lockText };
  if (found.name !== '' && !/^postgres(\.exe)?$/.test(found.name)) {
    return { state: 'foreign', pid, lockText, isProved: true };
  }
  const owner = belongsTo(pid, pgData);
  if (owner === 'another') return { state: 'foreign', pid, lockText, isProved: true };
  const port = Number(lines[3]);
  if (owner === 'this' || (found.name === '' && port > 0)) {
    return { state: 'live', pid, port, phase: (lines[7] ?? '').trim() };
  }
  return { state: 'foreign', pid, lockText, isProved: false };
}

/** Processes named postgres that work in this data folder, the postmaster or what it left behind. */
export function serverProcessesIn(pgData: string): number[] {
  if (process.platform !== 'linux') return [];
  return readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .map(Number)
    .filter((pid) => {
      const state = processState(pid);
      return (
        state.state === 'running' && state.name === 'postgres' && belongsTo(pid, pgData) === 'this'
      );
    });
}

/** A server works inside its data folder; where that is hidden from us, its command line tells. */
function belongsTo(pid: number, pgData: string): 'this' | 'another' | 'unknown' {
  if (process.platform !== 'linux') return 'this';
  try {
    return readlinkSync(`/proc/${pid}/cwd`) === pgData ? 'this' : 'another';
  } catch {
    return commandLineNames(pid, pgData) ? 'this' : 'unknown';
  }
}

function commandLineNames(pid: number, pgData: string): boolean {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes(clusterName(pgData));
  } catch {
    return false;
  }
}
