import pg from 'pg';
import type { TestProject } from 'vitest/node';
import { openService } from '../../src/boot.ts';
import { readConfig } from '../../src/config.ts';
import { OWNER_ROLE, urlAs, urlWithAppRole } from '../../src/db/roles.ts';

export const TEMPLATE = 'hoopwright_template';

const OWNER_PASSWORD = 'owner-of-tests';

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

/**
 * Prepares a server as a programme would that brings its own: a database and an owner that is no
 * superuser, named by DATABASE_URL; the service migrates it and puts on the role that row security
 * binds. Each API test file clones the result.
 */
export async function prepareTemplate(project: TestProject, adminUrl: string): Promise<void> {
  const admin = new pg.Client({ connectionString: adminUrl });
  await admin.connect();
  try {
    await admin.query(
      `create role ${OWNER_ROLE} login createrole nosuperuser nobypassrls password '${OWNER_PASSWORD}'`,
    );
    await admin.query(`create database ${TEMPLATE} owner ${OWNER_ROLE}`);
  } finally {
    await admin.end();
  }
  const ownerUrl = urlAs(adminUrl, OWNER_ROLE, OWNER_PASSWORD, TEMPLATE);
  const service = await openService(readConfig({ DATABASE_URL: ownerUrl }));
  await service.close();
  project.provide('testServer', { adminUrl, ownerUrl, appUrl: urlWithAppRole(ownerUrl) });
}
