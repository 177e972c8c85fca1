import { randomBytes, randomUUID } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { siteImport, siteImportWithPreview } from '../../shared/contract/site-import.ts';
import { archive, rawWorkbook, workbook } from '../support/archive.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-01';
const CSV = 'text/csv';
const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';
const HEADER = 'code,village,kind,roof_area_m2,roof_kind,people';

let service: TestService;
let coordinator: TestPerson;
let villageId: string;

/** Built before the service starts, whose own measure of load would take notice. */
let bombs: Record<'blank' | 'lying' | 'repeated' | 'manyRuns', Buffer>;

beforeAll(async () => {
  bombs = makeBombs();
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator']);
  villageId = (await recordsOf(service, coordinator).village({ code: 'V-NORTH' })).id;
  await recordsOf(service, coordinator).village({ code: 'V-SOUTH' });
});
afterAll(() => service.close());

const makeProgramme = async () => (await recordsOf(service, coordinator).programme()).id;

const send = (
  programmeId: string,
  file: string | Buffer,
  query: Record<string, string> = {},
  { type = CSV, person = coordinator, headers = {} as Record<string, string> } = {},
) =>
  service.http
    .post(`/v1/programmes/${programmeId}/site-imports`)
    .query(query)
    .set(person.auth)
    .set(headers)
    .type(type)
    .send(file);

const apply = (programmeId: string, file: string | Buffer, planHash: string, type = CSV) =>
  send(programmeId, file, { mode: 'apply', planHash }, { type });

async function dryRun(programmeId: string, file: string | Buffer, type = CSV) {
  const answer = await send(programmeId, file, { mode: 'dry-run' }, { type });
  expect(answer.status, answer.text).toBe(201);
  return siteImportWithPreview.parse(answer.body);
}

const sitesOf = async (programmeId: string) =>
  service.as(coordinator, (tx) =>
    tx.sql<Record<string, unknown>>(
      `select s.*, c.contact_name, c.phone, c.lat_deg, c.consent_on, c.version as contact_version
       from site s left join site_contact c on c.organisation_id = s.organisation_id and c.id = s.id
       where s.organisation_id = $1 and s.programme_id = $2 order by s.code`,
      [coordinator.organisationId, programmeId],
    ),
  );

const faultsOf = ({ errors }: { errors: { line: number; column: string; code: string }[] }) =>
  errors.map(({ line, column, code }) => `${line} ${column} ${code}`);

const lines = (count: number) =>
  Array.from(
    { length: count },
    (_, index) => `H-${String(index).padStart(5, '0')},V-NORTH,household,42.5,metal-sheet,6`,
  );

describe('a file of five hundred sites', () => {
  it('names exactly the three bad rows, writes nothing, and applies once corrected', async () => {
    const programmeId = await makeProgramme();
    const good = lines(500);
    const bad = [...good];
    bad[9] = 'H-00009,V-NORHT,household,42.5,metal-sheet,6';
    bad[249] = 'H-00249,V-NORTH,household,-42.5,metal-sheet,six';
    bad[499] = 'H-00000,V-NORTH,household,42.5,metal-sheet,6';
    const file = [HEADER, ...bad].join('\n');
    const checked = await dryRun(programmeId, file);
    expect(faultsOf(checked)).toEqual([
      '11 village village.unknown',
      '251 roof_area_m2 value.out-of-range',
      '251 people number.unreadable',
      '501 code code.duplicate',
    ]);
    expect(checked.errors.map(({ value }) => value)).toEqual([
      'V-NORHT',
      '-42.5',
      'six',
      'H-00000',
    ]);
    expect(checked.errors[0]?.hint).toContain('V-NORTH');
    expect(checked.errors[3]?.hint).toContain('line 2');
    expect(checked).toMatchObject({
      state: 'rejected',
      rowCount: 500,
      errorCount: 4,
      createdCount: 497,
    });
    const refused = expectProblem(
      await apply(programmeId, file, checked.planHash),
      422,
      'invalid-content',
    );
    expect(refused.errors?.map(({ pointer }) => pointer)).toEqual([
      '/lines/11/village',
      '/lines/251/roof_area_m2',
      '/lines/251/people',
      '/lines/501/code',
    ]);
    expect(await sitesOf(programmeId)).toEqual([]);

    const corrected = [HEADER, ...good].join('\n');
    const plan = await dryRun(programmeId, corrected);
    expect(plan).toMatchObject({ state: 'checked', errorCount: 0, createdCount: 500 });
    expect(plan.preview).toHaveLength(50);
    expect(await sitesOf(programmeId)).toEqual([]);
    const applied = await apply(programmeId, corrected, plan.planHash);
    expect(applied.status, applied.text).toBe(201);
    expect(applied.body).toMatchObject({ state: 'applied', createdCount: 500 });
    const sites = await sitesOf(programmeId);
    expect(sites).toHaveLength(500);
    expect(sites[9]).toMatchObject({
      code: 'H-00009',
      village_id: villageId,
      roof_area_m2: 42.5,
      people_served: 6,
      version: 1,
    });
    const trail = await service.as(coordinator, (tx) =>
      tx.sql(`select from audit_entry where organisation_id = $1 and detail = $2`, [
        coordinator.organisationId,
        JSON.stringify({ siteImportId: applied.body.id }),
      ]),
    );
    expect(trail).toHaveLength(500);
  });
});

