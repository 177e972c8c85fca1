import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { invitedPerson, person as personSchema } from '../../shared/contract/person.ts';
import { cookieOf, givePassword, PASSWORD, signIn } from '../support/credentials.ts';
import { eventually, query } from '../support/database-users.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let admin: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  admin = await service.person(['admin']);
});
afterAll(() => service.close());

const newPerson = (email: string, more: object = {}) => ({
  email,
  name: 'Invented Person',
  roles: ['supervisor'],
  ...more,
});
const post = (body: object, headers: Record<string, string> = {}, by = admin) =>
  service.http.post('/v1/people').set(by.auth).set(headers).send(body);
const get = (id: string, by = admin) => service.http.get(`/v1/people/${id}`).set(by.auth);
const patch = async (id: string, body: object, by = admin) => {
  const { headers } = await get(id, by);
  return service.http
    .patch(`/v1/people/${id}`)
    .set(by.auth)
    .set('if-match', headers.etag ?? '"v1"')
    .send(body);
};
const current = (headers: Record<string, string>) =>
  service.http.get('/v1/sessions/current').set(headers);

async function newDonor(by: TestPerson): Promise<string> {
  const id = randomUUID();
  await service.as(by, (tx) =>
    tx.sql(`insert into donor (organisation_id, id, code, name) values ($1, $2, $3, 'Invented')`, [
      by.organisationId,
      id,
      `D-${id.slice(0, 8)}`,
    ]),
  );
  return id;
}

describe('making people', () => {
  it('makes a person together with an invitation', async () => {
    const made = await post(newPerson('First@Example.ORG')).expect(201);
    const body = invitedPerson.parse(made.body);
    expect(body).toMatchObject({ email: 'first@example.org', hasAccount: false, version: 1 });
    expect(body.invitation.token).toMatch(/^[\w-]{43}$/);
    expect(body.invitation.acceptAt).toBe('/v1/invitation-acceptances');
    expect(made.headers.location).toBe(`/v1/people/${body.id}`);
    const read = await get(body.id).expect(200);
    const { invitation, ...person } = body;
    expect(invitation.personId).toBe(body.id);
    expect(read.body).toEqual(personSchema.parse(person));
    expect(read.headers.etag).toBe('"v1"');
    expect(read.text).not.toContain(invitation.token);
  });

  it('repeats the answer of a repeated key without the token, which it never stored', async () => {
    const key = { 'idempotency-key': randomUUID() };
    const first = await post(newPerson('keyed@example.org'), key).expect(201);
    const second = await post(newPerson('keyed@example.org'), key).expect(201);
    expect(second.headers['idempotency-replayed']).toBe('true');
    const { token, ...invitation } = first.body.invitation;
    expect(second.body).toEqual({ ...first.body, invitation: { ...invitation, token: null } });
    const stored = await service.as(admin, (tx) =>
      tx.sql<{ everything: string }>(
        `select (select string_agg(k::text, '') from idempotency_key k)
           || (select string_agg(a::text, '') from audit_entry a)
           || (select string_agg(i::text, '') from invitation i) as everything`,
      ),
    );
    expect(stored[0]?.everything).toContain('keyed@example.org');
    expect(stored[0]?.everything).not.toContain(token);
  });

  it('names values that are not acceptable, and what roles need', async () => {
    const pointersOf = async (body: object) =>
      expectProblem(await post(body), 422, 'invalid-content')
        .errors?.map(({ pointer }) => pointer)
        .sort();
    expect(await pointersOf({ email: 'no address', name: '', roles: [], admin: true })).toEqual([
      '/admin',
      '/email',
      '/name',
      '/roles',
    ]);
    expect(await pointersOf(newPerson('a@example.org', { roles: ['owner'] }))).toEqual([
      '/roles/0',
    ]);
    expect(await pointersOf(newPerson('a@example.org', { roles: ['admin', 'admin'] }))).toEqual([
      '/roles',
    ]);
    expect(await pointersOf(newPerson('a@example.org', { roles: ['donor', 'engineer'] }))).toEqual([
      '/donorId',
      '/engineerRegistrationNumber',
    ]);
    expect(
      await pointersOf(newPerson('a@example.org', { donorId: await newDonor(admin) })),
    ).toEqual(['/donorId']);
    const foreignDonor = await newDonor(await service.person(['admin']));
    expect(
      await pointersOf(newPerson('a@example.org', { roles: ['donor'], donorId: foreignDonor })),
    ).toEqual(['/donorId']);
    const { body } = await service.http.get('/v1/people?email=a@example.org').set(admin.auth);
    expect(body.items).toEqual([]);
  });

  it('takes an e-mail once in an organisation, and again in another', async () => {
    await post(newPerson('twice@example.org')).expect(201);
    expectProblem(await post(newPerson('Twice@example.org')), 409, 'conflict');
    const other = await service.person(['admin']);
    await post(newPerson('twice@example.org'), {}, other).expect(201);
  });

  it('is for administrators; others may read, or not even that', async () => {
    const coordinator = await service.person(['coordinator'], admin.organisationId);
    const storekeeper = await service.person(['storekeeper'], admin.organisationId);
    const stranger = await service.person(['admin', 'coordinator']);
    expectProblem(await post(newPerson('b@example.org'), {}, coordinator), 403, 'forbidden');
    await get(admin.personId, coordinator).expect(200);
    expectProblem(await get(admin.personId, storekeeper), 403, 'forbidden');
    expectProblem(await get(admin.personId, stranger), 404, 'not-found');
    expectProblem(await patch(admin.personId, { name: 'Mine' }, stranger), 404, 'not-found');
  });

  it('lists people of the organisation by e-mail, page by page', async () => {
    const boss = await service.person(['admin']);
    for (const email of ['c@example.org', 'a@example.org', 'b@example.org']) {
      await post(newPerson(email), {}, boss).expect(201);
    }
    const emails: string[] = [];
    let cursor = '';
    for (let page = 0; page < 2; page++) {
      const { body } = await service.http
        .get(`/v1/people?limit=2${cursor}`)
        .set(boss.auth)
        .expect(200);
      emails.push(...body.items.map(({ email }: { email: string }) => email));
      cursor = `&cursor=${body.nextCursor}`;
    }
    expect(emails).toEqual(['a@example.org', boss.email, 'b@example.org', 'c@example.org']);
    expect(cursor).toBe('&cursor=null');
  });
});

