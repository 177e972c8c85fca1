import pg from 'pg';
import { adminUrlOf, type ServerRecord } from './server-record.ts';

/** How a login as the superuser went. */
export type LoginOutcome =
  | { kind: 'ours' }
  | { kind: 'wrong-password' }
  | { kind: 'not-ours'; reason: string };

/** Logs in for real and checks that the server answering is the one of this data folder. */
export async function checkLogin(record: ServerRecord, pgData: string): Promise<LoginOutcome> {
  const client = new pg.Client({
    connectionString: adminUrlOf(record),
    connectionTimeoutMillis: 10_000,
    query_timeout: 10_000,
  });
  client.on('error', () => {
    // A server that goes away during the check is reported by the call in progress.
  });
  try {
    await client.connect();
    const answer = await client.query<{ folder: string }>(
      "select current_setting('data_directory') as folder",
    );
    const folder = answer.rows[0]?.folder ?? '';
    return folder === pgData ? { kind: 'ours' } : { kind: 'not-ours', reason: `serves ${folder}` };
  } catch (error) {
    const { code, message } = error as { code?: string; message: string };
    if (code === '28P01' || code === '28000') return { kind: 'wrong-password' };
    return { kind: 'not-ours', reason: message };
  } finally {
    await client.end().catch(() => {});
  }
}
