import { ConfigError } from './config.ts';
import { DatabaseUnavailable } from './db/embedded/supervisor.ts';
import { MigrationConflict } from './db/migrate.ts';
import { PrivilegedRole } from './db/roles.ts';

/** Milliseconds a stop may take before what is left is cut off. */
const STOP_LIMIT_MS = 20_000;

/** Errors whose message is a sentence for the person at the terminal. */
const PLAIN = [ConfigError, DatabaseUnavailable, MigrationConflict, PrivilegedRole];

/** Ends the process with the sentence of a known trouble, or with the stack of an unknown one. */
export function endWith(error: unknown): never {
  const isPlain =
    PLAIN.some((kind) => error instanceof kind) ||
    (error as NodeJS.ErrnoException | undefined)?.code === 'EADDRINUSE';
  process.stderr.write(
    isPlain ? `${(error as Error).message}\n` : `${(error as Error)?.stack ?? String(error)}\n`,
  );
  process.exit(1);
}

/** Runs `stop` once, on the first SIGINT or SIGTERM, and ends with 0; with 1 when it takes too long. */
export function onStopSignal(stop: (signal: string) => Promise<void>): void {
  let isStopping = false;
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => {
      if (isStopping) return;
      isStopping = true;
      setTimeout(() => process.exit(1), STOP_LIMIT_MS).unref();
      stop(signal).then(() => process.exit(0), endWith);
    });
  }
}
