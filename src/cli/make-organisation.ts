import { v7 as uuidv7 } from 'uuid';
import { z } from 'zod';
import { email } from '../../shared/contract/person.ts';
import { name } from '../../shared/contract/values.ts';
import { createAccess } from '../access.ts';
import type { Database } from '../db/database.ts';
import { systemClock } from '../domain/clock.ts';
import { invalidContent } from '../domain/errors.ts';
import { actorOfMembership } from '../domain/identity.ts';
import { foundOrganisation } from '../modules/people/found-organisation.ts';

const input = z.object({ organisationName: name, email, personName: name });

/**
 * Makes an organisation with its first administrator.
 *
 * @returns the token with which the administrator accepts the invitation and sets a password
 * @throws {DomainError} `invalid-content` naming the argument that is not acceptable
 */
export async function makeOrganisation(
  db: Database,
  given: z.input<typeof input>,
): Promise<string> {
  const parsed = input.safeParse(given);
  if (!parsed.success) {
    throw invalidContent(
      parsed.error.issues.map(({ path, code, message }) => ({
        pointer: `/${path.join('/')}`,
        code,
        message,
      })),
    );
  }
  const { organisationName, personName } = parsed.data;
  const founder = {
    organisationId: uuidv7(),
    personId: uuidv7(),
    accountId: uuidv7(),
    name: personName,
    roles: ['admin'] as const,
    donorId: null,
  };
  const { invitations } = createAccess(db, systemClock);
  return db.withTenant(actorOfMembership(founder, null), async (tx) => {
    await foundOrganisation(tx, { organisationName, personName, email: parsed.data.email });
    const { token } = await invitations.invite(tx, founder.personId);
    if (token === null) throw new Error('An invitation without a token');
    return token;
  });
}
