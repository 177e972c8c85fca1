import { hashPassword } from '../../src/modules/sessions/password-hash.ts';
import type { TestPerson, TestService } from './service.ts';

export const PASSWORD = 'a long enough password';

/** Gives a person of the tests a password. */
export async function givePassword(
  { db }: TestService,
  { actor }: TestPerson,
  password = PASSWORD,
): Promise<void> {
  const passwordHash = await hashPassword(password);
  await db.pool.query('update account set password_hash = $2 where id = $1', [
    actor.accountId,
    passwordHash,
  ]);
}

/** Makes the account of one person the account of another too, as somebody in two organisations. */
export async function shareAccount(
  { as }: TestService,
  owner: TestPerson,
  other: TestPerson,
): Promise<void> {
  await as(other, (tx) =>
    tx.sql('update person set account_id = $2, email = $3 where id = $1', [
      other.personId,
      owner.actor.accountId,
      owner.email,
    ]),
  );
}

/** Signs in and returns the answer; the cookie is in it. */
export const signIn = (
  { http }: TestService,
  email: string,
  password = PASSWORD,
  more: { organisationId?: string; headers?: Record<string, string> } = {},
) =>
  http
    .post('/v1/sessions')
    .set(more.headers ?? {})
    .send({
      email,
      password,
      ...(more.organisationId ? { organisationId: more.organisationId } : {}),
    });

/** The cookie pair of a Set-Cookie header, as a browser sends it back. */
export function cookieOf(response: { headers: Record<string, unknown> }): { cookie: string } {
  const [header = ''] = [response.headers['set-cookie']].flat() as string[];
  return { cookie: header.split(';')[0] ?? '' };
}
