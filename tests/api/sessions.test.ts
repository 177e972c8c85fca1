import { verify } from '@node-rs/argon2';
import supertest from 'supertest';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { session, signedIn } from '../../shared/contract/session.ts';
import { buildApp } from '../../src/app.ts';
import { openDatabase } from '../../src/db/database.ts';
import { hashCredential } from '../../src/http/authenticate.ts';
import { createPasswordCheck } from '../../src/modules/sessions/password-check.ts';
import { createPasswordHasher, hashPassword } from '../../src/modules/sessions/password-hash.ts';
import { network, signInFailures } from '../../src/modules/sessions/sign-in-failures.ts';
import { cookieOf, givePassword, PASSWORD, shareAccount, signIn } from '../support/credentials.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let supervisor: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  supervisor = await service.person(['supervisor']);
  await givePassword(service, supervisor);
});
afterAll(() => service.close());
beforeEach(async () => {
  await service.db.pool.query('delete from sign_in_failure');
});

const current = (headers: Record<string, string>) =>
  service.http.get('/v1/sessions/current').set(headers);

describe('signing in', () => {
  it('sets a cookie that scripts cannot read and tells who signed in', async () => {
    const answer = await signIn(service, supervisor.email.toUpperCase()).expect(201);
    const [cookie = ''] = answer.headers['set-cookie'] as unknown as string[];
    expect(cookie).toMatch(
      /^hoopwright_session=[\w-]{43}; Max-Age=604800; Path=\/; HttpOnly; SameSite=Lax$/,
    );
    expect(answer.headers['cache-control']).toBe('no-store');
    const body = signedIn.parse(answer.body);
    expect(body.person).toMatchObject({ id: supervisor.personId, roles: ['supervisor'] });
    expect(body.organisation.id).toBe(supervisor.organisationId);
    expect(body.permissions).toContain('stages:write');
    expect(body.permissions).not.toContain('people:write');
    const read = await current(cookieOf(answer)).expect(200);
    expect(read.body).toMatchObject({ person: body.person, session: { isCurrent: true } });
  });

  it('keeps neither the token nor the password readable in the database', async () => {
    const answer = await signIn(service, supervisor.email);
    const token = cookieOf(answer).cookie.split('=')[1] ?? '';
    const { rows } = await service.db.pool.query(
      'select password_hash from account where email = $1',
      [supervisor.email],
    );
    expect(rows[0].password_hash).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
    const stored = await service.as(supervisor, (tx) =>
      tx.sql<{ token_hash: string }>('select token_hash from session where id = $1', [
        answer.body.session.id,
      ]),
    );
    expect(stored).toEqual([{ token_hash: hashCredential(token) }]);
  });

  it('names the cookie __Host- and sends it over HTTPS only when cookies are secured', async () => {
    const secured = await startTestService({ securesCookies: true });
    try {
      const person = await secured.person(['inspector']);
      await givePassword(secured, person);
      const answer = await signIn(secured, person.email).expect(201);
      const [cookie = ''] = answer.headers['set-cookie'] as unknown as string[];
      expect(cookie).toMatch(/^__Host-hoopwright_session=[\w-]{43};.*; Path=\/; HttpOnly; Secure;/);
      expect(cookie).not.toMatch(/domain/i);
      const { cookie: pair } = cookieOf(answer);
      await secured.http.get('/v1/sessions/current').set('cookie', pair).expect(200);
      // A plain name could have been set by another host of the domain.
      const plain = pair.replace('__Host-', '');
      await secured.http.get('/v1/sessions/current').set('cookie', plain).expect(401);
    } finally {
      await secured.close();
    }
  });

  it('ends the session that the browser held before', async () => {
    const first = cookieOf(await signIn(service, supervisor.email));
    const second = await signIn(service, supervisor.email, PASSWORD, { headers: first });
    expect(cookieOf(second).cookie).not.toBe(first.cookie);
    expectProblem(await current(first), 401, 'unauthenticated');
    await current(cookieOf(second)).expect(200);
  });

  it('names what is missing or unknown in the request, without echoing the password', async () => {
    const answer = await service.http
      .post('/v1/sessions')
      .send({ password: 'x'.repeat(201), remember: true });
    const { errors } = expectProblem(answer, 422, 'invalid-content');
    expect(errors?.map(({ pointer }) => pointer).sort()).toEqual([
      '/email',
      '/password',
      '/remember',
    ]);
    expect(answer.text).not.toContain('xxxx');
  });

  it('asks people of several organisations which one they mean', async () => {
    const here = await service.person(['engineer']);
    const there = await service.person(['coordinator']);
    await givePassword(service, here);
    await shareAccount(service, here, there);
    const body = expectProblem(await signIn(service, here.email), 409, 'conflict');
    expect((body.organisations as { id: string }[]).map(({ id }) => id).sort()).toEqual(
      [here.organisationId, there.organisationId].sort(),
    );
    const chosen = await signIn(service, here.email, PASSWORD, {
      organisationId: there.organisationId,
    }).expect(201);
    expect(chosen.body.person).toMatchObject({ id: there.personId, roles: ['coordinator'] });
    const elsewhere = await signIn(service, here.email, PASSWORD, {
      organisationId: supervisor.organisationId,
    });
    const { errors } = expectProblem(elsewhere, 422, 'invalid-content');
    expect(errors?.[0]).toMatchObject({ pointer: '/organisationId' });
  });

  it('writes who signed in and out into the audit trail', async () => {
    const answer = await signIn(service, supervisor.email);
    await service.http.delete('/v1/sessions/current').set(cookieOf(answer)).expect(200);
    const entries = await service.as(supervisor, (tx) =>
      tx.sql<{ action: string }>(
        'select action, person_id from audit_entry where record_id = $1 order by recorded_at',
        [answer.body.session.id],
      ),
    );
    expect(entries).toEqual([
      { action: 'sign-in', person_id: supervisor.personId },
      { action: 'sign-out', person_id: supervisor.personId },
    ]);
  });
});