describe('changing people', () => {
  it('changes roles at once, for the sessions and tokens that are there', async () => {
    const worker = await service.person(['storekeeper'], admin.organisationId);
    expectProblem(await get(worker.personId, worker), 403, 'forbidden');
    await expectStatus(patch(worker.personId, { roles: ['storekeeper', 'coordinator'] }), 200);
    await get(worker.personId, worker).expect(200);
    const shown = await current(worker.auth).expect(200);
    expect(shown.body.permissions).toContain('programmes:write');
    await expectStatus(patch(worker.personId, { roles: ['storekeeper'] }), 200);
    expectProblem(await get(worker.personId, worker), 403, 'forbidden');
  });

  it('asks for what a new role needs, and forgets the donor of whoever stops being one', async () => {
    const worker = await service.person(['coordinator'], admin.organisationId);
    const donorId = await newDonor(admin);
    const missing = expectProblem(
      await patch(worker.personId, { roles: ['donor', 'engineer'] }),
      422,
      'invalid-content',
    );
    expect(missing.errors?.map(({ pointer }) => pointer)).toEqual([
      '/donorId',
      '/engineerRegistrationNumber',
    ]);
    const donor = await patch(worker.personId, { roles: ['donor'], donorId });
    expect(donor.body).toMatchObject({ roles: ['donor'], donorId });
    const engineer = await patch(worker.personId, {
      roles: ['engineer'],
      engineerRegistrationNumber: 'REG-77',
    });
    expect(engineer.body).toMatchObject({
      roles: ['engineer'],
      donorId: null,
      engineerRegistrationNumber: 'REG-77',
    });
    const without = await patch(worker.personId, { engineerRegistrationNumber: null });
    expectProblem(without, 422, 'invalid-content');
  });

  it('needs the version that was read', async () => {
    const worker = await service.person(['inspector'], admin.organisationId);
    const send = (headers: Record<string, string>) =>
      service.http
        .patch(`/v1/people/${worker.personId}`)
        .set(admin.auth)
        .set(headers)
        .send({ name: 'Renamed' });
    expectProblem(await send({}), 428, 'precondition-required');
    await send({ 'if-match': '"v1"' }).expect(200);
    expectProblem(await send({ 'if-match': '"v1"' }), 412, 'stale-version');
  });

  it('lets nobody change the own roles or shut the own door', async () => {
    const own = (body: object) => patch(admin.personId, body);
    const grant = expectProblem(
      await own({ roles: ['admin', 'engineer'] }),
      422,
      'invalid-content',
    );
    expect(grant.errors?.[0]?.pointer).toBe('/engineerRegistrationNumber');
    const more = await own({ roles: ['admin', 'coordinator'] });
    expect(expectProblem(more, 422, 'rule-broken').rule).toBe('own-roles');
    expect(expectProblem(await own({ isDisabled: true }), 422, 'rule-broken').rule).toBe(
      'own-access',
    );
    await expectStatus(own({ name: 'Renamed', roles: ['admin'] }), 200);
  });

  it('keeps one administrator when two take the role from each other at once', async () => {
    const one = await service.person(['admin']);
    const two = await service.person(['admin'], one.organisationId);
    let unlock = () => {};
    const unlocked = new Promise<void>((resolve) => {
      unlock = resolve;
    });
    // Both requests are let past their permission check before either may write.
    const blocker = service.as(one, async (tx) => {
      await tx.sql('select id from organisation where id = $1 for update', [one.organisationId]);
      await unlocked;
    });
    const demote = (by: TestPerson, whom: TestPerson) =>
      service.http
        .patch(`/v1/people/${whom.personId}`)
        .set(by.auth)
        .set('if-match', '"v1"')
        .send({ roles: ['supervisor'] });
    const both = Promise.all([demote(one, two), demote(two, one)]);
    await waitForLocks(2).finally(unlock);
    await blocker;
    const answers = await both;
    const refused = answers.filter(({ status }) => status === 422);
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 422]);
    expect(refused[0]?.body.rule).toBe('last-administrator');
    const left = await service.as(one, (tx) =>
      tx.sql<{ count: number }>(
        `select count(*) as count from person where organisation_id = $1 and 'admin' = any(roles)`,
        [one.organisationId],
      ),
    );
    expect(left[0]?.count).toBe(1);
  });

  it('writes roles before and after into the audit trail', async () => {
    const worker = await service.person(['inspector'], admin.organisationId);
    await expectStatus(patch(worker.personId, { roles: ['supervisor'] }), 200);
    const { body } = await service.http
      .get(`/v1/audit-entries?noun=person&recordId=${worker.personId}`)
      .set(admin.auth)
      .expect(200);
    expect(body.items[0]).toMatchObject({
      action: 'edit',
      personId: admin.personId,
      detail: { roles: ['supervisor'], rolesBefore: ['inspector'] },
    });
  });
});

