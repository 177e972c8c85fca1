import type { TestProject } from 'vitest/node';
import { prepareTemplate } from './api-template.ts';
import { startTestServer } from './embedded.ts';

/** The API tests on a PostgreSQL 18 that they start themselves and use through DATABASE_URL. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const server = await startTestServer();
  await prepareTemplate(project, server.adminUrl);
  return () => server.release();
}
