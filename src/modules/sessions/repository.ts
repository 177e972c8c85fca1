import type { Pool } from 'pg';
import type { Session, SignedIn } from '../../../shared/contract/session.ts';
import type { Tx } from '../../db/database.ts';
import { type ReadRows, readOwnRows } from '../../db/own-rows.ts';
import type { Membership } from '../../domain/identity.ts';
import type { Role } from '../../domain/permissions.ts';
import type { Account } from './password-check.ts';

const ACCOUNT_SQL = `
  select id, email, password_hash as "passwordHash" from account
  where email = $1 and disabled_at is null`;

const MEMBERSHIPS_SQL = `
  select organisation_id as "organisationId", id as "personId", account_id as "accountId", name, roles,
    donor_id as "donorId"
  from person where account_id = $1 and disabled_at is null order by organisation_id`;

const TENANT_SQL = `select set_config('app.organisation_id', $1, true)`;
const ACCOUNT_SETTING_SQL = `select set_config('app.account_id', $1, true)`;
const ORGANISATION_NAME_SQL = 'select name from organisation where id = $1';

const OWNER_OF_SESSION_SQL = `
  select organisation_id, id, person_id, account_id from session
  where token_hash = $1 and revoked_at is null`;

const INSERT_SESSION_SQL = `
  insert into session (organisation_id, id, token_hash, account_id, person_id, expires_at, device_name)
  values ($1, $2, $3, $4, $5, now() + make_interval(secs => $6), $7)`;

const SESSION_COLUMNS = `id, person_id, device_name, created_at, last_seen_at, expires_at, revoked_at`;

const ONE_SESSION_SQL = `
  select ${SESSION_COLUMNS} from session where organisation_id = $1 and id = $2`;

const LIST_SESSIONS_SQL = `
  select ${SESSION_COLUMNS} from session
  where organisation_id = $1 and person_id = $2 and revoked_at is null and expires_at > now()
    and last_seen_at > now() - interval '12 hours'
    and ($3::timestamptz is null or (created_at, id) < ($3, $4::uuid))
  order by created_at desc, id desc limit $5`;

const REVOKE_SESSION_SQL = `
  update session set revoked_at = coalesce(revoked_at, now())
  where organisation_id = $1 and id = $2 returning ${SESSION_COLUMNS}`;

const REVOKE_OTHER_SESSIONS_SQL = `
  update session set revoked_at = now()
  where organisation_id = $1 and account_id = $2 and revoked_at is null
    and id is distinct from $3::uuid returning id`;

const SET_PASSWORD_SQL = `
  update account set password_hash = $2, password_changed_at = now()
  where id = $1 and password_hash is not distinct from $3 returning password_changed_at`;

const ACCOUNT_BY_ID_SQL = `
  select id, email, password_hash as "passwordHash" from account where id = $1`;

const WHO_SQL = `
  select p.id, p.name, p.email, p.roles, p.donor_id as "donorId",
    p.engineer_registration_number as "engineerRegistrationNumber",
    o.id as organisation_id, o.name as organisation_name, o.time_zone
  from person p join organisation o on o.id = p.organisation_id
  where p.organisation_id = $1 and p.id = $2`;

interface SessionRow {
  id: string;
  person_id: string;
  device_name: string;
  created_at: string;
  last_seen_at: string;
  expires_at: string;
  revoked_at: string | null;
}

type PersonPart = SignedIn['person'] & {
  organisation_id: string;
  organisation_name: string;
  time_zone: string;
};

export interface NamedMembership extends Membership {
  readonly organisationName: string;
}

export interface SessionOwner {
  readonly organisationId: string;
  readonly sessionId: string;
  readonly personId: string;
  readonly accountId: string;
}

export interface NewSessionRow {
  readonly id: string;
  readonly tokenHash: string;
  readonly lifeS: number;
  readonly deviceName: string;
}

export interface SessionStore {
  accountByEmail(email: string): Promise<Account | null>;
  accountById(accountId: string): Promise<Account>;
  membershipsOf(accountId: string): Promise<NamedMembership[]>;
  ownerOf(tokenHash: string): Promise<SessionOwner | null>;
  insert(tx: Tx, session: NewSessionRow): Promise<void>;
  find(tx: Tx, id: string): Promise<Session | null>;
  list(tx: Tx, personId: string, after: readonly string[] | null, take: number): Promise<Session[]>;
  revoke(tx: Tx, id: string): Promise<Session | null>;
  /** Ends the account's sessions in every organisation but the current one; tells how many. */
  revokeOthers(tx: Tx): Promise<number>;
  /** Replaces the password when it is still the expected one; null when it is not. */
  setPassword(
    tx: Tx,
    accountId: string,
    passwordHash: string,
    expectedHash: string | null,
  ): Promise<string | null>;
  who(tx: Tx): Promise<Omit<SignedIn, 'permissions' | 'session'>>;
}

