import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { NOAA_STARTS_ON, noaaRainMm, noaaRows } from '../published/hydrology/noaa-rain.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
});
afterAll(() => service.close());

const newStation = (fields: object = {}) => ({
  code: `R-${randomUUID().slice(0, 8)}`,
  name: 'Hill station',
  source: 'Invented meteorological office',
  ...fields,
});

const postStation = (fields: object = {}) =>
  service.http.post('/v1/rain-stations').set(coordinator.auth).send(newStation(fields));

const makeStation = async (): Promise<string> => (await postStation().expect(201)).body.id;

const series = (fields: object = {}) => ({
  startsOn: '2026-01-01',
  dailyRainMm: [0, 12.5, 3],
  source: 'Invented gauge book',
  ...fields,
});

const postSeries = (stationId: string, body: object, headers: Record<string, string> = {}) =>
  service.http
    .post(`/v1/rain-stations/${stationId}/series`)
    .set(coordinator.auth)
    .set(headers)
    .send(body);

const postCsv = (stationId: string, text: string | Buffer, query = 'source=Gauge%20book') =>
  service.http
    .post(`/v1/rain-stations/${stationId}/series?${query}`)
    .set(coordinator.auth)
    .type('text/csv')
    .send(text);

const get = (path: string) => service.http.get(`/v1${path}`).set(coordinator.auth);

describe('rain stations', () => {
  it('keeps a station with its point and changes it against the version that was read', async () => {
    const made = await postStation({ latDeg: -1.28333, lonDeg: 36.81667 }).expect(201);
    expect(made.body).toMatchObject({ latDeg: -1.28333, lonDeg: 36.81667, version: 1 });
    const changed = await service.http
      .patch(`/v1/rain-stations/${made.body.id}`)
      .set(coordinator.auth)
      .set('if-match', '"v1"')
      .send({ name: 'Valley station' })
      .expect(200);
    expect(changed.body).toMatchObject({ name: 'Valley station', version: 2 });
    const { errors } = expectProblem(await postStation({ latDeg: 1 }), 422, 'invalid-content');
    expect(errors?.[0]?.pointer).toBe('/lonDeg');
  });
});

