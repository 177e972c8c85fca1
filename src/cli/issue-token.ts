import type { Database } from '../db/database.ts';
import { systemClock } from '../domain/clock.ts';
import { DomainError } from '../domain/errors.ts';
import { actorOfMembership } from '../domain/identity.ts';
import { sessionStore } from '../modules/sessions/repository.ts';
import { tokenStore } from '../modules/tokens/repository.ts';
import { createTokens } from '../modules/tokens/use-cases.ts';

/**
 * Makes an API token for the person with that e-mail.
 *
 * @returns the token
 * @throws {DomainError} `not-found` without such a person; `conflict` when several organisations
 *   have one and none is named
 */
export async function issueToken(
  db: Database,
  email: string,
  organisationId?: string,
): Promise<string> {
  const store = sessionStore(db.pool);
  const account = await store.accountByEmail(email.trim().toLowerCase());
  const memberships = account ? await store.membershipsOf(account.id) : [];
  const eligible = memberships.filter(
    (membership) => organisationId === undefined || membership.organisationId === organisationId,
  );
  const [membership, ...more] = eligible;
  if (!membership) {
    throw new DomainError('not-found', {
      detail: `Nobody with the e-mail ${email} may sign in${organisationId ? ' there' : ''}.`,
    });
  }
  if (more.length > 0) {
    const lines = eligible.map((each) => `  ${each.organisationId} ${each.organisationName}`);
    throw new DomainError('conflict', {
      detail: `${email} belongs to several organisations; add the id of one:\n${lines.join('\n')}`,
    });
  }
  const tokens = createTokens(tokenStore, systemClock);
  const { token } = await db.withTenant(actorOfMembership(membership, null), (tx) =>
    tokens.issue(tx, { name: 'made on the command line', expiresAt: null }),
  );
  return token;
}
