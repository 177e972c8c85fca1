import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { invitationAcceptance, issuedInvitation } from '../../shared/contract/invitation.ts';
import { makeOrganisation } from '../../src/cli/make-organisation.ts';
import { cookieOf, givePassword, PASSWORD, signIn } from '../support/credentials.ts';
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

async function invited(email: string, by = admin) {
  const { body } = await service.http
    .post('/v1/people')
    .set(by.auth)
    .send({ email, name: 'Invented Person', roles: ['inspector'] })
    .expect(201);
  return { personId: body.id as string, token: body.invitation.token as string };
}
const accept = (token: string, password = PASSWORD) =>
  service.http.post('/v1/invitation-acceptances').send({ token, password });
const inviteAgain = (personId: string, by = admin) =>
  service.http.post(`/v1/people/${personId}/invitations`).set(by.auth);

describe('invitations', () => {
  it('let a person set a password and sign in', async () => {
    const { personId, token } = await invited('new@example.org');
    expectProblem(await signIn(service, 'new@example.org'), 401, 'wrong-credentials');
    const answer = await accept(token).expect(201);
    expect(invitationAcceptance.parse(answer.body)).toMatchObject({
      personId,
      email: 'new@example.org',
      organisation: { id: admin.organisationId },
    });
    expect(answer.headers['cache-control']).toBe('no-store');
    const session = await signIn(service, 'new@example.org').expect(201);
    expect(session.body.person).toMatchObject({ id: personId, roles: ['inspector'] });
    const { body } = await service.http.get(`/v1/people/${personId}`).set(admin.auth);
    expect(body.hasAccount).toBe(true);
  });

  it('work once, also when they are sent twice at the same time', async () => {
    const { personId, token } = await invited('once@example.org');
    const answers = await Promise.all([
      accept(token, 'the first password'),
      accept(token, 'the second password'),
    ]);
    const statuses = answers.map(({ status }) => status).sort();
    expect(statuses[0]).toBe(201);
    expect([404, 409]).toContain(statuses[1]);
    expectProblem(await accept(token, 'the third password'), 404, 'not-found');
    const [passed, failed] =
      answers[0]?.status === 201
        ? ['the first password', 'the second password']
        : ['the second password', 'the first password'];
    await signIn(service, 'once@example.org', passed).expect(201);
    expectProblem(await signIn(service, 'once@example.org', failed), 401, 'wrong-credentials');
    const entries = await service.as(admin, (tx) =>
      tx.sql(`select id from audit_entry where record_id = $1 and action = 'accept-invitation'`, [
        personId,
      ]),
    );
    expect(entries).toHaveLength(1);
  });

  it('end after seven days, and when a newer one is made', async () => {
    const { personId, token } = await invited('late@example.org');
    const again = issuedInvitation.parse((await inviteAgain(personId).expect(201)).body);
    expectProblem(await accept(token), 404, 'not-found');
    const days = (Date.parse(again.expiresAt) - Date.now()) / 86_400_000;
    expect(days).toBeGreaterThan(6.99);
    expect(days).toBeLessThanOrEqual(7.01);
    await service.as(admin, (tx) =>
      tx.sql('update invitation set expires_at = now() where id = $1', [again.id]),
    );
    expectProblem(await accept(again.token ?? ''), 404, 'not-found');
    expectProblem(await accept('x'.repeat(43)), 404, 'not-found');
  });

  it('refuse a password that is too short or is the e-mail address, and stay open', async () => {
    const { token } = await invited('short.name@example.org');
    for (const password of ['too short', 'Short.Name@example.org', 'short.name']) {
      const { errors } = expectProblem(await accept(token, password), 422, 'invalid-content');
      expect(errors?.map(({ pointer }) => pointer)).toEqual(['/password']);
      expect(errors?.[0]).not.toHaveProperty('rejectedValue');
    }
    await accept(token).expect(201);
  });

  it('are made by administrators of the organisation only', async () => {
    const { personId } = await invited('guarded@example.org');
    const coordinator = await service.person(['coordinator'], admin.organisationId);
    const stranger = await service.person(['admin']);
    expectProblem(await inviteAgain(personId, coordinator), 403, 'forbidden');
    expectProblem(await inviteAgain(personId, stranger), 404, 'not-found');
  });

  it('replace a forgotten password, and end the sessions that used it', async () => {
    const person = await service.person(['engineer'], admin.organisationId);
    await givePassword(service, person);
    const cookie = cookieOf(await signIn(service, person.email).expect(201));
    const { body } = await inviteAgain(person.personId).expect(201);
    await accept(body.token, 'a password to remember').expect(201);
    const read = await service.http.get('/v1/sessions/current').set(cookie);
    expectProblem(read, 401, 'unauthenticated');
    expectProblem(await signIn(service, person.email), 401, 'wrong-credentials');
    await signIn(service, person.email, 'a password to remember').expect(201);
  });
});