describe('a dry run', () => {
  it('previews what each row makes, changes and leaves', async () => {
    const programmeId = await makeProgramme();
    const first = [HEADER, ...lines(3)].join('\n');
    await apply(programmeId, first, (await dryRun(programmeId, first)).planHash).expect(201);
    const second = [
      HEADER,
      'H-00000,V-NORTH,household,42.5,metal-sheet,6',
      'H-00001,V-SOUTH,school,42.5,metal-sheet,6',
      'H-00009,V-SOUTH,clinic,80,tile,12',
    ].join('\n');
    const plan = await dryRun(programmeId, second);
    expect(plan).toMatchObject({ createdCount: 1, updatedCount: 1, unchangedCount: 1 });
    expect(plan.preview.map(({ line, action }) => `${line} ${action}`)).toEqual([
      '2 unchanged',
      '3 update',
      '4 create',
    ]);
    expect(plan.preview[1]?.changes).toEqual([
      { field: 'village', from: 'V-NORTH', to: 'V-SOUTH' },
      { field: 'kind', from: 'household', to: 'school' },
    ]);
    expect(plan.preview[2]?.siteId).toBeNull();
    await apply(programmeId, second, plan.planHash).expect(201);
    const versions = (await sitesOf(programmeId)).map(({ code, version }) => `${code} ${version}`);
    expect(versions).toEqual(['H-00000 1', 'H-00001 2', 'H-00002 1', 'H-00009 1']);
  });

  it('is recorded, with every error to download beside the first thousand', async () => {
    const programmeId = await makeProgramme();
    const rows = lines(1_200).map((line) => line.replace('metal-sheet', '=cmd|x'));
    const made = await send(programmeId, [HEADER, ...rows].join('\n'), {
      fileName: '../../etc/"sites\u202e.csv\n',
    }).expect(201);
    expect(made.body).toMatchObject({ errorCount: 1_200, fileName: '_sites.csv', mode: 'dry-run' });
    expect(made.body.errors).toHaveLength(1_000);
    expect(made.headers.location).toBe(`/v1/site-imports/${made.body.id}`);
    const read = await service.http
      .get(`/v1/site-imports/${made.body.id}`)
      .set(coordinator.auth)
      .expect(200);
    const { preview: _, ...recorded } = made.body;
    expect(siteImport.parse(read.body)).toEqual(recorded);
    const file = await service.http
      .get(`/v1/site-imports/${made.body.id}/errors.csv`)
      .set(coordinator.auth)
      .expect(200);
    expect(file.headers['content-disposition']).toMatch(
      /^attachment; filename="site-import-errors/,
    );
    const listed = parse<Record<string, string>>(file.text, { columns: true, bom: true });
    expect(listed).toHaveLength(1_200);
    expect(listed[1_199]).toMatchObject({
      line: '1201',
      column: 'roof_kind',
      code: 'choice.unknown',
      value: "'=cmd|x",
    });
    const stranger = await service.person(['coordinator']);
    for (const path of ['', '/errors.csv']) {
      const answer = service.http.get(`/v1/site-imports/${made.body.id}${path}`).set(stranger.auth);
      expectProblem(await answer, 404, 'not-found');
    }
  });

  it('suggests columns, names missing ones, and does not repeat a line that is no header', async () => {
    const programmeId = await makeProgramme();
    const plan = await dryRun(programmeId, 'Code,Village,kind,Roof area,roof_kind,altitude\nx\n');
    expect(faultsOf(plan).slice(0, 4)).toEqual([
      '1 Roof area column.unknown',
      '1 altitude column.unknown',
      '1 roof_area_m2 column.missing',
      '1 people column.missing',
    ]);
    expect(plan.errors[0]?.hint).toBe('did you mean roof_area_m2?');
    const headless = await dryRun(programmeId, 'H-1,V-NORTH,household,40,tile,6,Jane Canary\n');
    expect(faultsOf(headless)).toEqual(['1  header.missing']);
    expect(JSON.stringify(headless)).not.toContain('Canary');
  });

  it('needs a file type, a programme and a permission that fit', async () => {
    const programmeId = await makeProgramme();
    const file = [HEADER, ...lines(1)].join('\n');
    expectProblem(await send(randomUUID(), file), 404, 'not-found');
    const stranger = await service.person(['coordinator']);
    expectProblem(await send(programmeId, file, {}, { person: stranger }), 404, 'not-found');
    const engineer = await service.person(['engineer'], coordinator.organisationId);
    expectProblem(await send(programmeId, file, {}, { person: engineer }), 403, 'forbidden');
    const picture = await send(programmeId, Buffer.from('x'), {}, { type: 'image/png' });
    expectProblem(picture, 415, 'unsupported-media-type');
    const noHash = expectProblem(
      await send(programmeId, file, { mode: 'apply' }),
      422,
      'invalid-content',
    );
    expect(noHash.errors?.[0]?.pointer).toBe('/planHash');
  });
});

