import { readdir, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { DatabaseUnavailable } from './database-unavailable.ts';
import { readHolderFile, writeHolderFile } from './holder-file.ts';
import { makeFolders } from './make-folders.ts';

const RETRY_MS = 25;

/**
 * Runs `action` while no other process runs one under the same folder.
 *
 * Locks are numbered files; the highest number counts and stays until a higher one exists, so a
 * lock left by a killed process is passed over and never taken away from under a living one.
 *
 * @throws {DatabaseUnavailable} when a living process holds the lock for longer than `timeoutMs`.
 */
export async function withFolderLock<T>(
  folder: string,
  action: () => Promise<T>,
  timeoutMs = 180_000,
): Promise<T> {
  const release = await takeLock(folder, timeoutMs);
  try {
    return await action();
  } finally {
    await release();
  }
}

async function takeLock(folder: string, timeoutMs: number): Promise<() => Promise<void>> {
  await makeFolders(folder, 0o700);
  const deadline = performance.now() + timeoutMs;
  for (;;) {
    const highest = Math.max(0, ...(await lockFiles(folder)).map((file) => file.number));
    const holder = await holderOf(folder, highest);
    if (holder === undefined) {
      const release = await claim(folder, highest + 1);
      if (release) return release;
    }
    if (performance.now() > deadline) {
      throw new DatabaseUnavailable(
        `${holder ?? 'Another process'} has been starting or stopping the database in ${folder} ` +
          'for too long: stop that process and start again.',
      );
    }
    if (holder !== undefined) await delay(RETRY_MS);
  }
}

async function holderOf(folder: string, number: number): Promise<string | undefined> {
  if (number === 0) return undefined;
  const files = await lockFiles(folder);
  if (files.some((file) => file.number === number && file.isReleased)) return undefined;
  const state = await readHolderFile(join(folder, `lock-${number}`));
  if (!state.alive) return undefined;
  return state.holder ? `Process ${state.holder.pid} on ${state.holder.host}` : 'Another process';
}

async function claim(folder: string, number: number): Promise<(() => Promise<void>) | undefined> {
  const path = join(folder, `lock-${number}`);
  let heartbeat: { stop(): void };
  try {
    heartbeat = await writeHolderFile(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return undefined;
    throw error;
  }
  const others = (await lockFiles(folder)).filter((file) => file.name !== `lock-${number}`);
  if (others.some((file) => file.number >= number)) {
    // Our view was old: this number had been used, released or cleared away meanwhile.
    heartbeat.stop();
    await rm(path, { force: true });
    return undefined;
  }
  for (const file of others) await rm(join(folder, file.name), { force: true });
  return async () => {
    heartbeat.stop();
    // Renaming needs no space on a full disk; a folder removed meanwhile holds no lock.
    await rename(path, `${path}.released`).catch(() => {});
  };
}

type LockFile = { name: string; number: number; isReleased: boolean };

async function lockFiles(folder: string): Promise<LockFile[]> {
  return (await readdir(folder)).flatMap((name) => {
    const match = /^lock-(\d+)(\.released)?$/.exec(name);
    return match ? [{ name, number: Number(match[1]), isReleased: match[2] !== undefined }] : [];
  });
}
