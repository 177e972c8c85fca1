import pg from 'pg';

export const APP_ROLE = 'hoopwright_app';
export const OWNER_ROLE = 'hoopwright_owner';

export class PrivilegedRole extends Error {}

export interface RolePasswords {
  readonly owner: string;
  readonly app: string;
}

/**
 * Creates, as a superuser, the two login roles and the database of a cluster that is ours alone, and
 * sets their passwords. Safe to run at every start.
 */
export async function createRolesAndDatabase(
  adminUrl: string,
  database: string,
  passwords: RolePasswords,
): Promise<void> {
  const client = new pg.Client({ connectionString: adminUrl });
  await client.connect();
  try {
    for (const [role, password] of [
      [OWNER_ROLE, passwords.owner],
      [APP_ROLE, passwords.app],
    ] as const) {
      const { rowCount } = await client.query('select from pg_roles where rolname = $1', [role]);
      const verb = rowCount === 0 ? 'create' : 'alter';
      const secret = pg.escapeLiteral(password);
      await client.query(
        `${verb} role ${role} login nosuperuser nocreaterole nobypassrls password ${secret}`,
      );
    }
    const { rowCount } = await client.query('select from pg_database where datname = $1', [
      database,
    ]);
    if (rowCount === 0) {
      await client.query(`create database ${pg.escapeIdentifier(database)} owner ${OWNER_ROLE}`);
    }
  } finally {
    await client.end();
  }
}

/** The same server and database as another role. */
export function urlAs(url: string, role: string, password: string, database?: string): string {
  const target = new URL(url);
  target.username = role;
  target.password = password;
  if (database !== undefined) target.pathname = `/${database}`;
  return target.href;
}

/** A connection of the owner's login that has put on the app role before its first statement. */
export function urlWithAppRole(url: string): string {
  const target = new URL(url);
  target.searchParams.set('options', `-c role=${APP_ROLE}`);
  return target.href;
}

/** Lets the owner's login put on the app role that a migration made. */
export async function grantAppRole(ownerUrl: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query(`grant ${APP_ROLE} to current_user`);
  } finally {
    await client.end();
  }
}

const ROLE_SQL = `
  select current_user as name, r.rolsuper or r.rolbypassrls as bypasses,
    exists (select from pg_class c join pg_namespace n on n.oid = c.relnamespace
            where n.nspname = 'public' and c.relname = 'programme' and pg_has_role(current_user, c.relowner, 'usage')) as owns
  from pg_roles r where r.rolname = current_user`;

/** Throws `PrivilegedRole` unless the connection's role is bound by row security. */
export async function refusePrivilegedRole(pool: pg.Pool): Promise<void> {
  const { rows } = await pool.query<{ name: string; bypasses: boolean; owns: boolean }>(ROLE_SQL);
  const role = rows[0];
  if (!role || role.bypasses || role.owns) {
    throw new PrivilegedRole(
      `The service would run as database role ${role?.name ?? 'unknown'}, which row security does not bind; let DATABASE_URL log in as a member of ${APP_ROLE} and put the owner in DATABASE_OWNER_URL.`,
    );
  }
}
