import type { FastifyInstance } from 'fastify';
import { v7 as uuidv7 } from 'uuid';
import type { Database } from '../db/database.ts';
import type { Actor } from '../domain/identity.ts';
import { permissionsOf } from '../domain/permissions.ts';
import { foundOrganisation } from '../modules/people/found-organisation.ts';
import { hashPassword } from '../modules/sessions/password-hash.ts';
import { type Body, type DemoClient, signIn } from './demo-client.ts';
import { DEMO_DOMAIN, ORGANISATION_NAME, PEOPLE } from './scenario.ts';

export type Mailbox = (typeof PEOPLE)[number]['mailbox'];
/** Everybody who writes; the donor only reads. */
export type Clients = Readonly<Record<Exclude<Mailbox, 'donor'>, DemoClient>>;

export const emailOf = (mailbox: string) => `${mailbox}@${DEMO_DOMAIN}`;

/** Address of the administrator until the season is whole. */
export const LOADING_ADMIN = `loading@${DEMO_DOMAIN}`;

/** Makes the organisation with its administrator, who may sign in with the password at once. */
export async function foundDemoOrganisation(db: Database, password: string): Promise<Actor> {
  const actor: Actor = {
    organisationId: uuidv7(),
    personId: uuidv7(),
    accountId: uuidv7(),
    credentialId: null,
    name: 'Ada Demo',
    roles: ['admin'],
    permissions: permissionsOf(['admin']),
    donorId: null,
    cursorKey: '',
    requestId: null,
  };
  const passwordHash = await hashPassword(password);
  await db.withTenant(actor, async (tx) => {
    await foundOrganisation(tx, {
      organisationName: ORGANISATION_NAME,
      personName: 'Ada Demo',
      email: LOADING_ADMIN,
    });
    await tx.sql(
      'update account set password_hash = $2, password_changed_at = now() where id = $1',
      [actor.accountId, passwordHash],
    );
  });
  return actor;
}

/** The last step: from now on the season counts as loaded. */
export async function giveAdminItsAddress(db: Database, admin: Actor): Promise<void> {
  await db.withTenant(admin, async (tx) => {
    await tx.sql('update account set email = $2 where id = $1', [
      admin.accountId,
      emailOf('admin'),
    ]);
    await tx.sql('update person set email = $3 where organisation_id = $1 and id = $2', [
      tx.organisationId,
      admin.personId,
      emailOf('admin'),
    ]);
  });
}

/** Invites a person, accepts for them, and signs them in. */
export async function inviteDemoPerson(
  app: FastifyInstance,
  admin: DemoClient,
  password: string,
  mailbox: Mailbox,
  donorId?: string,
): Promise<DemoClient> {
  const person = PEOPLE.find((candidate) => candidate.mailbox === mailbox);
  if (!person) throw new Error(`The scenario has no ${mailbox}`);
  const email = emailOf(mailbox);
  const made = await admin.post<Body & { invitation: { token: string } }>('/people', {
    name: person.name,
    email,
    roles: person.roles,
    ...('registration' in person ? { engineerRegistrationNumber: person.registration } : {}),
    ...(donorId === undefined ? {} : { donorId }),
  });
  const accepted = await app.inject({
    method: 'POST',
    url: '/v1/invitation-acceptances',
    payload: { token: made.invitation.token, password },
  });
  if (accepted.statusCode >= 300) throw new Error(`Invitation of ${email}: ${accepted.body}`);
  return signIn(app, email, password);
}
