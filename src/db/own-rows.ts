import type { Pool } from 'pg';

export type ReadRows = <Row>(text: string, values?: readonly unknown[]) => Promise<Row[]>;

/** Whose rows to see: those of one account, or the one row of a presented credential. */
export type OwnRows = { readonly accountId: string } | { readonly credentialHash: string };

/**
 * Runs work before the organisation is known. Row security shows the transaction nothing but the
 * memberships of that account, or the row that holds that credential.
 */
export async function readOwnRows<T>(
  pool: Pool,
  whose: OwnRows,
  work: (sql: ReadRows) => Promise<T>,
): Promise<T> {
  const [setting, value] =
    'accountId' in whose
      ? ['app.account_id', whose.accountId]
      : ['app.credential_hash', whose.credentialHash];
  const client = await pool.connect();
  let failure: Error | undefined;
  try {
    await client.query('begin read only');
    await client.query('select set_config($1, $2, true)', [setting, value]);
    const result = await work(
      async <Row>(text: string, values: readonly unknown[] = []) =>
        (await client.query(text, values as unknown[])).rows as Row[],
    );
    await client.query('commit');
    return result;
  } catch (error) {
    await client.query('rollback').catch((rollbackError: Error) => {
      failure = rollbackError;
    });
    throw error;
  } finally {
    client.release(failure);
  }
}
