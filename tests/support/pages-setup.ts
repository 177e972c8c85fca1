import { existsSync } from 'node:fs';
import { chmod, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TestProject } from 'vitest/node';
import { unpackBrowser } from './browser.ts';
import { startServiceProcess } from './service-process.ts';

export const DEMO_PASSWORD = 'a password of the pages tests';

declare module 'vitest' {
  export interface ProvidedContext {
    /** Address of the service with the demonstration season. */
    pagesUrl: string;
  }
}

/** The compiled service with its demonstration season, as people start it, and the browser unpacked. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  if (!existsSync(join(import.meta.dirname, '..', '..', 'dist', 'web', 'index.html'))) {
    throw new Error('The pages are not built: npm run build');
  }
  await unpackBrowser();
  const dataDir = await mkdtemp(join(tmpdir(), 'hoopwright-pages-'));
  // As root the database runs as another account, which must be able to enter.
  await chmod(dataDir, 0o711);
  const service = await startServiceProcess({ DATA_DIR: dataDir, DEMO: '1', DEMO_PASSWORD });
  project.provide('pagesUrl', service.url);
  return async () => {
    await service.end('SIGTERM');
    await rm(dataDir, { recursive: true, force: true });
  };
}
