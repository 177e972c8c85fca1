import { open, readFile, rm, stat, utimes } from 'node:fs/promises';
import {
  isStillRunning,
  type ProcessIdentity,
  thisMachine,
  thisProcess,
} from './process-identity.ts';

/** A holder on another machine or in another container counts as gone after this much silence. */
const SILENCE_MS = 10_000;
const HEARTBEAT_MS = 2_000;

/** The state of a file that a process wrote to say "I hold this". */
export type HolderState =
  | { alive: false }
  | { alive: true; elsewhere: boolean; holder: ProcessIdentity | undefined };

/** Creates the file (refused with EEXIST when it is there) and keeps it fresh until `stop()`. */
export async function writeHolderFile(path: string): Promise<{ stop(): void }> {
  const handle = await open(path, 'wx', 0o600);
  try {
    await handle.writeFile(JSON.stringify(thisProcess()));
  } catch (error) {
    await rm(path, { force: true });
    throw error;
  } finally {
    await handle.close();
  }
  const timer = setInterval(() => {
    const now = new Date();
    utimes(path, now, now).catch(() => {
      // The file is gone: whoever removed it knows that it is no longer held.
    });
  }, HEARTBEAT_MS).unref();
  return { stop: () => clearInterval(timer) };
}

/**
 * Says whether the process that wrote the file still lives. On this machine its id and start time
 * decide; elsewhere (another container on the same volume) the age of the file does.
 */
export async function readHolderFile(path: string): Promise<HolderState> {
  let text: string;
  let silentMs: number;
  try {
    silentMs = Date.now() - (await stat(path)).mtimeMs;
    text = await readFile(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return { alive: false };
    throw error;
  }
  const holder = parseIdentity(text);
  if (holder?.machine === thisMachine()) {
    return isStillRunning(holder) ? { alive: true, elsewhere: false, holder } : { alive: false };
  }
  // Unreadable content: its writer may be between creating and filling it.
  return silentMs < SILENCE_MS ? { alive: true, elsewhere: true, holder } : { alive: false };
}

function parseIdentity(text: string): ProcessIdentity | undefined {
  try {
    const value = JSON.parse(text) as ProcessIdentity;
    return Number.isSafeInteger(value.pid) ? value : undefined;
  } catch {
    return undefined;
  }
}
