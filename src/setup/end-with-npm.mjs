const LOOK_EVERY_MS = 200;

/**
 * Ends this process as SIGTERM does when npm, which started it, has ended.
 *
 * A killed npm tells nobody; without this, the service would go on with nobody watching it. For the
 * same reason the start script says `exec`: a shell between npm and us would keep signals to itself.
 */
export function endWithNpm() {
  if (process.env.npm_lifecycle_event === undefined) return;
  const parent = process.ppid;
  const timer = setInterval(() => {
    if (process.ppid === parent) return;
    clearInterval(timer);
    process.kill(process.pid, 'SIGTERM');
  }, LOOK_EVERY_MS).unref();
}
