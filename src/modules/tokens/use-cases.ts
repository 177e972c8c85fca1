import { randomBytes } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import type { ApiToken, IssuedApiToken, NewApiToken } from '../../../shared/contract/api-token.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound } from '../../domain/errors.ts';
import { hashCredential, TOKEN_PREFIX } from '../../http/authenticate.ts';
import type { TokenStore } from './repository.ts';

export interface Tokens {
  /** Makes a token for whoever acts; its text is in this answer and nowhere else. */
  issue(tx: Tx, input: NewApiToken): Promise<IssuedApiToken & { token: string }>;
  list(
    tx: Tx,
    personId: string,
    after: readonly string[] | null,
    take: number,
  ): Promise<ApiToken[]>;
  /** Ends a token: one's own, or for an administrator any of the organisation. */
  revoke(tx: Tx, id: string): Promise<ApiToken>;
}

export function createTokens(store: TokenStore, clock: Clock): Tokens {
  const isAdministrator = (tx: Tx) => tx.actor.permissions.has('people:write');
  return {
    async issue(tx, { id = uuidv7(), name, expiresAt }) {
      if (expiresAt !== null && Date.parse(expiresAt) <= clock.now().getTime()) {
        throw invalidContent([
          {
            pointer: '/expiresAt',
            code: 'instant.past',
            message: `must be after now, ${clock.now().toISOString()}`,
            rejectedValue: expiresAt,
          },
        ]);
      }
      const token = TOKEN_PREFIX + randomBytes(32).toString('base64url');
      const tokenHash = hashCredential(token);
      const made = await store.insert(tx, {
        id,
        tokenHash,
        name,
        ending: token.slice(-4),
        expiresAt,
      });
      await tx.audit('create', 'api-token', id, { name, expiresAt });
      return { ...made, token };
    },
    async list(tx, personId, after, take) {
      if (personId !== tx.actor.personId && !isAdministrator(tx)) {
        throw new DomainError('forbidden', { detail: 'This needs the permission people:write.' });
      }
      return store.list(tx, personId, after, take);
    },
    async revoke(tx, id) {
      const found = await store.find(tx, id);
      if (!found || (found.personId !== tx.actor.personId && !isAdministrator(tx))) {
        throw notFound('API token', id);
      }
      const revoked = await store.revoke(tx, id);
      await tx.audit('revoke', 'api-token', id);
      return revoked;
    },
  };
}