describe('an invitation to somebody who belongs to another organisation', () => {
  it('takes the password they have and never sets one', async () => {
    const member = await service.person(['coordinator']);
    await givePassword(service, member);
    const { personId, token } = await invited(member.email);
    // The inviting administrator holds the token; that must not open the other organisation.
    expectProblem(await accept(token, 'chosen by the inviter'), 401, 'wrong-credentials');
    expectProblem(
      await signIn(service, member.email, 'chosen by the inviter'),
      401,
      'wrong-credentials',
    );
    await signIn(service, member.email).expect(201);
    await accept(token).expect(201);
    const several = expectProblem(await signIn(service, member.email), 409, 'conflict');
    expect(several.organisations).toHaveLength(2);
    const chosen = await signIn(service, member.email, PASSWORD, {
      organisationId: admin.organisationId,
    }).expect(201);
    expect(chosen.body.person.id).toBe(personId);
    // From now on neither organisation's administrator can set the password alone.
    const { body } = await inviteAgain(personId).expect(201);
    expectProblem(await accept(body.token, 'chosen by the inviter'), 401, 'wrong-credentials');
  });

  it('makes whoever guesses the password with it wait', async () => {
    const member = await service.person(['coordinator']);
    await givePassword(service, member);
    const { token } = await invited(member.email);
    for (let attempt = 1; attempt <= 5; attempt++) {
      expectProblem(await accept(token, 'one guess of many'), 401, 'wrong-credentials');
    }
    expectProblem(await accept(token, 'one guess of many'), 429, 'too-many-requests');
    await service.db.pool.query('delete from sign_in_failure');
  });

  it('cannot take over an account that has no password yet', async () => {
    const founding = await makeOrganisation(service.db, {
      organisationName: 'Invented Water Group',
      email: 'founder@example.org',
      personName: 'Invented Founder',
    });
    const { token } = await invited('founder@example.org');
    expectProblem(await accept(token, 'chosen by the inviter'), 401, 'wrong-credentials');
    await accept(founding, 'chosen by the founder').expect(201);
    expectProblem(
      await signIn(service, 'founder@example.org', 'chosen by the inviter'),
      401,
      'wrong-credentials',
    );
    const session = await signIn(service, 'founder@example.org', 'chosen by the founder').expect(
      201,
    );
    expect(session.body).toMatchObject({
      organisation: { name: 'Invented Water Group' },
      person: { roles: ['admin'], name: 'Invented Founder' },
    });
    await accept(token, 'chosen by the founder').expect(201);
  });
});

describe('the organisation command', () => {
  it('names the argument that is not acceptable and writes nothing', async () => {
    const before = await accountCount();
    const making = makeOrganisation(service.db, {
      organisationName: ' ',
      email: 'not an address',
      personName: 'Invented Founder',
    });
    await expect(making).rejects.toMatchObject({
      details: { errors: [{ pointer: '/organisationName' }, { pointer: '/email' }] },
    });
    expect(await accountCount()).toBe(before);
  });

  async function accountCount() {
    const { rows } = await service.db.pool.query<{ count: number }>(
      'select count(*) as count from account',
    );
    return rows[0]?.count;
  }
});
