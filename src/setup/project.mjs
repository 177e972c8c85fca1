import { join, resolve } from 'node:path';

/** The project's folder, wherever the scripts were called from. */
export const projectFolder = resolve(import.meta.dirname, '..', '..');

/** @param {...string} parts path inside the project */
export const inProject = (...parts) => join(projectFolder, ...parts);
