import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { site as siteShape } from '../../shared/contract/site.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-01';

let service: TestService;
let coordinator: TestPerson;
let programmeId: string;
let villageId: string;

beforeAll(async () => {
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator']);
  const records = recordsOf(service, coordinator);
  programmeId = (await records.programme()).id;
  villageId = (await records.village()).id;
});
afterAll(() => service.close());

const newSite = (fields: object = {}) => ({
  programmeId,
  villageId,
  code: `H-${randomUUID().slice(0, 8)}`,
  kind: 'household',
  roofAreaM2: 42.5,
  roofKind: 'metal-sheet',
  peopleServed: 6,
  ...fields,
});

const post = (fields: object = {}) =>
  service.http.post('/v1/sites').set(coordinator.auth).send(newSite(fields));

const makeSite = async (fields: object = {}): Promise<string> => {
  const made = await post(fields);
  expect(made.status, made.text).toBe(201);
  return made.body.id;
};

const get = (path: string, person = coordinator) => service.http.get(`/v1${path}`).set(person.auth);

const contact = (fields: object = {}) => ({
  contactName: 'Invented Neighbour',
  phone: '+000 555 0101',
  latDeg: -1.28334,
  lonDeg: 36.81667,
  consentGiven: true,
  ...fields,
});

const put = (siteId: string, body: object, headers: Record<string, string> = {}) =>
  service.http.put(`/v1/sites/${siteId}/contact`).set(coordinator.auth).set(headers).send(body);

