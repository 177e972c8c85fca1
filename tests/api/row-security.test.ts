import pg from 'pg';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { APP_ROLE, PrivilegedRole, refusePrivilegedRole } from '../../src/db/roles.ts';
import { createTestDatabase, type TestDatabase } from '../support/database.ts';
import {
  acceptMadeUpRows,
  type FilledOrganisation,
  fillEveryTable,
} from '../support/fill-every-table.ts';
import {
  findExcessRights,
  findLeaks,
  LEAST_APPEND_ONLY,
  listTables,
} from '../support/row-security.ts';

let database: TestDatabase;
/** Superuser: sees everything. */
let admin: pg.Client;
/** What the service connects as. */
let app: pg.Client;
let mine: FilledOrganisation;
let theirs: FilledOrganisation;
let tenantTables: string[];

beforeAll(async () => {
  database = await createTestDatabase();
  admin = new pg.Client({ connectionString: database.adminUrl });
  app = new pg.Client({ connectionString: database.appUrl });
  await admin.connect();
  await app.connect();
  tenantTables = (await listTables(admin)).filter((t) => t.is_tenant).map(({ name }) => name);
});
afterAll(async () => {
  await admin.end();
  await app.end();
  await database.drop();
});

/** Runs work in a transaction that is rolled back, whatever comes of it. */
async function undone<T>(client: pg.Client, work: () => Promise<T>): Promise<T> {
  await client.query('begin');
  try {
    return await work();
  } finally {
    await client.query('rollback');
  }
}

const setTenant = (organisationId: string) =>
  app.query(`select set_config('app.organisation_id', $1, true)`, [organisationId]);

/** SQLSTATE of a statement that the app role sends with that tenant; null when it succeeds. */
const failureOf = (organisationId: string, text: string, values: unknown[] = []) =>
  undone(app, async () => {
    await setTenant(organisationId);
    try {
      await app.query(text, values);
      return null;
    } catch (error) {
      return (error as { code?: string }).code ?? String(error);
    }
  });

const INSUFFICIENT_PRIVILEGE = '42501';

describe('the catalogue', () => {
  it('has no table, policy, key, view or function that leads into another organisation', async () => {
    expect(tenantTables.length).toBeGreaterThan(40);
    expect(await findLeaks(admin)).toEqual([]);
  });

  it('gives the role of the service no more than it needs', async () => {
    expect(await findExcessRights(admin, APP_ROLE)).toEqual([]);
    for (const name of LEAST_APPEND_ONLY) expect(tenantTables).toContain(name);
    const { rows } = await admin.query<{ name: string }>(
      `select nspname as name from pg_namespace where nspname !~ '^pg_' and nspname <> 'information_schema'`,
    );
    expect(rows.map(({ name }) => name).sort()).toEqual(['pgboss', 'public']);
  });

  it('lets the service start as that role only', async () => {
    const pool = (connectionString: string) => new pg.Pool({ connectionString, max: 1 });
    const [asApp, asOwner, asAdmin] = [
      pool(database.appUrl),
      pool(database.ownerUrl),
      pool(database.adminUrl),
    ];
    await refusePrivilegedRole(asApp);
    await expect(refusePrivilegedRole(asOwner)).rejects.toThrow(PrivilegedRole);
    await expect(refusePrivilegedRole(asAdmin)).rejects.toThrow(PrivilegedRole);
    await Promise.all([asApp.end(), asOwner.end(), asAdmin.end()]);
  });
});