describe('disabling a person', () => {
  it('ends sessions, tokens and open invitations at once', async () => {
    const worker = await service.person(['supervisor'], admin.organisationId);
    await givePassword(service, worker);
    const cookie = cookieOf(await signIn(service, worker.email).expect(201));
    const again = await service.http
      .post(`/v1/people/${worker.personId}/invitations`)
      .set(admin.auth)
      .expect(201);
    await current(cookie).expect(200);

    const disabled = await patch(worker.personId, { isDisabled: true });
    expect(disabled.body).toMatchObject({ isDisabled: true });
    expect(disabled.body.disabledAt).not.toBeNull();
    expectProblem(await current(cookie), 401, 'unauthenticated');
    expectProblem(await current(worker.auth), 401, 'unauthenticated');
    expectProblem(await signIn(service, worker.email), 401, 'wrong-credentials');
    const acceptance = await service.http
      .post('/v1/invitation-acceptances')
      .send({ token: again.body.token, password: PASSWORD });
    expectProblem(acceptance, 404, 'not-found');
    const invite = await service.http
      .post(`/v1/people/${worker.personId}/invitations`)
      .set(admin.auth);
    expect(expectProblem(invite, 422, 'rule-broken').rule).toBe('person-disabled');
  });

  it('lets an enabled person sign in again, but brings nothing back', async () => {
    const worker = await service.person(['supervisor'], admin.organisationId);
    await givePassword(service, worker);
    const cookie = cookieOf(await signIn(service, worker.email));
    await expectStatus(patch(worker.personId, { isDisabled: true }), 200);
    const enabled = await patch(worker.personId, { isDisabled: false });
    expect(enabled.body).toMatchObject({ isDisabled: false, disabledAt: null });
    expectProblem(await current(cookie), 401, 'unauthenticated');
    expectProblem(await current(worker.auth), 401, 'unauthenticated');
    await signIn(service, worker.email).expect(201);
  });
});

async function expectStatus(answer: Promise<{ status: number; text: string }>, status: number) {
  const { status: given, text } = await answer;
  expect(given, text).toBe(status);
}

/** Waits until so many connections of this database wait for a lock. */
const waitForLocks = (count: number) =>
  eventually(`${count} connections that wait for a lock`, async () => {
    const [row] = await query(
      service.database.adminUrl,
      `select count(*)::int as waiting from pg_stat_activity
       where datname = current_database() and wait_event_type = 'Lock'`,
    );
    return Number(row?.waiting) >= count ? true : undefined;
  });
