import type { ClientBase } from 'pg';

/** Tables that belong to no organisation, each with the reason. */
export const TABLES_WITHOUT_ORGANISATION: Readonly<Record<string, string>> = {
  organisation: 'is the tenant itself; protected by its own id',
  account: 'one e-mail and password may serve people of several organisations',
  sign_in_failure: 'counts attempts before anybody is known',
  _prisma_migrations: 'history of the schema; the app role has no access',
};

/** Policies that also show a row to whoever presents its secret, or holds its account. */
const OWN_ROW_POLICIES: Readonly<Record<string, RegExp>> = {
  person: /account_id = .*app_account\(\)/,
  session: /token_hash = .*app_credential\(\)/,
  api_token: /token_hash = .*app_credential\(\)/,
  invitation: /token_hash = .*app_credential\(\)/,
};

const TENANT_CONDITION =
  /^\(organisation_id = \( SELECT (?:public\.)?app_organisation\(\) AS app_organisation\)\)$/;

const TABLES_SQL = `
  select c.relname as name, c.relrowsecurity as is_enabled, c.relforcerowsecurity as is_forced,
    exists (select from pg_attribute a
      where a.attrelid = c.oid and a.attname = 'organisation_id' and a.attnotnull) as is_tenant,
    exists (select from pg_attribute a
      where a.attrelid = c.oid and a.attname = 'organisation_id') as names_organisation,
    (select array_agg(a.attname::text order by u.position)
      from pg_constraint k, unnest(k.conkey) with ordinality u(num, position)
        join pg_attribute a on a.attnum = u.num
      where k.conrelid = c.oid and k.contype = 'p' and a.attrelid = c.oid) as key
  from pg_class c join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
  where c.relkind in ('r', 'p') order by c.relname`;

const POLICIES_SQL = `
  select c.relname as table, p.polcmd as command, p.polpermissive as is_permissive,
    p.polroles = '{0}' as is_for_all, pg_get_expr(p.polqual, p.polrelid) as using,
    pg_get_expr(p.polwithcheck, p.polrelid) as with_check
  from pg_policy p join pg_class c on c.oid = p.polrelid
    join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'`;

const FOREIGN_KEYS_SQL = `
  select k.conname as name, f.relname as table, t.relname as target,
    array(select a.attname::text from unnest(k.conkey) num
      join pg_attribute a on a.attrelid = k.conrelid and a.attnum = num) as columns
  from pg_constraint k join pg_class f on f.oid = k.conrelid join pg_class t on t.oid = k.confrelid
    join pg_namespace n on n.oid = f.relnamespace and n.nspname = 'public'
  where k.contype = 'f'`;

const VIEWS_SQL = `
  select c.relname as name, c.relkind as kind,
    coalesce(c.reloptions @> array['security_invoker=true'], false) as is_invoker
  from pg_class c join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
  where c.relkind in ('v', 'm')`;

const DEFINER_FUNCTIONS_SQL = `
  select p.proname as name from pg_proc p
    join pg_namespace n on n.oid = p.pronamespace and n.nspname = 'public'
  where p.prosecdef`;

export interface Table {
  readonly name: string;
  readonly is_enabled: boolean;
  readonly is_forced: boolean;
  readonly is_tenant: boolean;
  readonly names_organisation: boolean;
  readonly key: string[] | null;
}

interface Policy {
  readonly table: string;
  readonly command: string;
  readonly is_permissive: boolean;
  readonly is_for_all: boolean;
  readonly using: string | null;
  readonly with_check: string | null;
}

export const listTables = async (client: ClientBase): Promise<Table[]> =>
  (await client.query<Table>(TABLES_SQL)).rows;

/** Every way in which the schema would let one organisation reach another; empty when there is none. */
export async function findLeaks(client: ClientBase): Promise<string[]> {
  const tables = await listTables(client);
  const policies = (await client.query<Policy>(POLICIES_SQL)).rows;
  return [
    ...tables.flatMap((table) => tableLeaks(table, policies)),
    ...(await foreignKeyLeaks(client, tables)),
    ...(await viewLeaks(client)),
    ...(await client.query<{ name: string }>(DEFINER_FUNCTIONS_SQL)).rows.map(
      ({ name }) => `function ${name} runs with its owner's rights`,
    ),
  ];
}

function tableLeaks(table: Table, policies: readonly Policy[]): string[] {
  const { name } = table;
  if (!table.is_tenant) {
    if (table.names_organisation) return [`${name}: organisation_id may be null`];
    const isListed = name in TABLES_WITHOUT_ORGANISATION || name === 'organisation';
    return isListed ? [] : [`${name}: has no organisation_id and is not on the list`];
  }
  const leaks: string[] = [];
  if (table.key?.[0] !== 'organisation_id') {
    leaks.push(`${name}: the primary key does not start with organisation_id`);
  }
  if (!table.is_enabled) leaks.push(`${name}: row security is not enabled`);
  if (!table.is_forced) leaks.push(`${name}: row security is not forced on the owner`);
  const own = policies.filter((policy) => policy.table === name && policy.is_permissive);
  if (!own.some(({ command, is_for_all }) => command === '*' && is_for_all)) {
    leaks.push(`${name}: no policy for all commands and all roles`);
  }
  for (const { using, with_check } of own) {
    if (!isTenantCondition(name, using)) leaks.push(`${name}: policy reads ${using}`);
    if (!TENANT_CONDITION.test(with_check ?? ''))
      leaks.push(`${name}: policy writes ${with_check}`);
  }
  return leaks;
}