describe('the check of the catalogue', () => {
  const MUTATIONS: Readonly<Record<string, (table: string) => string>> = {
    'a policy dropped': (table) => `drop policy tenant on "${table}"`,
    'row security disabled': (table) => `alter table "${table}" disable row level security`,
    'row security not forced': (table) => `alter table "${table}" no force row level security`,
    'a policy that reads everything': (table) => `alter policy tenant on "${table}" using (true)`,
    'a policy that writes everything': (table) =>
      `alter policy tenant on "${table}" with check (true)`,
    'a second, open policy': (table) => `create policy open on "${table}" using (true)`,
  };

  it.each(Object.keys(MUTATIONS))('finds %s, on every table', async (title) => {
    for (const table of tenantTables) {
      const leaks = await undone(admin, async () => {
        await admin.query(MUTATIONS[title]?.(table) ?? '');
        return findLeaks(admin);
      });
      expect(leaks.length, table).toBeGreaterThan(0);
      expect(
        leaks.every((leak) => leak.startsWith(`${table}: `)),
        leaks.join('; '),
      ).toBe(true);
    }
  });

  it.each([
    [
      'a key without organisation',
      'create table loose (organisation_id uuid not null, id uuid primary key)',
      'loose: the primary key does not start with organisation_id',
    ],
    [
      'a table without organisation',
      'create table loose (id uuid primary key)',
      'loose: has no organisation_id and is not on the list',
    ],
    [
      'an organisation that may be null',
      `alter table donor drop constraint donor_pkey cascade;
       alter table donor alter column organisation_id drop not null`,
      'donor: organisation_id may be null',
    ],
    [
      'a foreign key without organisation',
      `alter table donor add constraint donor_id_key unique (id);
       alter table village add constraint village_loose_fkey foreign key (id) references donor (id)`,
      "village: village_loose_fkey may point at another's donor",
    ],
    [
      'a view with the rights of its owner',
      'create view all_donors as select * from donor',
      "view all_donors reads with its owner's rights",
    ],
    [
      'a materialized view',
      'create materialized view all_donors as select * from donor',
      "view all_donors reads with its owner's rights",
    ],
    [
      'a function with the rights of its owner',
      `create function every_donor() returns bigint language sql security definer
       as 'select count(*) from donor'`,
      "function every_donor runs with its owner's rights",
    ],
  ])('finds %s', async (_title, sql, leak) => {
    const found = await undone(admin, async () => {
      await admin.query(sql);
      return findLeaks(admin);
    });
    expect(found).toContain(leak);
  });

  it('accepts a view with the rights of its reader', async () => {
    const found = await undone(admin, async () => {
      await admin.query(
        'create view own_donors with (security_invoker = true) as select * from donor',
      );
      return findLeaks(admin);
    });
    expect(found).toEqual([]);
  });

  it.each([
    [`grant truncate on stock_entry to ${APP_ROLE}`, 'stock_entry: may truncate'],
    [`grant update on audit_entry to ${APP_ROLE}`, 'audit_entry: may update'],
    [`grant update (detail) on audit_entry to ${APP_ROLE}`, 'audit_entry: may update'],
    [`grant delete on report to ${APP_ROLE}`, 'report: may delete'],
    [`alter table site owner to ${APP_ROLE}`, 'site: may alter'],
    [`alter role ${APP_ROLE} bypassrls`, 'the role is privileged'],
    [`grant create on schema public to ${APP_ROLE}`, 'may create tables'],
    [`grant pg_read_all_data to ${APP_ROLE}`, 'is a member of pg_read_all_data'],
  ])('finds the excess right of: %s', async (sql, right) => {
    const found = await undone(admin, async () => {
      await admin.query(sql);
      return findExcessRights(admin, APP_ROLE);
    });
    expect(found).toContain(right);
  });
});