describe('applying', () => {
  it('refuses when a site, a village or the file changed since the dry run', async () => {
    const programmeId = await makeProgramme();
    const file = [HEADER, ...lines(2)].join('\n');
    const plan = await dryRun(programmeId, file);
    const other = expectProblem(
      await apply(programmeId, `${file}\n`, plan.planHash),
      409,
      'conflict',
    );
    expect(other.detail).toContain('not the file');
    const made = await service.http
      .post('/v1/sites')
      .set(coordinator.auth)
      .send({
        programmeId,
        villageId,
        code: 'H-00001',
        kind: 'school',
        roofAreaM2: 10,
        roofKind: 'tile',
        peopleServed: 1,
      })
      .expect(201);
    const changed = expectProblem(await apply(programmeId, file, plan.planHash), 409, 'conflict');
    expect(changed.detail).toContain('changed since the dry run');
    expectProblem(await apply(programmeId, file, 'made-up'), 409, 'conflict');
    const again = await dryRun(programmeId, file);
    expect(again).toMatchObject({ createdCount: 1, updatedCount: 1 });
    await service.http
      .patch(`/v1/sites/${made.body.id}`)
      .set(coordinator.auth)
      .set('if-match', '"v1"')
      .send({ peopleServed: 2 })
      .expect(200);
    expectProblem(await apply(programmeId, file, again.planHash), 409, 'conflict');
    expect((await sitesOf(programmeId)).map(({ code }) => code)).toEqual(['H-00001']);
  });

  it('happens once when two people apply the same plan, and once for a repeated key', async () => {
    const programmeId = await makeProgramme();
    const file = [HEADER, ...lines(20)].join('\n');
    const { planHash } = await dryRun(programmeId, file);
    const both = await Promise.all([
      apply(programmeId, file, planHash),
      apply(programmeId, file, planHash),
    ]);
    expect(both.map(({ status }) => status).sort()).toEqual([201, 409]);
    expect(await sitesOf(programmeId)).toHaveLength(20);
    const next = `${file}\nH-00020,V-NORTH,household,42.5,metal-sheet,6`;
    const plan = await dryRun(programmeId, next);
    const query = { mode: 'apply', planHash: plan.planHash };
    const headers = { 'idempotency-key': randomUUID() };
    const first = await send(programmeId, next, query, { headers });
    const second = await send(programmeId, next, query, { headers });
    expect([first.status, second.status]).toEqual([201, 201]);
    expect(second.body).toEqual(first.body);
    expect(await sitesOf(programmeId)).toHaveLength(21);
  });

  it('leaves a field without a column as it is, and empties one with an empty cell', async () => {
    const programmeId = await makeProgramme();
    const columns = `${HEADER},ground_class,demand_l_per_day,agreed_on`;
    const run = async (file: string) =>
      apply(programmeId, file, (await dryRun(programmeId, file)).planHash).expect(201);
    await run(`${columns}\nA,V-NORTH,school,40,tile,0,firm-clay,120,2026-11-20\n`);
    await run(`${HEADER},ground_class\nA,V-NORTH,school,41,tile,0,\n`);
    const [site] = await sitesOf(programmeId);
    expect(site).toMatchObject({
      roof_area_m2: 41,
      ground_class: null,
      demand_l_per_day: 120,
      agreed_on: '2026-11-20',
      version: 2,
    });
  });
});

