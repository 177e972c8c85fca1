import { createHash } from 'node:crypto';
import type { Tx } from '../db/database.ts';
import { DomainError } from '../domain/errors.ts';

/** Days that a key answers its stored result; phones may be without a network for weeks. */
export const KEY_LIFE_DAYS = 30;

export interface StoredAnswer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string | null;
}

const CLAIM_SQL = `
  insert into idempotency_key (organisation_id, person_id, key, request_hash)
  values ($1, $2, $3, $4) on conflict do nothing returning key`;

const READ_SQL = `
  select request_hash, status, headers, body from idempotency_key
  where organisation_id = $1 and person_id = $2 and key = $3`;

const STORE_SQL = `
  update idempotency_key set status = $4, headers = $5, body = $6
  where organisation_id = $1 and person_id = $2 and key = $3`;

/** Accepts the key bare or as the quoted string of the IETF draft. */
export function readKey(header: string | undefined): string | null {
  if (header === undefined) return null;
  const key = header.replace(/^"(.*)"$/, '$1');
  if (!/^[\x21-\x7e]{1,200}$/.test(key)) {
    throw new DomainError('invalid-request', {
      detail: 'Idempotency-Key takes 1 to 200 visible ASCII characters.',
    });
  }
  return key;
}

export function requestHash(method: string, url: string, body: unknown): string {
  const hash = createHash('sha256').update(`${method} ${url}\n`);
  return hash.update(Buffer.isBuffer(body) ? body : JSON.stringify(body ?? null)).digest('hex');
}

/**
 * Claims the key inside the transaction of the effect. A second attempt waits here for the first to
 * commit and then gets its answer; when the first rolled back, the second runs.
 *
 * @returns the stored answer to replay, or null when the caller is to act
 */
export async function claimKey(tx: Tx, key: string, hash: string): Promise<StoredAnswer | null> {
  await tx.sql(`select set_config('lock_timeout', '2000', true)`);
  const owner = [tx.organisationId, tx.actor.personId, key];
  const claimed = await tx.sql(CLAIM_SQL, [...owner, hash]);
  if (claimed.length > 0) return null;
  const [stored] = await tx.sql<StoredAnswer & { request_hash: string }>(READ_SQL, owner);
  if (stored?.request_hash !== hash) throw new DomainError('key-reused');
  return stored;
}

export async function storeAnswer(tx: Tx, key: string, answer: StoredAnswer): Promise<void> {
  await tx.sql(STORE_SQL, [
    tx.organisationId,
    tx.actor.personId,
    key,
    answer.status,
    JSON.stringify(answer.headers),
    answer.body,
  ]);
}
