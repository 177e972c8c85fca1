import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PRIVACY_CLASSES, privacyClassOf } from '../../prisma/privacy-classes.ts';
import { recordsOf } from '../support/made-records.ts';
import { startTestService, type TestPerson, type TestService } from '../support/service.ts';

let service: TestService;
let admin: pg.Client;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  admin = new pg.Client({ connectionString: service.database.adminUrl });
  await admin.connect();
});
afterAll(async () => {
  await admin.end();
  await service.close();
});

const COLUMNS_SQL = `
  select table_name || '.' || column_name as name from information_schema.columns
  where table_schema = 'public' order by 1`;

const migratedColumns = async (): Promise<string[]> =>
  (await admin.query<{ name: string }>(COLUMNS_SQL)).rows.map(({ name }) => name);

const registered = Object.entries(PRIVACY_CLASSES).flatMap(([table, classes]) =>
  Object.entries(classes).flatMap(([privacyClass, columns]) =>
    columns.split(' ').map((column) => ({ table, column, privacyClass })),
  ),
);

/** Where personal data may be, each with the reason. */
const PERSONAL_TABLES: Readonly<Record<string, string>> = {
  account: 'how somebody signs in',
  person: 'who works in an organisation',
  site_contact: 'who lives at a site, with consent, erasable',
  session: 'a credential',
  calendar_feed: 'a credential',
  api_token: 'a credential',
  invitation: 'a credential',
  sign_in_failure: 'the address that was tried',
  design_decision: 'the engineer who answers for a design',
  design_approval: 'a view of design_decision',
  attachment_content: 'a picture may show somebody',
  audit_entry: 'what was changed about people who work here',
  idempotency_key: 'the answer that is kept for a repeated request',
};

describe('the privacy register', () => {
  it('has every column of the database and no other, each in one class', async () => {
    const names = registered.map(({ table, column }) => `${table}.${column}`);
    expect(names.filter((name, index) => names.indexOf(name) !== index)).toEqual([]);
    const migrated = await migratedColumns();
    expect(migrated.length).toBeGreaterThan(300);
    expect([...names].sort()).toEqual([...migrated].sort());
  });

  it('would miss a column that nobody classed', async () => {
    await admin.query('begin');
    try {
      await admin.query('alter table site add column nickname text');
      const unclassed = (await migratedColumns()).filter((name) => {
        const [table = '', column = ''] = name.split('.');
        return privacyClassOf(table, column) === undefined;
      });
      expect(unclassed).toEqual(['site.nickname']);
    } finally {
      await admin.query('rollback');
    }
  });

  it('has personal data only where it must be, and nothing sensitive', () => {
    const personal = registered.filter(({ privacyClass }) => privacyClass === 'P2');
    expect([...new Set(personal.map(({ table }) => table))].sort()).toEqual(
      Object.keys(PERSONAL_TABLES).sort(),
    );
    expect(registered.filter(({ privacyClass }) => privacyClass === 'P3')).toEqual([]);
  });

  it('classes what sounds personal as personal', () => {
    const sounds =
      /phone|e_?mail|password|token_hash|contact_name|birth|gender|registration_number/;
    const timesAndHashes = /_at$/;
    const wrong = registered.filter(
      ({ column, privacyClass }) =>
        sounds.test(column) && !timesAndHashes.test(column) && privacyClass !== 'P2',
    );
    expect(wrong).toEqual([]);
  });
});

describe('erasure', () => {
  it('leaves no trace of a contact in any table', async () => {
    const records = recordsOf(service, coordinator);
    const programmeId = (await records.programme()).id;
    const village = await records.village();
    const canary = `CANARY-${randomUUID()}`;
    const traces = [canary, '-7.65432', '44.32109'];
    const file = [
      'code,village,kind,roof_area_m2,roof_kind,people,contact_name,phone,lat_deg,lon_deg,consent',
      `H-1,${village.code},household,40,tile,6,${canary},+0 ${canary},-7.65432,44.32109,yes`,
      `H-2,${village.code},household,40,tile,6,${canary},+0 ${canary},-7.65432,44.32109,no`,
    ];
    const send = (lines: string[], query: object) =>
      service.http
        .post(`/v1/programmes/${programmeId}/site-imports`)
        .query(query)
        .set(coordinator.auth)
        .set('idempotency-key', randomUUID())
        .type('text/csv')
        .send(lines.join('\n'));
    expect((await send(file, {})).body.errorCount).toBe(1);
    const good = file.slice(0, 2);
    const { planHash } = (await send(good, {})).body;
    await send(good, { mode: 'apply', planHash }).expect(201);
    const sites = await service.http
      .get(`/v1/sites?programmeId=${programmeId}`)
      .set(coordinator.auth);
    const path = `/v1/sites/${sites.body.items[0].id}/contact`;
    const read = await service.http.get(path).set(coordinator.auth).expect(200);
    await service.http
      .put(path)
      .set(coordinator.auth)
      .set('if-match', read.headers.etag ?? '')
      .send({ contactName: canary, latDeg: -7.65432, lonDeg: 44.32109, consentGiven: true })
      .expect(200);
    expect(await tablesWith(traces)).toEqual(['public.site_contact']);
    await service.http.delete(path).set(coordinator.auth).expect(200);
    expect(await tablesWith(traces)).toEqual([]);
  });
});

/** Tables of any schema with a row whose text holds one of the traces. */
async function tablesWith(traces: readonly string[]): Promise<string[]> {
  const { rows } = await admin.query<{ name: string }>(
    `select format('%I.%I', table_schema, table_name) as name from information_schema.tables
     where table_type = 'BASE TABLE' and table_schema not in ('pg_catalog', 'information_schema')
     order by 1`,
  );
  const found: string[] = [];
  for (const { name } of rows) {
    const hits = await admin.query(
      `select from ${name} as r where exists (
         select from unnest($1::text[]) as trace where position(trace in r::text) > 0) limit 1`,
      [traces],
    );
    if (hits.rowCount) found.push(name);
  }
  return found;
}
