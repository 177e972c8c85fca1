import { chmod, mkdir, stat } from 'node:fs/promises';
import { dirname } from 'node:path';

/**
 * Makes a folder with this mode, and the missing ones above it with the usual one. Node's recursive
 * `mkdir` reports a read-only disk as a missing folder; this reports the real reason.
 *
 * @returns false when the path existed already, whatever it is.
 */
export async function makeFolders(path: string, mode?: number): Promise<boolean> {
  if (await exists(path)) return false;
  if (dirname(path) !== path) await makeFolders(dirname(path));
  try {
    await mkdir(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  }
  if (mode !== undefined) await chmod(path, mode);
  return true;
}

async function exists(path: string): Promise<boolean> {
  try {
    await stat(path);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return false;
    throw error;
  }
}
