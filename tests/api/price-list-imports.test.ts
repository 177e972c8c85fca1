import { randomBytes, randomUUID } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  materialImport,
  materialImportWithPreview,
} from '../../shared/contract/material-import.ts';
import { rawWorkbook, workbook } from '../support/archive.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const CSV = 'text/csv';
const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';
const HEADER =
  'supplier_code,material_code,pack_code,pack_content,price_per_pack,currency,minimum_packs,maximum_packs,order_cost,lead_days,valid_from,valid_until,breaks';

let service: TestService;
/** Each test has an organisation of its own, since a price list speaks of all of it. */
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
});
afterAll(() => service.close());

async function newOrganisation() {
  coordinator = await service.person(['coordinator']);
  const made = recordsOf(service, coordinator);
  const supplier = await made.supplier({ code: 'MILL' });
  const cement = await made.material({ code: 'cement' });
  const sand = await made.material({ code: 'sand', category: 'aggregate', unitCode: 'MTQ' });
  return { made, supplier, cement, sand };
}

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);

const send = (
  file: string | Buffer,
  query: Record<string, string> = {},
  { type = CSV, person = coordinator } = {},
) =>
  service.http.post('/v1/price-list-imports').query(query).set(person.auth).type(type).send(file);

async function dryRun(file: string | Buffer, type = CSV) {
  const answer = await send(file, { mode: 'dry-run' }, { type });
  expect(answer.status, answer.text).toBe(201);
  return materialImportWithPreview.parse(answer.body);
}

const apply = (file: string | Buffer, planHash: string, type = CSV) =>
  send(file, { mode: 'apply', planHash }, { type });

async function importWhole(file: string | Buffer, type = CSV) {
  const plan = await dryRun(file, type);
  expect(plan.errors).toEqual([]);
  const applied = await apply(file, plan.planHash, type);
  expect(applied.status, applied.text).toBe(201);
  return materialImportWithPreview.parse(applied.body);
}

const list = (...rows: string[]) => [HEADER, ...rows].join('\r\n');

const offersOf = async (query = '') => (await get(`offers${query}`).expect(200)).body.items;

const faultsOf = ({ errors }: { errors: { line: number; column: string; code: string }[] }) =>
  errors.map(({ line, column, code }) => `${line} ${column} ${code}`);

const CEMENT = 'MILL,cement,X5M,50,8.40,EUR,10,,12.5,5,2026-11-01,2027-03-31,100=8.10;400=7.95';
const SAND = 'MILL,sand,MTQ,1,"18,5",EUR,,40,,3,2026-11-01,2027-03-31,';