describe('sites', () => {
  it('keeps a site with everything left open that nobody knows yet', async () => {
    const made = await post().expect(201);
    expect(siteShape.parse(made.body)).toMatchObject({
      runoffCoefficient: null,
      litresPerPersonPerDay: null,
      demandLPerDay: null,
      groundClass: null,
      agreedOn: null,
    });
    const path = `/v1/sites/${made.body.id}`;
    const patch = (headers: Record<string, string>, body: object) =>
      service.http.patch(path).set(coordinator.auth).set(headers).send(body);
    const changed = await patch(
      { 'if-match': '"v1"' },
      { groundClass: 'firm-clay', agreedOn: '2026-11-20', demandLPerDay: 120 },
    ).expect(200);
    expect(changed.body).toMatchObject({
      version: 2,
      groundClass: 'firm-clay',
      demandLPerDay: 120,
    });
    expectProblem(await patch({ 'if-match': '"v1"' }, { peopleServed: 7 }), 412, 'stale-version');
    const moved = await patch({ 'if-match': '"v2"' }, { programmeId });
    expect(expectProblem(moved, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/programmeId');
  });

  it('names every value that a site cannot have', async () => {
    const wrong = {
      kind: 'palace',
      roofAreaM2: 0,
      roofKind: 'gold',
      runoffCoefficient: 1.2,
      peopleServed: 2.5,
      groundClass: 'lava',
      agreedOn: '2026-02-30',
      contactName: 'Somebody',
    };
    const { errors } = expectProblem(await post(wrong), 422, 'invalid-content');
    const pointers = errors?.map(({ pointer }) => pointer).sort();
    expect(pointers).toEqual(
      Object.keys(wrong)
        .map((field) => `/${field}`)
        .sort(),
    );
    const nowhere = await post({ villageId: randomUUID() });
    expect(expectProblem(nowhere, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/villageId');
  });

  it('has a code once in a programme and again in another', async () => {
    const code = `H-${randomUUID().slice(0, 8)}`;
    await makeSite({ code });
    expectProblem(await post({ code }), 409, 'conflict');
    const other = (await recordsOf(service, coordinator).programme()).id;
    await makeSite({ code, programmeId: other });
  });

  it('lists the sites of one programme or one village', async () => {
    const records = recordsOf(service, coordinator);
    const [programme, village] = [(await records.programme()).id, (await records.village()).id];
    const here = await makeSite({ programmeId: programme, villageId: village, code: 'A-1' });
    const there = await makeSite({ programmeId: programme, code: 'A-2' });
    const idsOf = async (query: string) =>
      (await get(`/sites?${query}`).expect(200)).body.items.map(({ id }: { id: string }) => id);
    expect(await idsOf(`programmeId=${programme}`)).toEqual([here, there]);
    expect(await idsOf(`villageId=${village}`)).toEqual([here]);
    expect(await idsOf(`programmeId=${programme}&villageId=${villageId}`)).toEqual([there]);
  });

  it('shows nothing across organisations', async () => {
    const siteId = await makeSite();
    await put(siteId, contact()).expect(200);
    const stranger = await service.person(['coordinator']);
    for (const path of [`/sites/${siteId}`, `/sites/${siteId}/contact`]) {
      expectProblem(await get(path, stranger), 404, 'not-found');
    }
    const foreign = service.http.put(`/v1/sites/${siteId}/contact`).set(stranger.auth);
    expectProblem(await foreign.send(contact()), 404, 'not-found');
    const erase = service.http.delete(`/v1/sites/${siteId}/contact`).set(stranger.auth);
    expectProblem(await erase, 404, 'not-found');
    await get(`/sites/${siteId}/contact`).expect(200);
  });
});

describe('the contact of a site', () => {
  it('is kept apart from the site, for those who may see contacts', async () => {
    const siteId = await makeSite();
    expectProblem(await get(`/sites/${siteId}/contact`), 404, 'not-found');
    const kept = await put(siteId, contact()).expect(200);
    expect(kept.body).toMatchObject({ ...contact(), version: 1, consentOn: TODAY });
    const site = await get(`/sites/${siteId}`).expect(200);
    const list = await get(`/sites?programmeId=${programmeId}`).expect(200);
    for (const text of [site.text, list.text]) {
      expect(text).not.toMatch(/Neighbour|555 0101|-1\.28|36\.81|contact|phone|latDeg/);
    }
    const supervisor = await service.person(['supervisor'], coordinator.organisationId);
    const read = await get(`/sites/${siteId}/contact`, supervisor).expect(200);
    expect(read.headers.etag).toBe('"v1"');
    expect(read.headers['cache-control']).toBe('no-store');
    for (const role of ['engineer', 'admin', 'integrator'] as const) {
      const other = await service.person([role], coordinator.organisationId);
      await get(`/sites/${siteId}`, other).expect(200);
      expectProblem(await get(`/sites/${siteId}/contact`, other), 403, 'forbidden');
    }
    const attempt = service.http.put(`/v1/sites/${siteId}/contact`).set(supervisor.auth);
    expectProblem(await attempt.send(contact()), 403, 'forbidden');
  });

  it('keeps no personal datum without consent', async () => {
    const siteId = await makeSite();
    const refused = expectProblem(
      await put(siteId, contact({ consentGiven: false })),
      422,
      'rule-broken',
    );
    expect(refused.rule).toBe('consent-before-personal-data');
    expect(refused.errors?.map(({ pointer }) => pointer)).toEqual([
      '/contactName',
      '/phone',
      '/latDeg',
      '/lonDeg',
    ]);
    for (const field of ['contactName', 'phone']) {
      const only = { consentGiven: false, [field]: 'x 1' };
      expectProblem(await put(siteId, only), 422, 'rule-broken');
    }
    expectProblem(
      await put(siteId, { consentGiven: false, photoConsentGiven: true }),
      422,
      'rule-broken',
    );
    const { errors } = expectProblem(
      await put(siteId, contact({ latDeg: null, consentOn: '2026-12-02' })),
      422,
      'invalid-content',
    );
    expect(errors?.map(({ pointer }) => pointer)).toEqual(['/latDeg', '/consentOn']);
    expectProblem(await get(`/sites/${siteId}/contact`), 404, 'not-found');
    const bypass = service.as(coordinator, (tx) =>
      tx.sql(`insert into site_contact (organisation_id, id, phone) values ($1, $2, '1')`, [
        coordinator.organisationId,
        siteId,
      ]),
    );
    await expect(bypass).rejects.toThrow(/site_contact_consent_before_data/);
  });

  it('is replaced only against the version that was read', async () => {
    const siteId = await makeSite();
    await put(siteId, contact()).expect(200);
    expectProblem(await put(siteId, contact()), 428, 'precondition-required');
    const changed = await put(siteId, contact({ phone: null }), { 'if-match': '"v1"' }).expect(200);
    expect(changed.body).toMatchObject({ version: 2, phone: null });
    const stale = await put(siteId, contact(), { 'if-match': '"v1"' });
    expect(expectProblem(stale, 412, 'stale-version').currentEtag).toBe('"v2"');
    const gone = await makeSite();
    expectProblem(await put(gone, contact(), { 'if-match': '"v1"' }), 412, 'stale-version');
  });

  it('is erased with its traces, and the site stays', async () => {
    const siteId = await makeSite();
    await put(siteId, contact({ contactName: 'Zora "Zee" Canary-7f3', phone: '+000-CANARY-7f3' }));
    // A stored answer that repeats the name, as a careless code would make one.
    const key = { 'idempotency-key': randomUUID() };
    const careless = newSite();
    const made = service.http.post('/v1/sites').set(coordinator.auth).set(key);
    await made.send(careless).expect(201);
    await service.as(coordinator, (tx) =>
      tx.sql(`update idempotency_key set body = $2 where organisation_id = $1 and key = $3`, [
        coordinator.organisationId,
        JSON.stringify({ note: 'Home of Zora "Zee" Canary-7f3' }),
        key['idempotency-key'],
      ]),
    );
    const erased = await service.http
      .delete(`/v1/sites/${siteId}/contact`)
      .set(coordinator.auth)
      .expect(200);
    expect(erased.body).toEqual({ siteId, isErased: true, purgedAnswerCount: 1 });
    expectProblem(await get(`/sites/${siteId}/contact`), 404, 'not-found');
    await get(`/sites/${siteId}`).expect(200);
    const audit = await service.as(coordinator, (tx) =>
      tx.sql<{ action: string; detail: object }>(
        `select action, detail from audit_entry where organisation_id = $1 and noun = 'site contact' and record_id = $2
         order by recorded_at, action`,
        [coordinator.organisationId, siteId],
      ),
    );
    expect(audit).toEqual([
      { action: 'create', detail: {} },
      { action: 'erase', detail: { purgedAnswerCount: 1 } },
    ]);
    const again = service.http.post('/v1/sites').set(coordinator.auth).set(key);
    const replay = expectProblem(await again.send(careless), 409, 'conflict');
    expect(replay.detail).toContain('erased');
    const second = service.http.delete(`/v1/sites/${siteId}/contact`).set(coordinator.auth);
    expectProblem(await second, 404, 'not-found');
  });
});
