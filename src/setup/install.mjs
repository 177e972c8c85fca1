import { createHash } from 'node:crypto';
import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { inProject } from './project.mjs';
import { runStep } from './run-step.mjs';

const STAMP = inProject('node_modules', '.hoopwright-installed');

/**
 * Installs the packages with `npm ci` when node_modules does not hold what package-lock.json says.
 *
 * @param {{ needsDev: boolean, output: 'stdout' | 'stderr' }} settings `needsDev`: the packages for
 *   building and testing must be there too, whatever NODE_ENV or npm's omit option say
 */
export async function ensureInstalled({ needsDev, output }) {
  const stamp = readIfPresent(STAMP);
  const isStamped = stamp === stampText(true) || (!needsDev && stamp === stampText(false));
  if (isStamped && isComplete()) return;
  if (matchesLock(needsDev)) {
    rememberInstalled(needsDev);
    return;
  }
  console.error('Installing packages (npm ci)...');
  const code = await runStep(
    [
      ...npmCommand(),
      'ci',
      '--no-audit',
      '--no-fund',
      '--loglevel=error',
      ...(needsDev ? ['--include=dev'] : []),
    ],
    { output },
  );
  if (code !== 0) {
    console.error(`The packages could not be installed: npm ci ended with exit code ${code}.`);
    process.exit(code);
  }
  rememberInstalled(needsDev);
}

/** npm as it runs us, or the one on the path. */
function npmCommand() {
  const runner = process.env.npm_execpath;
  return runner && basename(runner) === 'npm-cli.js' ? [process.execPath, runner] : ['npm'];
}

function rememberInstalled(/** @type {boolean} */ needsDev) {
  try {
    writeFileSync(STAMP, stampText(needsDev));
  } catch {
    // A read-only installation is compared anew each time.
  }
}

/** What was asked for and what npm noted about the result; any later npm run changes the latter. */
function stampText(/** @type {boolean} */ needsDev) {
  const lock = readIfPresent(inProject('package-lock.json')) ?? '';
  const noted = inProject('node_modules', '.package-lock.json');
  const changed = existsSync(noted) ? statSync(noted).mtimeMs : 0;
  const hash = createHash('sha256').update(lock).digest('hex');
  return `${hash} ${changed} ${needsDev ? 'with' : 'without'} dev ${process.platform} ${process.arch}\n`;
}

/**
 * @typedef {{ version?: string, integrity?: string, dev?: boolean, optional?: boolean,
 *   devOptional?: boolean, os?: string[], cpu?: string[], libc?: string[] }} LockedPackage
 */

/** True while every package that npm noted is still there. */
function isComplete() {
  const noted = packagesIn(inProject('node_modules', '.package-lock.json'));
  return noted !== undefined && Object.keys(noted).every((path) => existsSync(inProject(path)));
}

/** Compares package-lock.json with npm's own note of what it put into node_modules. */
function matchesLock(/** @type {boolean} */ needsDev) {
  const wanted = packagesIn(inProject('package-lock.json'));
  const installed = packagesIn(inProject('node_modules', '.package-lock.json'));
  if (!wanted || !installed) return false;
  return Object.entries(wanted).every(([path, locked]) => {
    if (path === '') return true;
    const found = installed[path];
    if (!found || !existsSync(inProject(path))) return mayBeAbsent(locked, needsDev);
    return found.version === locked.version && found.integrity === locked.integrity;
  });
}

/** @param {LockedPackage} locked @param {boolean} needsDev */
function mayBeAbsent(locked, needsDev) {
  if (!needsDev && (locked.dev || locked.devOptional)) return true;
  if (!locked.optional && !locked.devOptional) return false;
  const isForThisSystem =
    locked.os?.includes(process.platform) && locked.cpu?.includes(process.arch) && !locked.libc;
  return !isForThisSystem || (process.env.npm_config_omit ?? '').includes('optional');
}

/** @param {string} path @returns {Record<string, LockedPackage> | undefined} */
function packagesIn(path) {
  const text = readIfPresent(path);
  return text === undefined ? undefined : JSON.parse(text).packages;
}

/** @param {string} path */
function readIfPresent(path) {
  return existsSync(path) ? readFileSync(path, 'utf8') : undefined;
}