describe('a price list', () => {
  it('is judged whole without a trace, then applied whole', async () => {
    const { supplier, cement } = await newOrganisation();
    const plan = await dryRun(list(CEMENT, SAND));
    expect(plan).toMatchObject({
      kind: 'price-list',
      state: 'checked',
      rowCount: 2,
      createdCount: 2,
      updatedCount: 0,
    });
    expect(plan.preview.map(({ line, label, action }) => `${line} ${label} ${action}`)).toEqual([
      '2 MILL cement X5M 50 create',
      '3 MILL sand MTQ 1 create',
    ]);
    expect(await offersOf()).toEqual([]);
    await apply(list(CEMENT, SAND), plan.planHash).expect(201);
    const offers = await offersOf(`?materialId=${cement.id}`);
    expect(offers).toMatchObject([
      {
        supplierId: supplier.id,
        packCode: 'X5M',
        packContent: '50',
        pricePerPack: '8.4',
        currency: 'EUR',
        minimumPacks: 10,
        maximumPacks: null,
        orderCost: '12.5',
        leadDays: 5,
        validFrom: '2026-11-01',
        validUntil: '2027-03-31',
        priceBreaks: [
          { fromPacks: 100, pricePerPack: '8.1' },
          { fromPacks: 400, pricePerPack: '7.95' },
        ],
        breakRule: 'all-units',
        withdrawnOn: null,
      },
    ]);
    expect((await offersOf()).map((offer: { pricePerPack: string }) => offer.pricePerPack)).toEqual(
      expect.arrayContaining(['18.5']),
    );
  });

  it('ends the offers of the same supplier, material and pack that it replaces', async () => {
    const { made, supplier, cement } = await newOrganisation();
    const common = { supplierId: supplier.id, materialId: cement.id };
    const old = await made.offer({ ...common, validFrom: '2026-10-01', validUntil: '2027-03-31' });
    const ended = await made.offer({
      ...common,
      validFrom: '2026-01-01',
      validUntil: '2026-10-31',
    });
    const otherPack = await made.offer({ ...common, packContent: '25' });
    const otherSupplier = await made.offer({ materialId: cement.id });
    const applied = await importWhole(list(CEMENT));
    expect(applied).toMatchObject({ createdCount: 0, updatedCount: 1 });
    expect(applied.preview[0]?.changes).toEqual(
      expect.arrayContaining([
        { field: 'pricePerPack', from: '7.45', to: '8.4' },
        { field: 'breaks', from: null, to: '100=8.1;400=7.95' },
      ]),
    );
    const withdrawn = new Map<string, string | null>();
    for (const { id, withdrawnOn } of await offersOf()) withdrawn.set(id, withdrawnOn);
    expect(withdrawn.get(old.id)).toBe('2026-11-01');
    expect([ended, otherPack, otherSupplier].map(({ id }) => withdrawn.get(id))).toEqual([
      null,
      null,
      null,
    ]);
    const trail = await service.as(coordinator, (tx) =>
      tx.sql<{ action: string }>(
        `select action from audit_entry where organisation_id = $1 and detail = $2 order by action`,
        [coordinator.organisationId, JSON.stringify({ materialImportId: applied.id })],
      ),
    );
    expect(trail.map(({ action }) => action)).toEqual(['create', 'withdraw']);
  });

  it('goes out and comes in again unchanged', async () => {
    const { made, supplier, cement, sand } = await newOrganisation();
    const common = { supplierId: supplier.id, materialId: cement.id };
    await made.offer({ ...common, pricePerPack: '7.40', orderCost: '3.50', maximumPacks: 900 });
    await made.offer({
      ...common,
      packContent: '25.5',
      priceBreaks: [{ fromPacks: 20, pricePerPack: '7.10' }],
      breakRule: 'incremental',
    });
    const ending = await made.offer({ ...common, materialId: sand.id, packContent: '1' });
    const never = await made.offer({ ...common, materialId: sand.id, packContent: '2' });
    for (const [{ id, validFrom }, day] of [
      [ending, '2026-12-24'],
      [never, null],
    ] as const) {
      await service.http
        .post(`/v1/offers/${id}/withdrawals`)
        .set(coordinator.auth)
        .send({ withdrawnOn: day ?? validFrom })
        .expect(200);
    }
    const before = await offersOf();
    const file = await get('offers.csv').expect(200);
    expect(file.headers['content-disposition']).toContain('price-list.csv');
    const rows = parse<Record<string, string>>(file.text, { columns: true, bom: true });
    expect(rows).toHaveLength(3);
    expect(rows[2]).toMatchObject({ material_code: 'sand', valid_until: '2026-12-23' });
    const applied = await importWhole(file.text);
    expect(applied).toMatchObject({ createdCount: 0, updatedCount: 0, unchangedCount: 3 });
    expect(await offersOf()).toEqual(before);
    const other = await service.person(['coordinator']);
    expect(parse((await get('offers.csv', other).expect(200)).text, { bom: true })).toHaveLength(1);
    const narrow = await get(`offers.csv?materialId=${sand.id}&validOn=2026-12-24`).expect(200);
    expect(parse(narrow.text, { bom: true })).toHaveLength(1);
  });

  it('comes as a workbook too', async () => {
    const { cement } = await newOrganisation();
    const file = await workbook([
      HEADER.split(','),
      [
        ...['MILL', 'cement', 'x5m', 50, 8.4, 'EUR', null, null, null, 5],
        ...[new Date('2026-11-01T00:00:00Z'), '2027-03-31', '100=8.10'],
      ],
    ]);
    await importWhole(file, XLSX);
    expect(await offersOf(`?materialId=${cement.id}`)).toMatchObject([
      { packCode: 'X5M', pricePerPack: '8.4', validFrom: '2026-11-01', minimumPacks: 1 },
    ]);
  });

  it('names every bad value with its line, and writes nothing of it', async () => {
    await newOrganisation();
    const change = (index: number, value: string) => CEMENT.split(',').with(index, value).join(',');
    const file = list(
      change(0, 'MIL'),
      change(1, 'cemnt'),
      change(2, 'sack'),
      change(4, '8.405'),
      change(5, 'EURO'),
      change(6, '0'),
      change(7, '9'),
      change(8, '-1'),
      change(10, '1/11/2026'),
      change(11, '2026-10-31'),
      change(12, 'many'),
      change(12, '100=8.10;100=8.00'),
      change(12, '100=8.40'),
      change(3, ''),
    );
    const plan = await dryRun(file);
    expect(faultsOf(plan)).toEqual([
      '2 supplier_code supplier.unknown',
      '3 material_code material.unknown',
      '4 pack_code value.out-of-range',
      '5 price_per_pack value.out-of-range',
      '6 currency value.out-of-range',
      '7 minimum_packs value.out-of-range',
      '8 maximum_packs value.out-of-range',
      '8 breaks value.out-of-range',
      '8 breaks value.out-of-range',
      '9 order_cost value.out-of-range',
      '10 valid_from date.unreadable',
      '11 valid_until value.out-of-range',
      '12 breaks breaks.unreadable',
      '13 breaks value.out-of-range',
      '14 breaks value.out-of-range',
      '15 pack_content value.missing',
    ]);
    expect(plan.errors[0]).toMatchObject({ value: 'MIL', hint: expect.stringContaining('MILL') });
    expect(plan.errors[3]).toMatchObject({ value: '8.405', hint: expect.stringContaining('EUR') });
    const refused = expectProblem(await apply(file, plan.planHash), 422, 'invalid-content');
    expect(refused.errors?.[0]?.pointer).toBe('/lines/2/supplier_code');
    expect(await offersOf()).toEqual([]);
    const csv = await get(`price-list-imports/${plan.id}/errors.csv`).expect(200);
    const listed = parse<Record<string, string>>(csv.text, { columns: true, bom: true });
    expect(listed).toHaveLength(16);
    expect(listed[0]).toMatchObject({ line: '2', column: 'supplier_code', value: 'MIL' });
    const { preview: _, ...recorded } = plan;
    const read = await get(`price-list-imports/${plan.id}`).expect(200);
    expect(materialImport.parse(read.body)).toEqual(recorded);
  });

  it('does not hold two offers of one pack together', async () => {
    await newOrganisation();
    const later = CEMENT.replace('2026-11-01', '2027-01-01');
    const apart = CEMENT.replace('2026-11-01,2027-03-31', '2027-04-01,2027-05-31');
    const plan = await dryRun(list(CEMENT, later, apart));
    expect(faultsOf(plan)).toEqual(['3 valid_from row.overlaps']);
    expect(plan.errors[0]?.hint).toContain('line 2');
    await importWhole(list(CEMENT, apart));
    // beside an offer that stands and that the file keeps
    const again = await dryRun(list(CEMENT, later));
    expect(faultsOf(again)).toEqual(['3 valid_from row.overlaps']);
  });

  it('is not applied when offers, the file or the plan are others', async () => {
    const { made, supplier, cement } = await newOrganisation();
    const file = list(CEMENT);
    const plan = await dryRun(file);
    const made409 = async (sent: string, hash: string) =>
      expectProblem(await apply(sent, hash), 409, 'conflict').detail;
    expect(await made409(`${file}\r\n`, plan.planHash)).toContain('not the file');
    expect(await made409(file, 'made-up')).toContain('No dry run');
    await made.offer({ supplierId: supplier.id, materialId: cement.id });
    expect(await made409(file, plan.planHash)).toContain('changed since the dry run');
    const noHash = expectProblem(await send(file, { mode: 'apply' }), 422, 'invalid-content');
    expect(noHash.errors?.[0]?.pointer).toBe('/planHash');
  });

  it('is sent by who may write offers, and read within the organisation', async () => {
    await newOrganisation();
    const keeper = await service.person(['storekeeper'], coordinator.organisationId);
    expectProblem(await send(list(CEMENT), {}, { person: keeper }), 403, 'forbidden');
    const { id } = await dryRun(list(CEMENT));
    const stranger = await service.person(['coordinator']);
    for (const path of [`price-list-imports/${id}`, `price-list-imports/${id}/errors.csv`]) {
      expectProblem(await get(path, stranger), 404, 'not-found');
    }
    expectProblem(await get(`price-list-imports/${randomUUID()}`), 404, 'not-found');
    // the other organisation has no such supplier and material
    const foreign = materialImportWithPreview.parse(
      (await send(list(CEMENT), {}, { person: stranger }).expect(201)).body,
    );
    expect(faultsOf(foreign)).toEqual([
      '2 supplier_code supplier.unknown',
      '2 material_code material.unknown',
    ]);
  });
});

