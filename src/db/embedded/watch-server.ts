import { existsSync } from 'node:fs';
import { type BringUpSettings, bringUp, type RunningServer } from './bring-up.ts';
import { explainFailure } from './database-unavailable.ts';
import { withFolderLock } from './folder-lock.ts';
import { inspect } from './inspect.ts';
import type { Lease } from './leases.ts';

const LOOK_EVERY_MS = 500;

export type ServerWatch = {
  current(): RunningServer;
  /** Ends the watch, once a restart in progress is done. */
  stop(): Promise<void>;
};

/**
 * Looks twice a second whether the server still runs and starts it again when it died. Several
 * processes may watch one server: the folder's lock lets one restart it and the others rejoin. When
 * the lease is gone, somebody stopped the server on purpose, and it stays down.
 */
export function watchServer(
  dataDir: string,
  folder: string,
  lease: Lease,
  first: RunningServer,
  settings: BringUpSettings,
): ServerWatch {
  let current = first;
  let looking: Promise<void> | undefined;
  let lastProblem = '';

  const restartIfDown = async () => {
    const found = await inspect(current.pgData);
    if (found.state === 'live' && found.pid === current.pid) return;
    await withFolderLock(folder, async () => {
      if (!existsSync(lease.path)) return;
      const before = current;
      current = await bringUp(dataDir, settings);
      lastProblem = '';
      settings.log(describeRestart(before, current));
    });
  };
  const look = () => {
    if (looking || !existsSync(lease.path)) return;
    looking = restartIfDown()
      .catch((error) => {
        const problem = explainFailure(error, dataDir).message;
        if (problem !== lastProblem) settings.log(problem);
        lastProblem = problem;
      })
      .finally(() => {
        looking = undefined;
      });
  };
  const timer = setInterval(look, LOOK_EVERY_MS).unref();
  return {
    current: () => current,
    stop: async () => {
      clearInterval(timer);
      await looking;
    },
  };
}

function describeRestart(before: RunningServer, now: RunningServer): string {
  if (now.record.port !== before.record.port) {
    return (
      `The database server died and runs again on port ${now.record.port} instead of ` +
      `${before.record.port}: restart the service.`
    );
  }
  return now.started === 'reattached'
    ? `The database server died and was started again by another process (now ${now.pid}).`
    : `The database server (process ${before.pid}) died and was started again (now ${now.pid}).`;
}
