import { randomBytes } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import type {
  NewPasswordChange,
  NewSession,
  PasswordChange,
  Session,
  SignedIn,
} from '../../../shared/contract/session.ts';
import type { Database, Tx } from '../../db/database.ts';
import { DomainError, invalidContent, notFound } from '../../domain/errors.ts';
import { type Actor, actorOfMembership, type Membership } from '../../domain/identity.ts';
import { hashCredential } from '../../http/authenticate.ts';
import type { CheckPassword } from './password-check.ts';
import { hashPassword, type PasswordHasher } from './password-hash.ts';
import { refuseWeakPassword } from './password-rule.ts';
import type { NamedMembership, SessionStore } from './repository.ts';

export interface SignIn extends NewSession {
  readonly address: string;
  readonly requestId: string;
  /** The session that the browser held until now; it ends. */
  readonly replacedToken: string | undefined;
}

export interface Sessions {
  signIn(input: SignIn): Promise<{ token: string; signedIn: SignedIn }>;
  current(tx: Tx): Promise<SignedIn>;
  list(tx: Tx, personId: string, after: readonly string[] | null, take: number): Promise<Session[]>;
  /** Ends a session: one's own, or for an administrator any of the organisation. */
  revoke(tx: Tx, id: string): Promise<Session>;
  signOut(tx: Tx): Promise<Session>;
  changePassword(actor: Actor, input: NewPasswordChange, address: string): Promise<PasswordChange>;
}

export interface SessionParts {
  readonly db: Database;
  readonly store: SessionStore;
  readonly hasher: PasswordHasher;
  readonly checkPassword: CheckPassword;
  readonly sessionLifeS: number;
}

export function createSessions(parts: SessionParts): Sessions {
  const { db, store, hasher, checkPassword, sessionLifeS } = parts;

  async function current(tx: Tx): Promise<SignedIn> {
    const { credentialId, permissions } = tx.actor;
    return {
      ...(await store.who(tx)),
      permissions: [...permissions].sort(),
      session: credentialId === null ? null : await store.find(tx, credentialId),
    };
  }

  async function endReplaced(token: string, requestId: string) {
    const owner = await store.ownerOf(hashCredential(token));
    if (!owner) return;
    const membership = { ...owner, name: '', roles: [], donorId: null };
    await db.withTenant(actorOfMembership(membership, requestId), async (tx) => {
      await store.revoke(tx, owner.sessionId);
      await tx.audit('sign-out', 'session', owner.sessionId);
    });
  }

  async function open(membership: Membership, requestId: string, deviceName: string) {
    const token = randomBytes(32).toString('base64url');
    const id = uuidv7();
    const actor = { ...actorOfMembership(membership, requestId), credentialId: id };
    const signedIn = await db.withTenant(actor, async (tx) => {
      await store.insert(tx, {
        id,
        tokenHash: hashCredential(token),
        lifeS: sessionLifeS,
        deviceName,
      });
      await tx.audit('sign-in', 'session', id);
      return current(tx);
    });
    return { token, signedIn };
  }

  async function revoke(tx: Tx, id: string): Promise<Session> {
    const found = await store.find(tx, id);
    const mayEnd =
      found?.personId === tx.actor.personId || tx.actor.permissions.has('people:write');
    const revoked = mayEnd ? await store.revoke(tx, id) : null;
    if (!revoked) throw notFound('session', id);
    await tx.audit('sign-out', 'session', id);
    return revoked;
  }

  return {
    current,
    revoke,
    async signIn({ email, password, address, organisationId, requestId, replacedToken, ...rest }) {
      const account = await checkPassword({ email, password, address });
      const membership = chooseMembership(await store.membershipsOf(account.id), organisationId);
      if (replacedToken !== undefined) await endReplaced(replacedToken, requestId);
      return open(membership, requestId, rest.deviceName ?? '');
    },
    async list(tx, personId, after, take) {
      if (personId !== tx.actor.personId && !tx.actor.permissions.has('people:write')) {
        throw new DomainError('forbidden', { detail: 'This needs the permission people:write.' });
      }
      return store.list(tx, personId, after, take);
    },
    async signOut(tx) {
      const { credentialId } = tx.actor;
      const found = credentialId === null ? null : await store.find(tx, credentialId);
      if (!found)
        throw new DomainError('not-found', { detail: 'No session: an API token is used.' });
      return revoke(tx, found.id);
    },
    async changePassword(actor, { currentPassword, newPassword }, address) {
      const { email, passwordHash } = await store.accountById(actor.accountId);
      refuseWeakPassword(newPassword, email, '/newPassword');
      if (newPassword === currentPassword) {
        throw invalidContent([
          {
            pointer: '/newPassword',
            code: 'password.unchanged',
            message: 'is the current password',
          },
        ]);
      }
      await checkPassword({ email, password: currentPassword, address }).catch(asFieldError);
      const newHash = await hasher.inTurn(() => hashPassword(newPassword));
      return db.withTenant(actor, async (tx) => {
        const changedAt = await store.setPassword(tx, actor.accountId, newHash, passwordHash);
        if (!changedAt) throw new DomainError('conflict', { detail: 'It was changed meanwhile.' });
        const revokedSessionCount = await store.revokeOthers(tx);
        await tx.audit('change-password', 'account', actor.accountId, { revokedSessionCount });
        return { changedAt, revokedSessionCount };
      });
    },
  };
}

/** The organisation to sign in to; the person is asked when there are several. */
function chooseMembership(
  memberships: readonly NamedMembership[],
  organisationId: string | undefined,
): Membership {
  if (memberships.length === 0) throw new DomainError('wrong-credentials');
  if (organisationId !== undefined) {
    const chosen = memberships.find((membership) => membership.organisationId === organisationId);
    if (chosen) return chosen;
    throw invalidContent([
      {
        pointer: '/organisationId',
        code: 'organisation.not-yours',
        message: 'is not an organisation that you belong to',
        rejectedValue: organisationId,
      },
    ]);
  }
  const [only, ...more] = memberships;
  if (only && more.length === 0) return only;
  throw new DomainError('conflict', {
    detail: 'You belong to several organisations; send the organisationId of one.',
    extra: {
      organisations: memberships.map(({ organisationId: id, organisationName: name }) => ({
        id,
        name,
      })),
    },
  });
}

/** The person is signed in already: a wrong current password is a wrong value, no lack of a sign-in. */
function asFieldError(error: unknown): never {
  if (error instanceof DomainError && error.code === 'wrong-credentials') {
    throw invalidContent([
      { pointer: '/currentPassword', code: 'password.wrong', message: 'is not your password' },
    ]);
  }
  throw error;
}
