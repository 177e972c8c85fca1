import type { TestProject } from 'vitest/node';
import { prepareTemplate } from './api-template.ts';
import { installedPostgres, startInstalledPostgres } from './installed-postgres.ts';

/** The same API tests on the PostgreSQL 15 to 17 of this machine; the project is there only with one. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const found = installedPostgres();
  if (!found) throw new Error('PostgreSQL 15 to 17 is not on this machine');
  const server = await startInstalledPostgres(found);
  process.stdout.write(`API tests also on an external database: ${server.description}\n`);
  await prepareTemplate(project, server.adminUrl);
  return () => server.release();
}
