import type { Pool } from 'pg';
import type { Tx } from '../../db/database.ts';
import { readOwnRows } from '../../db/own-rows.ts';
import type { Role } from '../../domain/permissions.ts';

const END_OPEN_SQL = `
  update invitation set expires_at = now()
  where organisation_id = $1 and person_id = $2 and accepted_at is null and expires_at > now()`;

const INSERT_SQL = `
  insert into invitation (organisation_id, id, token_hash, person_id, invited_by_id, expires_at)
  values ($1, $2, $3, $4, nullif($5::uuid, $4::uuid),
    now() + interval '7 days')
  returning expires_at`;

const IS_DISABLED_SQL = `
  select disabled_at is not null as is_disabled from person where organisation_id = $1 and id = $2`;

const OPEN_SQL = `
  select organisation_id, id, person_id from invitation
  where token_hash = $1 and accepted_at is null and expires_at > now()`;

const INVITED_SQL = `
  select p.name, p.email, p.roles, p.donor_id, p.account_id, o.name as organisation_name
  from person p join organisation o on o.id = p.organisation_id
  where p.organisation_id = $1 and p.id = $2 and p.disabled_at is null`;

const ACCEPT_SQL = `
  update invitation set accepted_at = now()
  where organisation_id = $1 and id = $2 and accepted_at is null and expires_at > now()
  returning id`;

const MAKE_ACCOUNT_SQL = `
  insert into account (id, email) values ($1, $2) on conflict (email) do nothing`;

const LOCK_ACCOUNT_SQL = `
  select id, password_hash from account where email = $1 and disabled_at is null for update`;

const LINK_SQL = `
  update person set account_id = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2 and account_id is distinct from $3`;

const REVOKE_SESSIONS_SQL = `
  update session set revoked_at = now()
  where organisation_id = $1 and person_id = $2 and revoked_at is null`;

export interface Invitation {
  readonly organisationId: string;
  readonly id: string;
  readonly personId: string;
  readonly organisationName: string;
  readonly name: string;
  readonly email: string;
  readonly roles: readonly Role[];
  readonly donorId: string | null;
}

export interface AccountState {
  readonly id: string;
  readonly passwordHash: string | null;
  /** True when the account belongs to people of other organisations, who alone may set its password. */
  readonly isSharedWithOthers: boolean;
}

export interface InvitationStore {
  /** Null when there is no such person. */
  isDisabled(tx: Tx, personId: string): Promise<boolean | null>;
  endOpen(tx: Tx, personId: string): Promise<void>;
  /** @returns when it expires */
  insert(tx: Tx, id: string, personId: string, tokenHash: string): Promise<string>;
  /** The open invitation with that token, to a person who is not disabled. */
  findOpen(tokenHash: string): Promise<Invitation | null>;
  accountState(email: string, organisationId: string): Promise<AccountState | null>;
  /** Uses the invitation up; false when another acceptance was faster. */
  accept(tx: Tx, id: string): Promise<boolean>;
  /** The account of that e-mail, made when there is none, locked until the transaction ends. */
  lockAccount(tx: Tx, newId: string, email: string): Promise<AccountState | null>;
  link(tx: Tx, personId: string, accountId: string): Promise<void>;
  revokeSessions(tx: Tx, personId: string): Promise<void>;
}

const OTHER_MEMBERSHIPS_SQL = `
  select count(*) as count from person where account_id = $1 and organisation_id <> $2`;

type Sql = <Row>(text: string, values?: readonly unknown[]) => Promise<Row[]>;

async function isShared(sql: Sql, accountId: string, organisationId: string): Promise<boolean> {
  const values = [accountId, organisationId];
  const [row] = await sql<{ count: number }>(OTHER_MEMBERSHIPS_SQL, values);
  return (row?.count ?? 0) > 0;
}

export function invitationStore(pool: Pool): InvitationStore {
  return {
    async isDisabled(tx, personId) {
      const values = [tx.organisationId, personId];
      const [row] = await tx.sql<{ is_disabled: boolean }>(IS_DISABLED_SQL, values);
      return row?.is_disabled ?? null;
    },
    async endOpen(tx, personId) {
      await tx.sql(END_OPEN_SQL, [tx.organisationId, personId]);
    },
    async insert(tx, id, personId, tokenHash) {
      const values = [tx.organisationId, id, tokenHash, personId, tx.actor.personId];
      const [row] = await tx.sql<{ expires_at: string }>(INSERT_SQL, values);
      if (!row) throw new Error('An invitation was not written');
      return row.expires_at;
    },
    findOpen: (tokenHash) =>
      readOwnRows(pool, { credentialHash: tokenHash }, async (sql) => {
        const [open] = await sql<{ organisation_id: string; id: string; person_id: string }>(
          OPEN_SQL,
          [tokenHash],
        );
        if (!open) return null;
        await sql(`select set_config('app.organisation_id', $1, true)`, [open.organisation_id]);
        const [invited] = await sql<InvitedRow>(INVITED_SQL, [
          open.organisation_id,
          open.person_id,
        ]);
        if (!invited) return null;
        return {
          organisationId: open.organisation_id,
          id: open.id,
          personId: open.person_id,
          organisationName: invited.organisation_name,
          name: invited.name,
          email: invited.email,
          roles: invited.roles,
          donorId: invited.donor_id,
        };
      }),
    async accountState(email, organisationId) {
      const { rows } = await pool.query<{ id: string; password_hash: string | null }>(
        'select id, password_hash from account where email = $1 and disabled_at is null',
        [email],
      );
      const account = rows[0];
      if (!account) return null;
      const isSharedWithOthers = await readOwnRows(pool, { accountId: account.id }, (sql) =>
        isShared(sql, account.id, organisationId),
      );
      return { id: account.id, passwordHash: account.password_hash, isSharedWithOthers };
    },
    async accept(tx, id) {
      return (await tx.sql(ACCEPT_SQL, [tx.organisationId, id])).length > 0;
    },
    async lockAccount(tx, newId, email) {
      await tx.sql(MAKE_ACCOUNT_SQL, [newId, email]);
      const [row] = await tx.sql<{ id: string; password_hash: string | null }>(LOCK_ACCOUNT_SQL, [
        email,
      ]);
      if (!row) return null;
      await tx.sql(`select set_config('app.account_id', $1, true)`, [row.id]);
      const isSharedWithOthers = await isShared(tx.sql, row.id, tx.organisationId);
      await tx.sql(`select set_config('app.account_id', '', true)`);
      return { id: row.id, passwordHash: row.password_hash, isSharedWithOthers };
    },
    async link(tx, personId, accountId) {
      await tx.sql(LINK_SQL, [tx.organisationId, personId, accountId]);
    },
    async revokeSessions(tx, personId) {
      await tx.sql(REVOKE_SESSIONS_SQL, [tx.organisationId, personId]);
    },
  };
}

interface InvitedRow {
  name: string;
  email: string;
  roles: Role[];
  donor_id: string | null;
  organisation_name: string;
}
