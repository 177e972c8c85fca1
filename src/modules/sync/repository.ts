import type { ChangeNoun } from '../../../shared/contract/sync.ts';
import type { Tx } from '../../db/database.ts';

/**
 * Below the oldest transaction at work every change is there to be seen or was undone, so that a
 * reader who stops there has nothing to come behind.
 */
const LIST_SQL = `
  select noun, record_id, build_id, version, changed_at,
    transaction_number::text as transaction_number, position::text as position
  from change_log l
  where organisation_id = $1 and noun = any($2)
    and (l.transaction_number, l.position) > ($3::bigint, $4::bigint)
    and l.transaction_number < pg_snapshot_xmin(pg_current_snapshot())::text::bigint
  order by l.transaction_number, l.position limit $5`;

const LAST_POSITION = '9223372036854775807';

const HIGHEST_SQL = 'select pg_snapshot_xmax(pg_current_snapshot())::text as number';

export interface ChangeRow {
  readonly noun: ChangeNoun;
  readonly record_id: string;
  readonly build_id: string | null;
  readonly version: number | null;
  readonly changed_at: string;
  readonly transaction_number: string;
  readonly position: string;
}

export const listChanges = (
  tx: Tx,
  nouns: readonly ChangeNoun[],
  [number = '0', position = '0']: readonly string[],
  take: number,
): Promise<ChangeRow[]> =>
  tx.sql<ChangeRow>(LIST_SQL, [tx.organisationId, nouns, number, position, take]);

/** The first number that no transaction has had yet. */
export async function highestTransaction(tx: Tx): Promise<bigint> {
  const [row] = await tx.sql<{ number: string }>(HIGHEST_SQL);
  return BigInt(row?.number ?? 0);
}

const NOW_SQL = `
  select (pg_snapshot_xmin(pg_current_snapshot())::text::bigint - 1)::text as number`;

/** Behind everything that can be read now, before everything that may still come. */
export async function placeOfNow(tx: Tx): Promise<string[]> {
  const [row] = await tx.sql<{ number: string }>(NOW_SQL);
  return [row?.number ?? '0', LAST_POSITION];
}
