import type { ClientBase } from 'pg';

interface Column {
  table: string;
  column: string;
  type: string;
  length: number | null;
  is_nullable: boolean;
  default_expression: string | null;
}

interface Key {
  table: string;
  name: string;
  kind: 'p' | 'u';
  columns: string[];
}

const COLUMNS_SQL = `
  select c.relname as table, a.attname as column, t.typname as type,
    case when a.atttypmod > 0 then a.atttypmod end as length,
    not a.attnotnull as is_nullable, pg_get_expr(d.adbin, d.adrelid) as default_expression
  from pg_class c
    join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
    join pg_attribute a on a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped
    join pg_type t on t.oid = a.atttypid
    left join pg_attrdef d on d.adrelid = c.oid and d.adnum = a.attnum
  where c.relkind = 'r' and c.relname <> '_prisma_migrations'
  order by c.relname, a.attnum`;

const KEYS_SQL = `
  select c.relname as table, k.conname as name, k.contype as kind,
    array(select a.attname::text from unnest(k.conkey) with ordinality as u(num, position)
      join pg_attribute a on a.attrelid = c.oid and a.attnum = u.num order by u.position) as columns
  from pg_constraint k
    join pg_class c on c.oid = k.conrelid
    join pg_namespace n on n.oid = c.relnamespace and n.nspname = 'public'
  where k.contype in ('p', 'u') and c.relname <> '_prisma_migrations'
  order by c.relname, k.contype, k.conname`;

const HEADER = `// Rendered from the migrated database by "npm run schema:pull"; edit the migrations, not this file.
// Foreign keys carry the organisation and are declared in the migrations; joins are SQL in the repositories.

generator client {
  provider            = "prisma-client"
  output              = "../src/db/generated"
  importFileExtension = "ts"
  moduleFormat        = "esm"
}

datasource db {
  provider = "postgresql"
}
`;

const camel = (name: string) => name.replace(/_(\w)/g, (_, letter: string) => letter.toUpperCase());
const pascal = (name: string) => camel(`_${name}`);

function prismaType(column: Column): [type: string, native: string] {
  const isList = column.type.startsWith('_');
  const base = isList ? column.type.slice(1) : column.type;
  const list = isList ? '[]' : '';
  switch (base) {
    case 'uuid':
      return [`String${list}`, '@db.Uuid'];
    case 'text':
      return [`String${list}`, ''];
    case 'bpchar':
      return [`String${list}`, `@db.Char(${(column.length ?? 5) - 4})`];
    case 'int4':
      return [`Int${list}`, ''];
    case 'int8':
      return [`BigInt${list}`, ''];
    case 'float8':
      return [`Float${list}`, ''];
    case 'numeric': {
      const packed = (column.length ?? 4) - 4;
      return [`Decimal${list}`, `@db.Decimal(${packed >> 16}, ${packed & 0xffff})`];
    }
    case 'date':
      return [`DateTime${list}`, '@db.Date'];
    case 'timestamptz':
      return [`DateTime${list}`, `@db.Timestamptz(${column.length ?? 6})`];
    case 'bool':
      return [`Boolean${list}`, ''];
    case 'jsonb':
      return [`Json${list}`, ''];
    case 'bytea':
      return [`Bytes${list}`, ''];
    default:
      throw new Error(`${column.table}.${column.column}: no Prisma type for ${column.type}`);
  }
}

function prismaDefault(expression: string | null): string {
  if (expression === null) return '';
  if (expression === 'now()') return '@default(now())';
  if (/^-?[\d.]+$/.test(expression) || expression === 'true' || expression === 'false') {
    return `@default(${expression})`;
  }
  return `@default(dbgenerated(${JSON.stringify(expression)}))`;
}

function renderField(column: Column): string {
  const [type, native] = prismaType(column);
  const field = camel(column.column);
  const optional = column.is_nullable && !type.endsWith('[]') ? '?' : '';
  const map = field === column.column ? '' : `@map("${column.column}")`;
  const attributes = [prismaDefault(column.default_expression), map, native].filter(Boolean);
  return `  ${[field, type + optional, ...attributes].join(' ')}`;
}

function renderKey(key: Key): string {
  const fields = key.columns.map(camel).join(', ');
  return `  ${key.kind === 'p' ? '@@id' : '@@unique'}([${fields}], map: "${key.name}")`;
}

/**
 * The Prisma schema that describes the tables of the connected database, one model a table,
 * without relations. Rendering it again from an empty database after all migrations must give the
 * committed file: that is the proof that file and database agree.
 *
 * @throws when a column has a type that this project does not use.
 */
export async function schemaFromDatabase(client: ClientBase): Promise<string> {
  const columns = (await client.query<Column>(COLUMNS_SQL)).rows;
  const keys = (await client.query<Key>(KEYS_SQL)).rows;
  const tables = [...new Set(columns.map((column) => column.table))];
  const models = tables.map((table) =>
    [
      `model ${pascal(table)} {`,
      ...columns.filter((column) => column.table === table).map(renderField),
      '',
      ...keys.filter((key) => key.table === table).map(renderKey),
      `  @@map("${table}")`,
      '}',
    ].join('\n'),
  );
  return `${[HEADER, ...models].join('\n')}\n`;
}