describe('refusing a sign-in', () => {
  it('answers unknown e-mail, no password yet, wrong password and disabled people alike', async () => {
    const invited = await service.person(['inspector']);
    const disabled = await service.person(['inspector']);
    await givePassword(service, disabled);
    await service.as(disabled, (tx) =>
      tx.sql('update person set disabled_at = now() where id = $1', [disabled.personId]),
    );
    const answers = [
      await signIn(service, 'nobody@example.org'),
      await signIn(service, invited.email),
      await signIn(service, supervisor.email, 'not the right password'),
      await signIn(service, disabled.email),
    ];
    const bodies = answers.map((answer) => {
      const { requestId, ...body } = expectProblem(answer, 401, 'wrong-credentials');
      expect(requestId).toBeTruthy();
      expect(answer.headers['set-cookie']).toBeUndefined();
      return body;
    });
    for (const body of bodies) expect(body).toEqual(bodies[0]);
  });

  it('does the same work for an unknown e-mail, for no password and for a wrong one', async () => {
    const judged: string[] = [];
    const hasher = createPasswordHasher((hash, password) => {
      judged.push(String(hash).split('$', 4).join('$'));
      return verify(hash, password);
    });
    const accounts = new Map([
      ['invited@example.org', null],
      ['member@example.org', await hashPassword(PASSWORD)],
    ]);
    const findAccount = async (email: string) => {
      const passwordHash = accounts.get(email);
      return passwordHash === undefined ? null : { id: email, email, passwordHash };
    };
    const check = createPasswordCheck(findAccount, hasher, signInFailures(service.db.pool));
    for (const email of ['unknown@example.org', ...accounts.keys()]) {
      const attempt = check({ email, password: 'not the right password', address: '192.0.2.1' });
      await expect(attempt, email).rejects.toMatchObject({ code: 'wrong-credentials' });
    }
    expect(judged).toEqual(Array(3).fill('$argon2id$v=19$m=19456,t=2,p=1'));
  });

  it('makes an account wait after five failures, twice as long after each more, in any process', async () => {
    const other = await secondProcessOf(service);
    const wrong = (app: TestService['http']) =>
      app.post('/v1/sessions').send({ email: supervisor.email, password: 'not right at all' });
    for (let attempt = 1; attempt <= 5; attempt++) {
      expectProblem(await wrong(attempt % 2 ? service.http : other.http), 401, 'wrong-credentials');
    }
    const blocked = await signIn(service, supervisor.email);
    expect(expectProblem(blocked, 429, 'too-many-requests').retryable).toBe(true);
    expect(Number(blocked.headers['retry-after'])).toBeGreaterThan(10);
    expect(Number(blocked.headers['retry-after'])).toBeLessThanOrEqual(15);
    expectProblem(await signIn(other, supervisor.email), 429, 'too-many-requests');
    // Another account from the same address is not held up.
    expectProblem(await signIn(service, 'else@example.org'), 401, 'wrong-credentials');

    await endWait();
    expectProblem(await wrong(service.http), 401, 'wrong-credentials');
    const longer = await signIn(service, supervisor.email);
    expect(Number(longer.headers['retry-after'])).toBeGreaterThan(15);
    expect(Number(longer.headers['retry-after'])).toBeLessThanOrEqual(30);
    await endWait();
    await signIn(service, supervisor.email).expect(201);
    // The right password starts the count again.
    expectProblem(await wrong(service.http), 401, 'wrong-credentials');
    await signIn(service, supervisor.email).expect(201);
    await other.close();
  });

  it('never makes anybody wait longer than 15 minutes', async () => {
    await signIn(service, supervisor.email, 'not right at all');
    await service.db.pool.query('update sign_in_failure set failure_count = 40');
    await signIn(service, supervisor.email, 'not right at all');
    const blocked = await signIn(service, supervisor.email);
    expect(Number(blocked.headers['retry-after'])).toBeGreaterThan(890);
    expect(Number(blocked.headers['retry-after'])).toBeLessThanOrEqual(900);
  });

  it('lets guesses sent at once gain no more than those that are hashed together', async () => {
    const answers = await Promise.all(
      Array.from({ length: 30 }, () => signIn(service, supervisor.email, 'not right at all')),
    );
    const guessed = answers.filter(({ status }) => status === 401);
    const held = answers.filter(({ status }) => status === 429);
    expect(guessed.length).toBeGreaterThanOrEqual(5);
    // Five are allowed; one more may be in the second of the two turns.
    expect(guessed.length).toBeLessThanOrEqual(6);
    expect(guessed.length + held.length).toBe(30);
  });

  it('makes an address wait that fails with many accounts', async () => {
    await signIn(service, 'first@example.org');
    await service.db.pool.query(
      `update sign_in_failure set failure_count = 49 where key like 'address %'`,
    );
    expectProblem(await signIn(service, 'second@example.org'), 401, 'wrong-credentials');
    expectProblem(await signIn(service, supervisor.email), 429, 'too-many-requests');
  });

  it('counts an IPv6 network as one address', () => {
    expect(network('2001:db8:1:2:3:4:5:6')).toBe('2001:db8:1:2::/64');
    expect(network('2001:db8:1:2::9')).toBe('2001:db8:1:2::/64');
    expect(network('2001:0db8::1')).toBe('2001:db8:0:0::/64');
    expect(network('::1')).toBe('0:0:0:0::/64');
    expect(network('::ffff:192.0.2.7')).toBe('192.0.2.7');
    expect(network('192.0.2.7')).toBe('192.0.2.7');
  });

  async function endWait() {
    await service.db.pool.query('update sign_in_failure set blocked_until = now()');
  }
});