describe('contacts in a file', () => {
  const columns = `${HEADER},contact_name,phone,lat_deg,lon_deg,consent`;
  const row = (code: string, personal: string) => `${code},V-NORTH,household,40,tile,6,${personal}`;

  it('come with consent only, and are repeated nowhere', async () => {
    const programmeId = await makeProgramme();
    const file = [
      columns,
      row('A', 'Canary One,+000-CANARY,-1.283341,36.81667,yes'),
      row('B', 'Canary Two,,,,2026-11-02'),
      row('C', ',,,,no'),
      row('D', ',,,,'),
    ].join('\n');
    const plan = await dryRun(programmeId, file);
    expect(plan.errors).toEqual([]);
    expect(plan.preview.map(({ contact }) => contact)).toEqual(['set', 'set', 'none', 'none']);
    const applied = await apply(programmeId, file, plan.planHash).expect(201);
    const sites = await sitesOf(programmeId);
    expect(sites).toMatchObject([
      { contact_name: 'Canary One', phone: '+000-CANARY', lat_deg: '-1.28334', consent_on: TODAY },
      { contact_name: 'Canary Two', phone: null, lat_deg: null, consent_on: '2026-11-02' },
      { contact_version: null },
      { contact_version: null },
    ]);
    const record = await service.http
      .get(`/v1/site-imports/${applied.body.id}`)
      .set(coordinator.auth);
    for (const text of [JSON.stringify(plan), applied.text, record.text]) {
      expect(text).not.toMatch(/canary|1\.2833|36\.81/i);
    }
    const same = await dryRun(programmeId, file);
    expect(same).toMatchObject({ unchangedCount: 4, updatedCount: 0 });
    const changed = file.replace('+000-CANARY', '+000-CANARY-2');
    const update = await dryRun(programmeId, changed);
    expect(update).toMatchObject({ unchangedCount: 3, updatedCount: 1 });
    await apply(programmeId, changed, update.planHash).expect(201);
    expect((await sitesOf(programmeId))[0]).toMatchObject({ contact_version: 2, version: 1 });
    const withdrawn = await dryRun(programmeId, [columns, row('A', ',,,,no')].join('\n'));
    expect(faultsOf(withdrawn)).toEqual(['2 consent consent.withdrawn']);
  });

  it('are refused without consent, half a place or a readable number, without their values', async () => {
    const programmeId = await makeProgramme();
    const plan = await dryRun(
      programmeId,
      [
        columns,
        row('A', 'Canary One,,,,'),
        row('B', ',,91,36,yes'),
        row('C', ',,-1.5,,yes'),
        row('D', 'Canary\u0007,,,,maybe'),
        row('E', 'Canary,,,,2026-12-02'),
      ].join('\n'),
    );
    expect(faultsOf(plan)).toEqual([
      '2 consent consent.required',
      '3 lat_deg value.out-of-range',
      '4 lon_deg value.missing',
      '5 contact_name value.out-of-range',
      '5 consent consent.unreadable',
      '6 consent date.in-future',
    ]);
    expect(JSON.stringify(plan)).not.toMatch(/canary/i);
    const noConsent = await dryRun(programmeId, `${HEADER},phone\n${row('A', '+000')}\n`);
    expect(faultsOf(noConsent)).toEqual(['1 consent column.missing']);
  });

  it('need the permission to write contacts', async () => {
    const programmeId = await makeProgramme();
    const integrator = await service.person(['integrator'], coordinator.organisationId);
    const file = [columns, row('A', 'Canary One,,,,yes')].join('\n');
    const answer = await send(programmeId, file, {}, { person: integrator });
    expect(expectProblem(answer, 403, 'forbidden').detail).toContain('contacts:write');
    const without = [columns, row('A', ',,,,')].join('\n');
    await send(programmeId, without, {}, { person: integrator }).expect(201);
  });
});