describe('a hostile price list', () => {
  it('is refused as every file is', async () => {
    await newOrganisation();
    const refusals: [Buffer | string, string, number, string][] = [
      [Buffer.from([0xff, 0xfe, 0x00, 0xd8]), CSV, 422, 'invalid-content'],
      [`${HEADER}\n"MILL`, CSV, 422, 'invalid-content'],
      ['', CSV, 422, 'invalid-content'],
      [randomBytes(500), XLSX, 422, 'invalid-content'],
      [list(...Array<string>(20_001).fill('x')), CSV, 413, 'too-large'],
      [`a,${'b,'.repeat(300)}\n`, CSV, 413, 'too-large'],
      [list(`MILL,${'c'.repeat(10_001)}`), CSV, 413, 'too-large'],
      [rawWorkbook(Buffer.alloc(70 * 1024 * 1024, 32)), XLSX, 413, 'too-large'],
    ];
    for (const [file, type, status, code] of refusals) {
      const answer = await send(file, {}, { type });
      expectProblem(answer, status, code);
    }
    expectProblem(await send('x', {}, { type: 'image/png' }), 415, 'unsupported-media-type');
    const formula = await dryRun(list(CEMENT.replace('MILL', '=cmd|x')));
    expect(faultsOf(formula)).toEqual(['2 supplier_code value.out-of-range']);
    const csv = await get(`price-list-imports/${formula.id}/errors.csv`).expect(200);
    expect(csv.text).toContain("'=cmd|x");
  });

  it('names columns that are unknown or missing, once', async () => {
    await newOrganisation();
    const plan = await dryRun('supplier,material_code,price,colour\nMILL,cement,8.40,grey\n');
    expect(faultsOf(plan)).toEqual([
      '1 supplier column.unknown',
      '1 price column.unknown',
      '1 colour column.unknown',
      ...[
        'supplier_code',
        'pack_code',
        'pack_content',
        'price_per_pack',
        'currency',
        'lead_days',
        'valid_from',
        'valid_until',
      ].map((name) => `1 ${name} column.missing`),
    ]);
    expect(plan.errors[1]?.hint).toBe('did you mean price_per_pack?');
  });
});
