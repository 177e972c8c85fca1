import { randomBytes } from 'node:crypto';
import pg from 'pg';
import { inject } from 'vitest';
import { TEMPLATE } from './api-template.ts';

export interface TestDatabase {
  readonly appUrl: string;
  readonly ownerUrl: string;
  readonly adminUrl: string;
  drop(): Promise<void>;
}

/** A database of its own for one test file, cloned from the migrated template. */
export async function createTestDatabase(): Promise<TestDatabase> {
  const server = inject('testServer');
  const name = `test_${randomBytes(6).toString('hex')}`;
  const owner = decodeURIComponent(new URL(server.ownerUrl).username);
  await asAdmin(server.adminUrl, `create database ${name} template ${TEMPLATE} owner ${owner}`);
  const at = (url: string) => {
    const target = new URL(url);
    target.pathname = `/${name}`;
    return target.href;
  };
  return {
    appUrl: at(server.appUrl),
    ownerUrl: at(server.ownerUrl),
    adminUrl: at(server.adminUrl),
    drop: () => asAdmin(server.adminUrl, `drop database ${name} with (force)`),
  };
}

async function asAdmin(url: string, sql: string) {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    await client.query(sql);
  } finally {
    await client.end();
  }
}