describe('files as programs write them', () => {
  it('may have semicolons, decimal commas, spaces, a byte order mark, CRLF and line feeds in quotes', async () => {
    const programmeId = await makeProgramme();
    const file = [
      '\uFEFFcode;village;kind;roof_area_m2;roof_kind;people;runoff_coefficient;ground_class',
      '" A-1 ";V-NORTH;Household;42,5;Metal sheet;6;0,85;"firm',
      'clay"',
      ';;;;;;;',
      'A-2;V-NORTH;school;"1 200,5";tile;1\u202f100;;',
      'A-3;V-NORTH;school;"1,200";tile;7;;',
      'A-4;V-NORTH;school;40;tile;7;;;;too;many',
    ].join('\r\n');
    const plan = await dryRun(programmeId, file);
    expect(faultsOf(plan)).toEqual(['6 roof_area_m2 number.ambiguous', '7 column 10 row.too-long']);
    const good = file.split('\r\n').slice(0, 5).join('\r\n');
    await apply(programmeId, good, (await dryRun(programmeId, good)).planHash).expect(201);
    expect(await sitesOf(programmeId)).toMatchObject([
      { code: 'A-1', roof_area_m2: 42.5, runoff_coefficient: 0.85, ground_class: 'firm-clay' },
      { code: 'A-2', roof_area_m2: 1200.5, people_served: 1100 },
    ]);
  });

  it('are refused whole, by line, when they are not UTF-8 or a quote is out of place', async () => {
    const programmeId = await makeProgramme();
    const refusal = async (file: string | Buffer) => {
      const problem = expectProblem(await send(programmeId, file), 422, 'invalid-content');
      return `${problem.errors?.[0]?.pointer} ${problem.errors?.[0]?.code}`;
    };
    const latin = Buffer.from(`${HEADER}\nCaf\xe9,V-NORTH,household,40,tile,6\n`, 'latin1');
    expect(await refusal(latin)).toBe('/lines/2 text.not-utf-8');
    expect(await refusal(Buffer.from(`\uFEFF${HEADER}`, 'utf16le'))).toBe('/lines/1 text.utf-16');
    expect(await refusal(`${HEADER}\nA\u0000\n`)).toBe('/lines/2 text.binary');
    expect(await refusal(`${HEADER}\nA,B\n"A,V\nB\n`)).toBe('/lines/3 quote.not-closed');
    expect(await refusal(`${HEADER}\nA,B"C\n`)).toBe('/lines/2 quote.misplaced');
    expect(await refusal(' \n\n')).toBe(' file.empty');
  });

  it('may be workbooks, with dates, numbers and a hidden sheet in front', async () => {
    const programmeId = await makeProgramme();
    const file = await workbook(
      [
        [...HEADER.split(','), 'agreed_on', 'contact_name', 'consent'],
        ['A-1', 'V-NORTH', 'household', 42.5, 'metal-sheet', 6, new Date('2026-11-20'), 'X', true],
        [],
        ['A-2', 'V-NORTH', 'household', '42,5', 'metal-sheet', 6.5, 46_000, null, null],
      ],
      [['code'], ['not this one']],
    );
    const plan = await dryRun(programmeId, file, XLSX);
    expect(faultsOf(plan)).toEqual(['4 people value.out-of-range', '4 agreed_on date.unreadable']);
    expect(plan.preview).toMatchObject([{ line: 2, code: 'A-1', contact: 'set' }]);
    expect(plan.preview[0]?.changes).toContainEqual({
      field: 'agreedOn',
      from: null,
      to: '2026-11-20',
    });
  });

  it('may hold ten thousand rows in either format, written whole', async () => {
    const rows = lines(10_000).map((line) => line.split(','));
    const text = [HEADER, ...rows].join('\n');
    const sheet = await workbook([
      HEADER.split(','),
      ...rows.map(([code, village, kind, area, roof, people]) => [
        code ?? '',
        village ?? '',
        kind ?? '',
        Number(area),
        roof ?? '',
        Number(people),
      ]),
    ]);
    for (const [file, type] of [
      [text, CSV],
      [sheet, XLSX],
    ] as const) {
      const programmeId = await makeProgramme();
      const plan = await dryRun(programmeId, file, type);
      expect(plan).toMatchObject({ createdCount: 10_000, errorCount: 0 });
      await apply(programmeId, file, plan.planHash, type).expect(201);
      expect(await sitesOf(programmeId)).toHaveLength(10_000);
    }
  });
});

const sheetOf = (rows: string) => `<worksheet><sheetData>${rows}</sheetData></worksheet>`;