function isTenantCondition(table: string, using: string | null): boolean {
  if (using === null) return false;
  if (TENANT_CONDITION.test(using)) return true;
  const ownRow = OWN_ROW_POLICIES[table];
  const [first, second, ...more] = using.slice(1, -1).split(' OR ');
  return (
    ownRow !== undefined &&
    more.length === 0 &&
    TENANT_CONDITION.test(first ?? '') &&
    ownRow.test(second ?? '')
  );
}

async function foreignKeyLeaks(client: ClientBase, tables: readonly Table[]): Promise<string[]> {
  const tenants = new Set(tables.filter(({ is_tenant }) => is_tenant).map(({ name }) => name));
  const { rows } = await client.query<{
    name: string;
    table: string;
    target: string;
    columns: string[];
  }>(FOREIGN_KEYS_SQL);
  return rows
    .filter(({ target, columns }) => tenants.has(target) && !columns.includes('organisation_id'))
    .map(({ name, table, target }) => `${table}: ${name} may point at another's ${target}`);
}

async function viewLeaks(client: ClientBase): Promise<string[]> {
  const { rows } = await client.query<{ name: string; kind: string; is_invoker: boolean }>(
    VIEWS_SQL,
  );
  return rows
    .filter(({ kind, is_invoker }) => kind === 'm' || !is_invoker)
    .map(({ name }) => `view ${name} reads with its owner's rights`);
}

/** Tables whose rows are facts: what is written stays. */
export const LEAST_APPEND_ONLY = [
  'attachment',
  'attachment_content',
  'audit_entry',
  'cost_entry',
  'design_decision',
  'design_revision',
  'finding',
  'inspection',
  'rain_series',
  'report',
  'report_figure_record',
  'stage_record',
  'stock_entry',
];

const RIGHTS_SQL = `
  select c.relname as name,
    has_table_privilege($1, c.oid, 'truncate') as may_truncate,
    has_table_privilege($1, c.oid, 'update') or exists (
      select from pg_attribute a where a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped
        and has_column_privilege($1, c.oid, a.attnum, 'update')) as may_update,
    has_table_privilege($1, c.oid, 'delete') as may_delete,
    has_table_privilege($1, c.oid, 'trigger') as may_trigger,
    has_table_privilege($1, c.oid, 'references') as may_refer,
    pg_has_role($1, c.relowner, 'usage') as may_alter
  from pg_class c join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
  where c.relkind in ('r', 'p', 'v', 'm') order by c.relname`;

const ROLE_SQL = `
  select rolsuper or rolbypassrls or rolcreaterole or rolcreatedb or rolreplication as is_privileged,
    has_schema_privilege(rolname, 'public', 'create') as may_create_tables,
    has_database_privilege(rolname, current_database(), 'create') as may_create_schemas,
    array(select r.rolname::text from pg_auth_members m join pg_roles r on r.oid = m.roleid
      where m.member = pg_roles.oid) as member_of
  from pg_roles where rolname = $1`;

interface Rights {
  readonly name: string;
  readonly may_truncate: boolean;
  readonly may_update: boolean;
  readonly may_delete: boolean;
  readonly may_trigger: boolean;
  readonly may_refer: boolean;
  readonly may_alter: boolean;
}

/** Every right that the app's role has and must not have; empty when there is none. */
export async function findExcessRights(client: ClientBase, role: string): Promise<string[]> {
  const [found] = (
    await client.query<{
      is_privileged: boolean;
      may_create_tables: boolean;
      may_create_schemas: boolean;
      member_of: string[];
    }>(ROLE_SQL, [role])
  ).rows;
  if (!found) return [`there is no role ${role}`];
  const excess: string[] = [];
  if (found.is_privileged) excess.push('the role is privileged');
  if (found.may_create_tables) excess.push('may create tables');
  if (found.may_create_schemas) excess.push('may create schemas');
  for (const other of found.member_of) excess.push(`is a member of ${other}`);
  const { rows } = await client.query<Rights>(RIGHTS_SQL, [role]);
  for (const rights of rows) {
    if (rights.may_truncate) excess.push(`${rights.name}: may truncate`);
    if (rights.may_trigger) excess.push(`${rights.name}: may add triggers`);
    if (rights.may_refer) excess.push(`${rights.name}: may be referred to`);
    if (rights.may_alter) excess.push(`${rights.name}: may alter`);
    if (!LEAST_APPEND_ONLY.includes(rights.name)) continue;
    if (rights.may_update) excess.push(`${rights.name}: may update`);
    if (rights.may_delete) excess.push(`${rights.name}: may delete`);
  }
  return excess;
}
