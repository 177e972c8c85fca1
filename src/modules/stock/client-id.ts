import type { Tx } from '../../db/database.ts';

/**
 * Others who send something with the same id wait until the transaction ends. Whoever made the id and
 * lost the answer sends it again, and is told what happened the first time.
 */
export async function lockClientId(tx: Tx, id: string): Promise<void> {
  await tx.sql('select pg_advisory_xact_lock(hashtextextended($1, 0))', [
    `${tx.organisationId} ${id}`,
  ]);
}
