import { fileURLToPath } from 'node:url';
import type { TestProject } from 'vitest/node';
import { migrate, readMigrations } from '../../src/db/migrate.ts';
import { APP_ROLE, createRolesAndDatabase, OWNER_ROLE, urlAs } from '../../src/db/roles.ts';
import { prepareQueues } from '../../src/jobs/prepare-queues.ts';
import { startTestServer } from './embedded.ts';

export const TEMPLATE = 'hoopwright_template';
const PASSWORDS = { owner: 'owner-of-tests', app: 'app-of-tests' };

export interface TestServer {
  readonly adminUrl: string;
  readonly ownerUrl: string;
  readonly appUrl: string;
}

declare module 'vitest' {
  export interface ProvidedContext {
    testServer: TestServer;
  }
}

/** One server for all API tests, with a migrated template that each test file clones. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const server = await startTestServer();
  await createRolesAndDatabase(server.adminUrl, TEMPLATE, PASSWORDS);
  const ownerUrl = urlAs(server.adminUrl, OWNER_ROLE, PASSWORDS.owner, TEMPLATE);
  const folder = fileURLToPath(new URL('../../prisma/migrations', import.meta.url));
  await migrate(ownerUrl, await readMigrations(folder));
  await prepareQueues(ownerUrl);
  project.provide('testServer', {
    adminUrl: server.adminUrl,
    ownerUrl,
    appUrl: urlAs(server.adminUrl, APP_ROLE, PASSWORDS.app, TEMPLATE),
  });
  return () => server.release();
}
