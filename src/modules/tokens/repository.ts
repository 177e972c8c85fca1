import type { ApiToken } from '../../../shared/contract/api-token.ts';
import type { Tx } from '../../db/database.ts';

const COLUMNS = `
  id, person_id as "personId", name, ending, created_at as "createdAt", expires_at as "expiresAt",
  last_used_at as "lastUsedAt", revoked_at as "revokedAt"`;

const INSERT_SQL = `
  insert into api_token (organisation_id, id, token_hash, account_id, person_id, name, ending, expires_at)
  values ($1, $2, $3, $4, $5, $6, $7, $8) returning ${COLUMNS}`;

const ONE_SQL = `select ${COLUMNS} from api_token where organisation_id = $1 and id = $2`;

const LIST_SQL = `
  select ${COLUMNS} from api_token
  where organisation_id = $1 and person_id = $2
    and ($3::timestamptz is null or (created_at, id) < ($3, $4::uuid))
  order by created_at desc, id desc limit $5`;

const REVOKE_SQL = `
  update api_token set revoked_at = coalesce(revoked_at, now())
  where organisation_id = $1 and id = $2 returning ${COLUMNS}`;

export interface TokenRecord {
  readonly id: string;
  readonly tokenHash: string;
  readonly name: string;
  readonly ending: string;
  readonly expiresAt: string | null;
}

export interface TokenStore {
  insert(tx: Tx, record: TokenRecord): Promise<ApiToken>;
  find(tx: Tx, id: string): Promise<ApiToken | null>;
  list(
    tx: Tx,
    personId: string,
    after: readonly string[] | null,
    take: number,
  ): Promise<ApiToken[]>;
  revoke(tx: Tx, id: string): Promise<ApiToken>;
}

/** API tokens of the people of one organisation; only hashes are kept. */
export const tokenStore: TokenStore = {
  async insert(tx, { id, tokenHash, name, ending, expiresAt }) {
    const { accountId, personId } = tx.actor;
    const values = [tx.organisationId, id, tokenHash, accountId, personId, name, ending, expiresAt];
    return only(await tx.sql<ApiToken>(INSERT_SQL, values));
  },
  async find(tx, id) {
    const [found] = await tx.sql<ApiToken>(ONE_SQL, [tx.organisationId, id]);
    return found ?? null;
  },
  async list(tx, personId, after, take) {
    const [createdAt = null, id = null] = after ?? [];
    return tx.sql<ApiToken>(LIST_SQL, [tx.organisationId, personId, createdAt, id, take]);
  },
  async revoke(tx, id) {
    return only(await tx.sql<ApiToken>(REVOKE_SQL, [tx.organisationId, id]));
  },
};

function only([row]: ApiToken[]): ApiToken {
  if (!row) throw new Error('An API token was not written');
  return row;
}