function makeBombs() {
  const blank = Buffer.alloc(90_000_000, ' ');
  const manyRuns = `<sst><si>${'<r/>'.repeat(13_000_000)}</si></sst>`;
  return {
    blank: rawWorkbook(blank),
    repeated: rawWorkbook(blank.subarray(0, 50_000_000)),
    lying: archive([
      { name: 'xl/workbook.xml', data: blank, declaredBytes: 400 },
      { name: 'xl/_rels/workbook.xml.rels', data: '' },
    ]),
    // Noise beside the runs keeps the ratio of the whole file low.
    manyRuns: rawWorkbook(sheetOf(''), [
      { name: 'xl/media/noise.bin', data: randomBytes(1_000_000) },
      { name: 'xl/sharedStrings.xml', data: manyRuns },
    ]),
  };
}

describe('hostile files', () => {
  async function expectAlive() {
    await service.http.get('/livez').expect(200);
    const programmeId = await makeProgramme();
    const small = await workbook([HEADER.split(','), ['A', 'V-NORTH', 'school', 40, 'tile', 6]]);
    expect((await dryRun(programmeId, small, XLSX)).errorCount).toBe(0);
  }

  it('are refused by their directory, their true size, their ratio or their number of parts', async () => {
    const programmeId = await makeProgramme();
    const refuse = async (file: Buffer) => {
      const answer = await send(programmeId, file, {}, { type: XLSX });
      return `${answer.status} ${answer.body.detail ?? answer.body.errors?.[0]?.code}`;
    };
    expect(await refuse(bombs.blank)).toMatch(/^413 .*60 MB/);
    expect(await refuse(bombs.lying)).toBe('422 xlsx.unreadable');
    expect(await refuse(bombs.repeated)).toMatch(/^413 .*100-fold/);
    const parts = Array.from({ length: 200 }, (_, index) => ({ name: `x/${index}`, data: 'x' }));
    expect(await refuse(rawWorkbook(sheetOf(''), parts))).toMatch(/^413 .*200 parts/);
    expect(await refuse(Buffer.from('PK\x03\x04 not really'))).toBe('422 xlsx.unreadable');
    expect(await refuse(rawWorkbook('<worksheet><sheetData><row'))).toBe('422 xlsx.cut-off');
    const wrongXml = sheetOf('<row r="1"></c></row>');
    expect(await refuse(rawWorkbook(wrongXml))).toBe('422 xlsx.unreadable');
    await expectAlive();
  });

  it('are refused by rows, columns and cells, in text and in workbooks', async () => {
    const programmeId = await makeProgramme();
    const refuse = async (file: string | Buffer, type = CSV) =>
      expectProblem(await send(programmeId, file, {}, { type }), 413, 'too-large').detail;
    expect(await refuse([HEADER, ...lines(50_001)].join('\n'))).toContain('50000 rows');
    expect(await refuse('\n'.repeat(60_000))).toContain('blank');
    expect(await refuse(`${HEADER}${',x'.repeat(195)}\n`)).toContain('200');
    expect(await refuse(`${HEADER}\n${'x'.repeat(10_001)}\n`)).toContain('10000');
    expect(await refuse(`${HEADER}\n"${'x\n'.repeat(1_500_000)}`)).toContain('line 2');
    const rows = Array.from(
      { length: 50_002 },
      (_, index) => `<row r="${index + 1}"><c r="A${index + 1}"><v>${index}</v></c></row>`,
    );
    expect(await refuse(rawWorkbook(sheetOf(rows.join(''))), XLSX)).toContain('50000 rows');
    const wide = sheetOf('<row r="1"><c r="GS1"><v>1</v></c></row>');
    expect(await refuse(rawWorkbook(wide), XLSX)).toContain('200 columns');
    await service.http
      .post(`/v1/programmes/${programmeId}/site-imports`)
      .set(coordinator.auth)
      .type(CSV)
      .send(Buffer.alloc(20 * 1024 * 1024 + 1, ' '))
      .expect(413);
    await expectAlive();
  });

  it('that take all the memory of a worker end the worker and not the service', async () => {
    const programmeId = await makeProgramme();
    expect(bombs.manyRuns.length).toBeLessThan(2_000_000);
    const answer = await send(programmeId, bombs.manyRuns, {}, { type: XLSX });
    expect(expectProblem(answer, 413, 'too-large').detail).toContain('time or memory');
    await expectAlive();
  }, 120_000);
});