describe('rain series', () => {
  // Seattle 2012-2015 as vega-datasets distributes it (NOAA). Four whole years: the twelve monthly
  // means add up to a quarter of the total, the mean February carrying its quarter leap day.
  it('summarises four published years as a count by hand does', async () => {
    const dailyRainMm = noaaRainMm('seattle');
    const stationId = await makeStation();
    const made = await postSeries(stationId, series({ startsOn: NOAA_STARTS_ON, dailyRainMm }));
    expect(made.status, made.text).toBe(201);
    expect(made.headers.location).toBe(`/v1/rain-series/${made.body.id}`);
    expect(made.body).not.toHaveProperty('dailyRainMm');
    const totalRainMm = dailyRainMm.reduce((sum, rainMm) => sum + rainMm, 0);
    const { summary, ...head } = made.body;
    expect(head).toMatchObject({
      startsOn: '2012-01-01',
      endsOn: '2015-12-31',
      dayCount: 1461,
      missingDayCount: 0,
      missingOn: [],
      isCurrent: true,
    });
    expect(summary.wetDayCount).toBe(dailyRainMm.filter((rainMm) => rainMm >= 1).length);
    expect(summary.totalRainMm).toBeCloseTo(totalRainMm, 6);
    expect(summary.meanAnnualRainMm).toBeCloseTo(totalRainMm / 4, 6);
    const januaryRainMm = noaaRows('seattle-weather.csv')
      .filter(({ on }) => on.slice(5, 7) === '01')
      .reduce((sum, { rainMm }) => sum + rainMm, 0);
    expect(summary.meanRainByMonthMm[0]).toBeCloseTo(januaryRainMm / 4, 6);
    const read = await get(`/rain-series/${made.body.id}`).expect(200);
    expect(read.body).toEqual({ ...made.body, dailyRainMm });
  });

  it('reads the same days from a file with lines and columns in any order', async () => {
    const rows = noaaRows('seattle-weather.csv');
    const lines = rows.map(({ on, rainMm }) => `${String(rainMm).replace('.', ',')};${on}`);
    lines.sort();
    const stationId = await makeStation();
    const made = await postCsv(stationId, `\uFEFFrain_mm;date\r\n${lines.join('\r\n')}\r\n`);
    expect(made.status, made.text).toBe(201);
    expect(made.body).toMatchObject({
      startsOn: '2012-01-01',
      dayCount: 1461,
      source: 'Gauge book',
    });
    const read = await get(`/rain-series/${made.body.id}`).expect(200);
    expect(read.body.dailyRainMm).toEqual(rows.map(({ rainMm }) => rainMm));
  });

  it('names every bad line of a file and writes nothing', async () => {
    const stationId = await makeStation();
    const text = [
      'date,rain_mm',
      '2026-01-01,1.5',
      '2026-01-02,trace',
      '31/01/2026,0',
      '2026-01-01,2',
      '2026-01-04,-1',
      '2026-02-30,0',
      '2026-01-05,2001',
      '2026-01-06,"1,200"',
    ].join('\n');
    const problem = expectProblem(await postCsv(stationId, text), 422, 'invalid-content');
    expect(problem.errorCount).toBe(7);
    expect(problem.errors?.map(({ pointer, code }) => `${pointer} ${code}`)).toEqual([
      '/lines/3/rain_mm number.unreadable',
      '/lines/4/date date.unreadable',
      '/lines/5/date date.duplicate',
      '/lines/6/rain_mm number.out-of-range',
      '/lines/7/date date.unreadable',
      '/lines/8/rain_mm number.out-of-range',
      '/lines/9/rain_mm number.ambiguous',
    ]);
    expect(problem.errors?.[2]?.message).toContain('line 2');
    const list = await get(`/rain-stations/${stationId}/series`).expect(200);
    expect(list.body.items).toEqual([]);
  });

  it('refuses missing days by their dates until they are declared', async () => {
    const stationId = await makeStation();
    const text = 'date,rain_mm\n2026-03-01,4\n2026-03-02,\n2026-03-06,1\n';
    const refused = expectProblem(await postCsv(stationId, text), 422, 'rule-broken');
    expect(refused).toMatchObject({
      rule: 'missing-days-undeclared',
      missingDayCount: 4,
      missingOn: ['2026-03-02', '2026-03-03', '2026-03-04', '2026-03-05'],
    });
    expect(refused.errors?.[0]).toMatchObject({
      pointer: '/lines/3',
      message: '2026-03-02 to 2026-03-05 are missing, 4 days',
    });
    const onlyLines = 'date,rain_mm\n2026-03-01,4\n2026-03-03,1\n';
    const gap = expectProblem(await postCsv(stationId, onlyLines), 422, 'rule-broken');
    expect(gap.errors?.[0]).toMatchObject({
      pointer: '/lines/3',
      message: '2026-03-02 is missing',
    });
    const declared = await postCsv(stationId, text, 'source=Book&missingDaysDeclared=true');
    expect(declared.status, declared.text).toBe(201);
    expect(declared.body).toMatchObject({
      missingDayCount: 4,
      missingOn: ['2026-03-02', '2026-03-03', '2026-03-04', '2026-03-05'],
      missingDaysDeclared: true,
    });
    const json = series({ dailyRainMm: [1, null, 2] });
    const { errors } = expectProblem(await postSeries(stationId, json), 422, 'rule-broken');
    expect(errors?.[0]).toMatchObject({
      pointer: '/dailyRainMm/1',
      message: '2026-01-02 is missing',
    });
    await postSeries(stationId, { ...json, missingDaysDeclared: true }).expect(201);
  });

  it('adds series and never changes one: the newest is the current one', async () => {
    const stationId = await makeStation();
    const first = (await postSeries(stationId, series()).expect(201)).body;
    const second = (await postSeries(stationId, series({ dailyRainMm: [9] })).expect(201)).body;
    const list = await get(`/rain-stations/${stationId}/series`).expect(200);
    const shown = list.body.items.map((item: typeof first) => [item.id, item.isCurrent]);
    expect(shown).toEqual([
      [second.id, true],
      [first.id, false],
    ]);
    expect(list.body.items[0]).not.toHaveProperty('dailyRainMm');
    const page = await get(`/rain-stations/${stationId}/series?limit=1`).expect(200);
    const cursor = encodeURIComponent(page.body.nextCursor);
    const rest = await get(`/rain-stations/${stationId}/series?limit=1&cursor=${cursor}`);
    expect(rest.body.items.map((item: typeof first) => item.id)).toEqual([first.id]);
    const change = service.as(coordinator, (tx) =>
      tx.sql('update rain_series set source = $1 where organisation_id = $2', [
        'changed',
        coordinator.organisationId,
      ]),
    );
    await expect(change).rejects.toThrow(/permission denied/);
  });

  it('takes sixty years of days, as JSON and as a file', async () => {
    const dayCount = 60 * 365 + 15;
    const dailyRainMm = Array.from({ length: dayCount }, (_, day) => (day % 7) * 1.25);
    const stationId = await makeStation();
    const asJson = await postSeries(stationId, series({ startsOn: '1966-01-01', dailyRainMm }));
    expect(asJson.body).toMatchObject({ dayCount, endsOn: '2025-12-31' });
    const day = (index: number) =>
      new Date(Date.UTC(1966, 0, 1 + index)).toISOString().slice(0, 10);
    const lines = dailyRainMm.map((rainMm, index) => `${day(index)},${rainMm}`);
    const asFile = await postCsv(stationId, `date,rain_mm\n${lines.join('\n')}`);
    expect(asFile.body).toMatchObject({ dayCount, summary: asJson.body.summary });
  });

  it('names a day that is not acceptable by its place', async () => {
    const stationId = await makeStation();
    const { errors } = expectProblem(
      await postSeries(stationId, series({ dailyRainMm: [0, -2, 2500] })),
      422,
      'invalid-content',
    );
    expect(errors?.map(({ pointer }) => pointer)).toEqual(['/dailyRainMm/1', '/dailyRainMm/2']);
    const empty = series({ dailyRainMm: [null, null], missingDaysDeclared: true });
    expectProblem(await postSeries(stationId, empty), 422, 'out-of-range');
  });

  it('refuses files that are not UTF-8, lack a column, or do not say where they come from', async () => {
    const stationId = await makeStation();
    const windows = Buffer.from('date,rain_mm\n2026-01-01,1\n# M\xe9t\xe9o\n', 'latin1');
    const bytes = expectProblem(await postCsv(stationId, windows), 422, 'invalid-content');
    expect(bytes.errors?.[0]).toMatchObject({ pointer: '/lines/3', code: 'text.not-utf-8' });
    const columns = expectProblem(
      await postCsv(stationId, 'date,rain,station\n2026-01-01,1,A\n'),
      422,
      'invalid-content',
    );
    expect(columns.errors?.map(({ code }) => code)).toEqual([
      'column.unknown',
      'column.unknown',
      'column.missing',
    ]);
    const source = expectProblem(
      await postCsv(stationId, 'date,rain_mm\n2026-01-01,1\n', ''),
      422,
      'invalid-content',
    );
    expect(source.errors?.[0]?.pointer).toBe('/source');
    const picture = service.http.post(`/v1/rain-stations/${stationId}/series`);
    expectProblem(
      await picture.set(coordinator.auth).type('image/png').send(Buffer.from('x')),
      415,
      'unsupported-media-type',
    );
  });

  it('answers a repeated key once', async () => {
    const stationId = await makeStation();
    const key = { 'idempotency-key': randomUUID() };
    const first = await postSeries(stationId, series(), key).expect(201);
    const again = await postSeries(stationId, series(), key).expect(201);
    expect(again.body).toEqual(first.body);
    expect(again.headers['idempotency-replayed']).toBe('true');
    const list = await get(`/rain-stations/${stationId}/series`).expect(200);
    expect(list.body.items).toHaveLength(1);
  });

  it('shows and takes nothing across organisations or without the permission', async () => {
    const stationId = await makeStation();
    const made = await postSeries(stationId, series()).expect(201);
    const stranger = await service.person(['coordinator']);
    for (const path of [`rain-stations/${stationId}/series`, `rain-series/${made.body.id}`]) {
      const answer = await service.http.get(`/v1/${path}`).set(stranger.auth);
      expectProblem(answer, 404, 'not-found');
    }
    const foreign = service.http.post(`/v1/rain-stations/${stationId}/series`).set(stranger.auth);
    expectProblem(await foreign.send(series()), 404, 'not-found');
    const supervisor = await service.person(['supervisor'], coordinator.organisationId);
    const path = `/v1/rain-stations/${stationId}/series`;
    await service.http.get(path).set(supervisor.auth).expect(200);
    expectProblem(
      await service.http.post(path).set(supervisor.auth).send(series()),
      403,
      'forbidden',
    );
  });
});
