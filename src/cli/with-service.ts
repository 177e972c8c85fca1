import { openService } from '../boot.ts';
import { ConfigError, readConfig } from '../config.ts';
import type { Database } from '../db/database.ts';
import { DatabaseUnavailable } from '../db/embedded/supervisor.ts';
import { MigrationConflict } from '../db/migrate.ts';
import { PrivilegedRole } from '../db/roles.ts';
import { DomainError } from '../domain/errors.ts';

const PLAIN = [ConfigError, DatabaseUnavailable, MigrationConflict, PrivilegedRole];

/**
 * Runs a command on the database of the environment, beside a running service or without one. What
 * the command returns is all that is written to standard output; a refusal goes to standard error
 * and ends with status 1.
 */
export async function runWithService(command: (db: Database) => Promise<string>): Promise<void> {
  try {
    const service = await openService(readConfig(process.env), {
      log: (line) => process.stderr.write(`${line}\n`),
      applicationName: 'hoopwright command',
    });
    try {
      process.stdout.write(`${await command(service.db)}\n`);
    } finally {
      await service.close();
    }
  } catch (error) {
    process.stderr.write(`${explanation(error)}\n`);
    process.exitCode = 1;
  }
}

function explanation(error: unknown): string {
  if (error instanceof DomainError) {
    const fields = (error.details.errors ?? []).map(
      ({ pointer, message }) => `${pointer.slice(1)} ${message}`,
    );
    return [error.message, ...fields].join('\n');
  }
  if (PLAIN.some((known) => error instanceof known)) return (error as Error).message;
  return (error as Error)?.stack ?? String(error);
}
