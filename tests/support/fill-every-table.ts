import { randomUUID } from 'node:crypto';
import type { Client } from 'pg';
import { listTables } from './row-security.ts';

export interface FilledOrganisation {
  readonly organisationId: string;
  /** The id of every row in every table, so that any address with ids in it finds something. */
  readonly recordId: string;
}

interface Column {
  readonly table: string;
  readonly column: string;
  readonly type: string;
  readonly length: number | null;
  readonly is_nullable: boolean;
  readonly has_default: boolean;
}

const COLUMNS_SQL = `
  select c.relname as table, a.attname as column, t.typname as type,
    case when a.atttypmod > 4 then a.atttypmod - 4 end as length,
    not a.attnotnull as is_nullable, a.atthasdef as has_default
  from pg_attribute a join pg_class c on c.oid = a.attrelid and c.relkind in ('r', 'p')
    join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
    join pg_type t on t.oid = a.atttypid
  where a.attnum > 0 and not a.attisdropped and a.attgenerated = ''
  order by c.relname, a.attnum`;

const CHECKS_SQL = `
  select c.relname as table, k.conname as name, pg_get_constraintdef(k.oid) as definition
  from pg_constraint k join pg_class c on c.oid = k.conrelid
    join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
  where k.contype = 'c'`;

interface Check {
  readonly table: string;
  readonly name: string;
  readonly definition: string;
}

/**
 * Makes a clone of the database take made-up rows: its checks are dropped, and the connection neither
 * fires triggers nor follows foreign keys. For a superuser, on a database of the tests' own.
 */
export async function acceptMadeUpRows(client: Client): Promise<Check[]> {
  await client.query('set session_replication_role = replica');
  const { rows } = await client.query<Check>(CHECKS_SQL);
  for (const { table, name } of rows) {
    await client.query(`alter table "${table}" drop constraint "${name}"`);
  }
  return rows;
}

/**
 * Writes one made-up row of a new organisation into every tenant table, whichever tables there are.
 *
 * @returns the organisation, and the id that all its rows have
 */
export async function fillEveryTable(
  client: Client,
  checks: readonly Check[],
): Promise<FilledOrganisation> {
  const filled = { organisationId: randomUUID(), recordId: randomUUID() };
  const { organisationId, recordId } = filled;
  await client.query('insert into organisation (id, name) values ($1, $2)', [
    organisationId,
    'Made up',
  ]);
  await client.query('insert into account (id, email) values ($1, $2)', [
    recordId,
    `${recordId}@example.org`,
  ]);
  const columns = (await client.query<Column>(COLUMNS_SQL)).rows;
  for (const { name } of (await listTables(client)).filter(({ is_tenant }) => is_tenant)) {
    const values = columns
      .filter(({ table }) => table === name)
      .map((column) => [column.column, madeUpValue(column, filled, checks)] as const)
      .filter(([, value]) => value !== undefined);
    const names = values.map(([column]) => `"${column}"`).join(', ');
    const places = values.map((_, index) => `$${index + 1}`).join(', ');
    await client.query(
      `insert into "${name}" (${names}) values (${places})`,
      values.map(([, value]) => value),
    );
  }
  return filled;
}

/** Undefined leaves the column to its default, or to null. */
function madeUpValue(
  column: Column,
  filled: FilledOrganisation,
  checks: readonly Check[],
): unknown {
  if (column.column === 'organisation_id') return filled.organisationId;
  if (column.type === 'uuid') return filled.recordId;
  if (column.has_default || column.is_nullable) return undefined;
  if (column.type === 'text') return allowedText(column, checks) ?? `x-${randomUUID()}`;
  const made = BY_TYPE[column.type];
  if (made === undefined) throw new Error(`no made-up value for ${column.table}.${column.column}`);
  return typeof made === 'function' ? made(column) : made;
}

const BY_TYPE: Readonly<Record<string, unknown>> = {
  bpchar: ({ length }: Column) => 'EUR'.padEnd(length ?? 3, 'X').slice(0, length ?? 3),
  int4: 1,
  int8: 1,
  float8: 1,
  numeric: '1',
  bool: false,
  date: '2026-11-01',
  timestamptz: '2026-11-01T00:00:00Z',
  jsonb: '{}',
  bytea: Buffer.from('made up'),
  _text: [],
  _uuid: [],
  _int4: [],
  _float8: [1],
  _date: [],
};

/** The first text that a check of the column allows. */
function allowedText({ table, column }: Column, checks: readonly Check[]): string | undefined {
  for (const check of checks) {
    if (check.table !== table) continue;
    const allowed = new RegExp(`\\(${column} = ANY \\(ARRAY\\['([^']*)'`).exec(check.definition);
    if (allowed) return allowed[1];
  }
  return undefined;
}
