import { createHash } from 'node:crypto';
import { rmSync } from 'node:fs';
import { connect, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { projectFolder } from './project.mjs';

/** File descriptor of the held lock, where the operating system has such a thing. @type {number} */
let heldDescriptor = -1;

/**
 * What a child process must inherit so that the lock lasts as long as the child does, should this
 * process be killed while an installation still runs.
 *
 * @returns {number[]} for the end of `stdio` when spawning
 */
export const lockForChild = () => (heldDescriptor < 0 ? [] : [heldDescriptor]);

/**
 * Runs `action` while no other process prepares the same folder.
 *
 * The lock is a listening local socket: the operating system drops it when its holders die, however
 * they die, so there is no stale lock to judge. Who waits stays connected and notices the end.
 *
 * @template T
 * @param {() => Promise<T>} action
 * @returns {Promise<T>}
 */
export async function withSetupLock(action) {
  const release = await takeLock(addressOf(projectFolder));
  try {
    return await action();
  } finally {
    await release();
  }
}

/** @param {string} folder */
function addressOf(folder) {
  const name = `hoopwright-setup-${createHash('sha256').update(folder).digest('hex').slice(0, 16)}`;
  // Linux: a name without a file. Windows: a named pipe. Elsewhere: a socket file.
  if (process.platform === 'linux') return `\0${name}`;
  if (process.platform === 'win32') return `\\\\.\\pipe\\${name}`;
  return join(tmpdir(), name);
}

/** @param {string} address @returns {Promise<() => Promise<void>>} */
async function takeLock(address) {
  let isAnnounced = false;
  for (;;) {
    const release = await tryListen(address);
    if (release) return release;
    const outcome = await waitForHolder(address, () => {
      if (!isAnnounced) console.error('Another process prepares this folder; waiting for it.');
      isAnnounced = true;
    });
    if (outcome === 'nobody' && process.platform !== 'linux' && process.platform !== 'win32') {
      rmSync(address, { force: true });
    }
    if (outcome === 'nobody') await delay(20);
  }
}

/** @param {string} address @returns {Promise<(() => Promise<void>) | undefined>} */
function tryListen(address) {
  return new Promise((done, fail) => {
    const waiting = new Set();
    const server = createServer((socket) => {
      waiting.add(socket);
      socket.on('error', () => {}).on('close', () => waiting.delete(socket));
    });
    server.on('error', (/** @type {NodeJS.ErrnoException} */ error) => {
      if (error.code === 'EADDRINUSE') done(undefined);
      else fail(error);
    });
    server.listen(address, () => {
      // Not in Node's documented interface: absent, the lock only lasts as long as this process.
      heldDescriptor = /** @type {any} */ (server)._handle?.fd ?? -1;
      done(
        () =>
          new Promise((closed) => {
            heldDescriptor = -1;
            server.close(() => closed());
            for (const socket of waiting) socket.destroy();
          }),
      );
    });
  });
}

/**
 * @param {string} address
 * @param {() => void} onWaiting
 * @returns {Promise<'ended' | 'nobody'>}
 */
function waitForHolder(address, onWaiting) {
  return new Promise((done) => {
    const socket = connect(address, onWaiting);
    socket.on('error', () => done('nobody'));
    socket.on('close', () => done('ended'));
  });
}
