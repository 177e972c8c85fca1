import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join, relative } from 'node:path';
import { projectFolder } from './project.mjs';

/**
 * One hash over the names and contents of files; folders are walked, missing paths count as such.
 *
 * @param {string[]} paths absolute files or folders
 * @param {(path: string) => boolean} [isWanted] filter for the files found inside folders
 */
export function contentHash(paths, isWanted = () => true) {
  const hash = createHash('sha256');
  for (const file of paths.flatMap((path) => filesAt(path, isWanted))) {
    hash.update(`${relative(projectFolder, file)}\0`);
    if (existsSync(file)) hash.update(readFileSync(file)).update('\0');
  }
  return hash.digest('hex');
}

/** @param {string} path @param {(path: string) => boolean} isWanted @returns {string[]} */
function filesAt(path, isWanted) {
  if (!existsSync(path) || !statSync(path).isDirectory()) return [path];
  return readdirSync(path, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .filter(isWanted)
    .sort();
}
