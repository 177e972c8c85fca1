const LOOK_EVERY_MS = 200;

/**
 * Ends this process as SIGTERM does when the shell between npm and us has ended.
 *
 * npm hands SIGTERM to that shell, which dies of it without telling us; without this, the service
 * would go on with nobody watching it.
 */
export function endWithNpm() {
  if (process.env.npm_lifecycle_event === undefined) return;
  const shell = process.ppid;
  const timer = setInterval(() => {
    if (process.ppid === shell) return;
    clearInterval(timer);
    process.kill(process.pid, 'SIGTERM');
  }, LOOK_EVERY_MS).unref();
}