export function sessionStore(pool: Pool): SessionStore {
  return {
    async accountByEmail(email) {
      const { rows } = await pool.query<Account>(ACCOUNT_SQL, [email]);
      return rows[0] ?? null;
    },
    async accountById(accountId) {
      const { rows } = await pool.query<Account>(ACCOUNT_BY_ID_SQL, [accountId]);
      if (!rows[0]) throw new Error('A signed-in person without an account');
      return rows[0];
    },
    membershipsOf: (accountId) =>
      readOwnRows(pool, { accountId }, async (sql) => {
        const rows = await sql<Membership & { roles: Role[] }>(MEMBERSHIPS_SQL, [accountId]);
        const named: NamedMembership[] = [];
        for (const row of rows) {
          named.push({ ...row, organisationName: await nameOf(sql, row.organisationId) });
        }
        return named;
      }),
    ownerOf: (tokenHash) =>
      readOwnRows(pool, { credentialHash: tokenHash }, async (sql) => {
        const [row] = await sql<
          Record<'organisation_id' | 'id' | 'person_id' | 'account_id', string>
        >(OWNER_OF_SESSION_SQL, [tokenHash]);
        if (!row) return null;
        return {
          organisationId: row.organisation_id,
          sessionId: row.id,
          personId: row.person_id,
          accountId: row.account_id,
        };
      }),
    async insert(tx, { id, tokenHash, lifeS, deviceName }) {
      const { accountId, personId } = tx.actor;
      const values = [tx.organisationId, id, tokenHash, accountId, personId, lifeS, deviceName];
      await tx.sql(INSERT_SESSION_SQL, values);
    },
    async find(tx, id) {
      const [row] = await tx.sql<SessionRow>(ONE_SESSION_SQL, [tx.organisationId, id]);
      return row ? toWire(tx, row) : null;
    },
    async list(tx, personId, after, take) {
      const [createdAt = null, id = null] = after ?? [];
      const values = [tx.organisationId, personId, createdAt, id, take];
      const rows = await tx.sql<SessionRow>(LIST_SESSIONS_SQL, values);
      return rows.map((row) => toWire(tx, row));
    },
    async revoke(tx, id) {
      const [row] = await tx.sql<SessionRow>(REVOKE_SESSION_SQL, [tx.organisationId, id]);
      return row ? toWire(tx, row) : null;
    },
    async revokeOthers(tx) {
      const { accountId, credentialId } = tx.actor;
      let count = 0;
      for (const organisationId of await organisationsOf(tx, accountId)) {
        await tx.sql(TENANT_SQL, [organisationId]);
        const values = [organisationId, accountId, credentialId];
        count += (await tx.sql(REVOKE_OTHER_SESSIONS_SQL, values)).length;
      }
      await tx.sql(TENANT_SQL, [tx.organisationId]);
      return count;
    },
    async setPassword(tx, accountId, passwordHash, expectedHash) {
      const values = [accountId, passwordHash, expectedHash];
      const [row] = await tx.sql<{ password_changed_at: string }>(SET_PASSWORD_SQL, values);
      return row?.password_changed_at ?? null;
    },
    async who(tx) {
      const [row] = await tx.sql<PersonPart>(WHO_SQL, [tx.organisationId, tx.actor.personId]);
      if (!row) throw new Error('A signed-in person without a record');
      const { organisation_id, organisation_name, time_zone, ...person } = row;
      const organisation = { id: organisation_id, name: organisation_name, timeZone: time_zone };
      return { person, organisation };
    },
  };
}

async function nameOf(sql: ReadRows, organisationId: string): Promise<string> {
  await sql(TENANT_SQL, [organisationId]);
  const [row] = await sql<{ name: string }>(ORGANISATION_NAME_SQL, [organisationId]);
  return row?.name ?? '';
}

/** Every organisation that the account belongs to, seen for this one statement only. */
async function organisationsOf(tx: Tx, accountId: string): Promise<string[]> {
  await tx.sql(ACCOUNT_SETTING_SQL, [accountId]);
  const rows = await tx.sql<{ organisation_id: string }>(
    'select organisation_id from person where account_id = $1 order by organisation_id',
    [accountId],
  );
  await tx.sql(ACCOUNT_SETTING_SQL, ['']);
  return rows.map((row) => row.organisation_id);
}

const toWire = (tx: Tx, row: SessionRow): Session => ({
  id: row.id,
  personId: row.person_id,
  deviceName: row.device_name,
  createdAt: row.created_at,
  lastSeenAt: row.last_seen_at,
  expiresAt: row.expires_at,
  revokedAt: row.revoked_at,
  isCurrent: row.id === tx.actor.credentialId,
});