describe('a session', () => {
  it('ends at sign-out, which takes the cookie back', async () => {
    const cookie = cookieOf(await signIn(service, supervisor.email));
    const out = await service.http.delete('/v1/sessions/current').set(cookie).expect(200);
    expect(session.parse(out.body).revokedAt).not.toBeNull();
    expect(String(out.headers['set-cookie'])).toMatch(/^hoopwright_session=; Max-Age=0; Path=\//);
    expectProblem(await current(cookie), 401, 'unauthenticated');
  });

  it('changes nothing for a page of another site', async () => {
    const cookie = cookieOf(await signIn(service, supervisor.email));
    const post = (headers: Record<string, string>) =>
      service.http
        .post('/v1/api-tokens')
        .set({ ...cookie, host: 'tanks.example', ...headers })
        .send({ name: 'mine' });
    for (const origin of ['https://evil.example', 'null', 'https://tanks.example.evil.example']) {
      expectProblem(await post({ origin }), 403, 'forbidden');
    }
    expectProblem(await post({ 'sec-fetch-site': 'cross-site' }), 403, 'forbidden');
    expectProblem(await post({ 'sec-fetch-site': 'same-site' }), 403, 'forbidden');
    await post({ origin: 'https://tanks.example' }).expect(201);
    await post({ 'sec-fetch-site': 'same-origin' }).expect(201);
    const tokens = await service.http.get('/v1/api-tokens').set(cookie).expect(200);
    const mine = tokens.body.items.filter(({ name }: { name: string }) => name === 'mine');
    expect(mine).toHaveLength(2);
    // Signing a victim in to the attacker's own account is refused as well.
    const headers = { host: 'tanks.example', origin: 'https://evil.example' };
    expectProblem(await signIn(service, supervisor.email, PASSWORD, { headers }), 403, 'forbidden');
  });

  it('ends 7 days after sign-in, and after 12 hours without use', async () => {
    const old = await signIn(service, supervisor.email);
    const idle = await signIn(service, supervisor.email);
    const age = (id: string, change: string) =>
      service.as(supervisor, (tx) => tx.sql(`update session set ${change} where id = $1`, [id]));
    const { expiresAt, createdAt } = session.parse(old.body.session);
    expect(Date.parse(expiresAt) - Date.parse(createdAt)).toBe(7 * 24 * 3600 * 1000);
    await age(old.body.session.id, 'expires_at = now()');
    await age(idle.body.session.id, `last_seen_at = now() - interval '12 hours 1 minute'`);
    expectProblem(await current(cookieOf(old)), 401, 'unauthenticated');
    expectProblem(await current(cookieOf(idle)), 401, 'unauthenticated');
  });

  it('is listed to its person, who may end it from another device', async () => {
    const person = await service.person(['storekeeper']);
    await givePassword(service, person);
    const phone = await signIn(service, person.email);
    const desk = cookieOf(await signIn(service, person.email));
    const listed = await service.http.get('/v1/sessions').set(desk).expect(200);
    expect(listed.body.items.map(({ isCurrent }: { isCurrent: boolean }) => isCurrent)).toEqual([
      true,
      false,
    ]);
    const page = await service.http.get('/v1/sessions?limit=1').set(desk).expect(200);
    const rest = await service.http
      .get(`/v1/sessions?limit=1&cursor=${page.body.nextCursor}`)
      .set(desk)
      .expect(200);
    expect(rest.body.items[0].id).toBe(phone.body.session.id);
    await service.http.delete(`/v1/sessions/${phone.body.session.id}`).set(desk).expect(200);
    expectProblem(await current(cookieOf(phone)), 401, 'unauthenticated');
    const left = await service.http.get('/v1/sessions').set(desk).expect(200);
    expect(left.body.items).toHaveLength(1);
  });

  it('may be ended by an administrator of its organisation, and by nobody else', async () => {
    const person = await service.person(['storekeeper']);
    await givePassword(service, person);
    const answer = await signIn(service, person.email);
    const address = `/v1/sessions/${answer.body.session.id}`;
    const colleague = await service.person(['coordinator'], person.organisationId);
    const stranger = await service.person(['admin']);
    const list = `/v1/sessions?personId=${person.personId}`;
    expectProblem(await service.http.delete(address).set(colleague.auth), 404, 'not-found');
    expectProblem(await service.http.delete(address).set(stranger.auth), 404, 'not-found');
    expectProblem(await service.http.get(list).set(colleague.auth), 403, 'forbidden');
    const nothing = await service.http.get(list).set(stranger.auth).expect(200);
    expect(nothing.body.items).toEqual([]);
    await current(cookieOf(answer)).expect(200);

    const admin = await service.person(['admin'], person.organisationId);
    const listed = await service.http.get(list).set(admin.auth).expect(200);
    expect(listed.body.items).toHaveLength(1);
    await service.http.delete(address).set(admin.auth).expect(200);
    expectProblem(await current(cookieOf(answer)), 401, 'unauthenticated');
  });

  it('is null for an API token, which cannot sign out', async () => {
    const read = await current(supervisor.auth).expect(200);
    expect(read.body).toMatchObject({ session: null, person: { id: supervisor.personId } });
    expectProblem(
      await service.http.delete('/v1/sessions/current').set(supervisor.auth),
      404,
      'not-found',
    );
  });
});

describe('changing the password', () => {
  const change = (headers: Record<string, string>, body: object) =>
    service.http.post('/v1/password-changes').set(headers).send(body);

  it('ends the other sessions of the account in every organisation and keeps this one', async () => {
    const here = await service.person(['engineer']);
    const there = await service.person(['inspector']);
    await givePassword(service, here);
    await shareAccount(service, here, there);
    const enter = (person: TestPerson) =>
      signIn(service, here.email, PASSWORD, { organisationId: person.organisationId });
    const [used, second, elsewhere] = [await enter(here), await enter(here), await enter(there)];
    const answer = await change(cookieOf(used), {
      currentPassword: PASSWORD,
      newPassword: 'quite another password',
    }).expect(201);
    expect(answer.body.revokedSessionCount).toBe(2);
    await current(cookieOf(used)).expect(200);
    expectProblem(await current(cookieOf(second)), 401, 'unauthenticated');
    expectProblem(await current(cookieOf(elsewhere)), 401, 'unauthenticated');
    expectProblem(await enter(here), 401, 'wrong-credentials');
    await signIn(service, here.email, 'quite another password', {
      organisationId: here.organisationId,
    }).expect(201);
  });

  it('refuses a wrong current password, and makes the guesser wait', async () => {
    const person = await service.person(['engineer']);
    await givePassword(service, person);
    const guess = { currentPassword: 'my best guess', newPassword: 'quite another password' };
    for (let attempt = 1; attempt <= 5; attempt++) {
      const { errors } = expectProblem(await change(person.auth, guess), 422, 'invalid-content');
      expect(errors).toEqual([
        {
          pointer: '/currentPassword',
          code: 'password.wrong',
          message: 'is not your password',
        },
      ]);
    }
    expectProblem(await change(person.auth, guess), 429, 'too-many-requests');
  });

  it('refuses a new password that is short, long, the same, or the e-mail address', async () => {
    const person = await service.person(['engineer']);
    await givePassword(service, person);
    const refusal = async (newPassword: string) => {
      const answer = await change(person.auth, { currentPassword: PASSWORD, newPassword });
      const { errors } = expectProblem(answer, 422, 'invalid-content');
      expect(errors).toHaveLength(1);
      expect(errors?.[0]).toMatchObject({ pointer: '/newPassword' });
      expect(errors?.[0]).not.toHaveProperty('rejectedValue');
      return errors?.[0]?.code;
    };
    expect(await refusal('x'.repeat(9))).toBe('too_small');
    expect(await refusal('x'.repeat(201))).toBe('too_big');
    expect(await refusal(PASSWORD)).toBe('password.unchanged');
    expect(await refusal(person.email.toUpperCase())).toBe('password.is-email');
    await change(person.auth, { currentPassword: PASSWORD, newPassword: 'x'.repeat(200) }).expect(
      201,
    );
    await signIn(service, person.email, 'x'.repeat(200)).expect(201);
  });
});

/** A second process of the same service: an app of its own on the same database. */
async function secondProcessOf({ database }: TestService): Promise<TestService> {
  const db = openDatabase({ url: database.appUrl });
  const app = await buildApp({ db, limitsRates: false });
  await app.ready();
  const close = async () => {
    await app.close();
    await db.close();
  };
  return { ...service, app, db, http: supertest(app.server), close };
}
