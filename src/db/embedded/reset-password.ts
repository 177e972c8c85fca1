import { join } from 'node:path';
import type { ClusterLocation } from './cluster-location.ts';
import { asClause, DatabaseUnavailable } from './database-unavailable.ts';
import { runProgram } from './run-program.ts';
import { ADMIN_ROLE } from './server-record.ts';

/**
 * Gives the superuser of a stopped cluster a new password, for when `server.json` was lost. Whoever
 * may do this already has full access to the files.
 */
export async function resetPassword(
  location: ClusterLocation,
  binFolder: string,
  password: string,
): Promise<void> {
  const result = await runProgram(join(binFolder, 'postgres'), ['--single', '-j', 'postgres'], {
    account: location.account,
    cwd: location.root,
    environment: { PGDATA: location.pgData },
    // With -j a statement ends at a semicolon followed by an empty line.
    input: `alter role ${ADMIN_ROLE} password '${password}';\n\n`,
  });
  if (result.code !== 0 || /ERROR|FATAL/.test(result.output)) {
    const reason = /(?:ERROR|FATAL):\s+(.*)/.exec(result.output)?.[1] ?? result.output;
    throw new DatabaseUnavailable(
      `The file server.json with the database password is missing in the data folder and a new ` +
        `password could not be set (${asClause(reason)}): restore that file from a backup.`,
    );
  }
}
