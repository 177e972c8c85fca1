import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import type { DatabaseAccount } from './database-account.ts';

export type ProgramResult = { code: number | null; output: string };

/**
 * Runs one of PostgreSQL's programs to its end under the database's account, with an environment
 * of its own so that no PG… variable of the caller changes what it does.
 *
 * @returns exit code and everything it printed; `code` is null when it was not started or was killed.
 */
export function runProgram(
  program: string,
  args: readonly string[],
  settings: {
    account: DatabaseAccount;
    cwd: string;
    environment?: Record<string, string>;
    input?: string;
  },
): Promise<ProgramResult> {
  return new Promise((resolve) => {
    let output = '';
    let child: ChildProcessWithoutNullStreams;
    try {
      child = spawn(program, args, {
        cwd: settings.cwd,
        env: { ...systemEnvironment(), ...settings.environment },
        ...settings.account.ids,
      });
    } catch (error) {
      // Thrown, and not emitted, when this process may not change to the account.
      resolve({ code: null, output: (error as Error).message });
      return;
    }
    const collect = (chunk: Buffer) => {
      output += chunk.toString();
    };
    child.stdout.on('data', collect);
    child.stderr.on('data', collect);
    child.stdin.on('error', () => {
      // The program ended without reading its input; its exit code tells why.
    });
    child.stdin.end(settings.input ?? '');
    child.on('error', (error) => resolve({ code: null, output: `${output}${error.message}` }));
    child.on('close', (code) => resolve({ code, output }));
  });
}

function systemEnvironment(): Record<string, string> {
  const kept: Record<string, string> = { LC_ALL: 'C' };
  for (const name of ['PATH', 'SystemRoot', 'TEMP', 'TMP']) {
    const value = process.env[name];
    if (value !== undefined) kept[name] = value;
  }
  return kept;
}
