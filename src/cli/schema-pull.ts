import { writeFile } from 'node:fs/promises';
import { Client } from 'pg';
import { schemaFromDatabase } from '../db/schema-from-database.ts';

const connectionString =
  process.argv[2] ?? process.env.DATABASE_OWNER_URL ?? process.env.DATABASE_URL;
if (!connectionString) {
  console.error('Say which migrated database: npm run schema:pull -- postgresql://...');
  process.exit(2);
}
const client = new Client({ connectionString });
await client.connect();
try {
  await writeFile('prisma/schema.prisma', await schemaFromDatabase(client));
} finally {
  await client.end();
}
