import pg from 'pg';
import { migrateDatabase } from '../boot.ts';
import { readConfig } from '../config.ts';
import { APP_ROLE } from '../db/roles.ts';
import { endWith } from '../process.ts';

/**
 * Migrates DATABASE_OWNER_URL once and ends. With APP_ROLE_PASSWORD the app's role may log in with
 * it, so that the service never holds the owner's password.
 */
async function run(): Promise<void> {
  const { databaseOwnerUrl } = readConfig(process.env);
  if (databaseOwnerUrl === undefined) {
    process.stderr.write('Set DATABASE_OWNER_URL to the database that is to be migrated.\n');
    process.exit(2);
  }
  const applied = await migrateDatabase(databaseOwnerUrl);
  const password = process.env.APP_ROLE_PASSWORD;
  if (password) await allowLogin(databaseOwnerUrl, password);
  process.stdout.write(
    applied.length > 0 ? `applied ${applied.join(', ')}\n` : 'nothing to apply\n',
  );
}

async function allowLogin(ownerUrl: string, password: string) {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query(`alter role ${APP_ROLE} login password ${pg.escapeLiteral(password)}`);
  } finally {
    await client.end();
  }
}

run().catch(endWith);