describe('rows of two organisations in every table', () => {
  beforeAll(async () => {
    const checks = await acceptMadeUpRows(admin);
    mine = await fillEveryTable(admin, checks);
    theirs = await fillEveryTable(admin, checks);
  });

  /** How many rows of every tenant table the app role sees now, by organisation. */
  async function visible(): Promise<Record<string, string[]>> {
    const seen: Record<string, string[]> = {};
    for (const table of tenantTables) {
      const { rows } = await app.query<{ organisation_id: string }>(
        `select organisation_id from "${table}"`,
      );
      seen[table] = rows.map((row) => row.organisation_id);
    }
    return seen;
  }

  it('are there', async () => {
    for (const table of tenantTables) {
      const { rows } = await admin.query(`select count(*)::int as count from "${table}"`);
      expect(rows[0].count, table).toBe(2);
    }
  });

  it('are not seen without a tenant', async () => {
    const nothing = Object.fromEntries(tenantTables.map((table) => [table, []]));
    expect(await visible()).toEqual(nothing);
    // After a transaction the setting reads as an empty text, which must not mean "all" either.
    await undone(app, () => setTenant(mine.organisationId));
    expect(await visible()).toEqual(nothing);
    const { rows } = await app.query('select id from organisation');
    expect(rows).toEqual([]);
  });

  it('are seen by their own organisation alone', async () => {
    for (const { organisationId } of [mine, theirs]) {
      const expected = Object.fromEntries(tenantTables.map((table) => [table, [organisationId]]));
      const seen = await undone(app, async () => {
        await setTenant(organisationId);
        return visible();
      });
      expect(seen).toEqual(expected);
    }
  });

  it('would be seen by others if row security were off, and this test would notice', async () => {
    await admin.query('alter table stage_record disable row level security');
    try {
      const seen = await undone(app, async () => {
        await setTenant(mine.organisationId);
        return visible();
      });
      const foreign = Object.entries(seen).filter(([, ids]) => ids.includes(theirs.organisationId));
      expect(foreign.map(([table]) => table)).toEqual(['stage_record']);
    } finally {
      await admin.query('alter table stage_record enable row level security');
    }
  });

  it('cannot be written, moved or removed by another organisation', async () => {
    for (const table of tenantTables) {
      const insert = `insert into "${table}" (organisation_id) values ($1)`;
      expect(await failureOf(mine.organisationId, insert, [theirs.organisationId]), table).toBe(
        INSUFFICIENT_PRIVILEGE,
      );
      const rights = await admin.query(
        `select has_table_privilege($1, $2, 'update') as update, has_table_privilege($1, $2, 'delete') as delete`,
        [APP_ROLE, table],
      );
      const { update, delete: remove } = rights.rows[0] as { update: boolean; delete: boolean };
      const changed = await undone(app, async () => {
        await setTenant(mine.organisationId);
        const foreign = `where organisation_id = '${theirs.organisationId}'`;
        const counts: (number | null)[] = [];
        if (update) {
          const touch = `update "${table}" set organisation_id = organisation_id ${foreign}`;
          counts.push((await app.query(touch)).rowCount);
        }
        if (remove) counts.push((await app.query(`delete from "${table}" ${foreign}`)).rowCount);
        return counts;
      });
      expect(
        changed.every((count) => count === 0),
        table,
      ).toBe(true);
      if (update) {
        const move = `update "${table}" set organisation_id = $1`;
        expect(await failureOf(mine.organisationId, move, [theirs.organisationId]), table).toBe(
          INSUFFICIENT_PRIVILEGE,
        );
      }
    }
  });

  it('of append-only tables cannot be changed, removed or truncated even by their own', async () => {
    for (const table of LEAST_APPEND_ONLY) {
      for (const statement of [
        `update "${table}" set organisation_id = organisation_id`,
        `delete from "${table}"`,
        `truncate "${table}"`,
      ]) {
        expect(await failureOf(mine.organisationId, statement), statement).toBe(
          INSUFFICIENT_PRIVILEGE,
        );
      }
    }
  });

  it('of credentials are shown to whoever presents the secret, and only that row', async () => {
    for (const table of ['session', 'api_token', 'invitation']) {
      const { rows } = await admin.query<{ token_hash: string }>(
        `select token_hash from "${table}" where organisation_id = $1`,
        [theirs.organisationId],
      );
      const seen = await undone(app, async () => {
        await app.query(`select set_config('app.credential_hash', $1, true)`, [
          rows[0]?.token_hash,
        ]);
        return (await app.query(`select organisation_id from "${table}"`)).rows;
      });
      expect(seen, table).toEqual([{ organisation_id: theirs.organisationId }]);
    }
    const person = await undone(app, async () => {
      await app.query(`select set_config('app.account_id', $1, true)`, [theirs.recordId]);
      return visible();
    });
    const shown = Object.entries(person).filter(([, ids]) => ids.length > 0);
    expect(shown).toEqual([['person', [theirs.organisationId]]]);
  });
});
