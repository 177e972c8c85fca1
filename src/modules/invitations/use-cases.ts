import { randomBytes } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import {
  ACCEPTANCE_PATH,
  type InvitationAcceptance,
  type IssuedInvitation,
  type NewInvitationAcceptance,
} from '../../../shared/contract/invitation.ts';
import type { Database, Tx } from '../../db/database.ts';
import { DomainError, notFound, ruleBroken } from '../../domain/errors.ts';
import { actorOfMembership } from '../../domain/identity.ts';
import { hashCredential } from '../../http/authenticate.ts';
import type { AccountState, Invitation, InvitationStore } from './repository.ts';

export interface Invitations {
  /** Makes an invitation, the only open one of that person. */
  invite(tx: Tx, personId: string): Promise<IssuedInvitation>;
  accept(
    input: NewInvitationAcceptance,
    from: { address: string; requestId: string },
  ): Promise<InvitationAcceptance>;
}

export interface InvitationParts {
  readonly db: Database;
  readonly store: InvitationStore;
  /** Throws unless this is the account's password. */
  readonly checkPassword: (attempt: {
    email: string;
    password: string;
    address: string;
  }) => Promise<unknown>;
  readonly hashPassword: (password: string) => Promise<string>;
  readonly refuseWeakPassword: (password: string, email: string, pointer: string) => void;
  readonly setPassword: (
    tx: Tx,
    accountId: string,
    passwordHash: string,
    expectedHash: string | null,
  ) => Promise<string | null>;
}

export function createInvitations(parts: InvitationParts): Invitations {
  const { db, store, checkPassword, hashPassword, refuseWeakPassword, setPassword } = parts;

  async function join(
    tx: Tx,
    invitation: Invitation,
    seen: AccountState | null,
    newHash: string | null,
  ): Promise<void> {
    const { id, personId, email } = invitation;
    if (!(await store.accept(tx, id))) throw unusable();
    const account = await store.lockAccount(tx, uuidv7(), email);
    const isAsSeen =
      account !== null &&
      account.passwordHash === (seen?.passwordHash ?? null) &&
      account.isSharedWithOthers === (seen?.isSharedWithOthers ?? false);
    if (!isAsSeen) throw new DomainError('conflict', { detail: 'The account changed meanwhile.' });
    if (newHash !== null) {
      await setPassword(tx, account.id, newHash, account.passwordHash);
      await store.revokeSessions(tx, personId);
    }
    await store.link(tx, personId, account.id);
    await tx.audit('accept-invitation', 'person', personId, { setsPassword: newHash !== null });
  }

  return {
    async invite(tx, personId) {
      const isDisabled = await store.isDisabled(tx, personId);
      if (isDisabled === null) throw notFound('person', personId);
      if (isDisabled) throw ruleBroken('person-disabled', 'Enable the person first.');
      await store.endOpen(tx, personId);
      const token = randomBytes(32).toString('base64url');
      const id = uuidv7();
      const expiresAt = await store.insert(tx, id, personId, hashCredential(token));
      await tx.audit('invite', 'person', personId, { invitationId: id });
      return { id, personId, expiresAt, token, acceptAt: ACCEPTANCE_PATH };
    },
    /**
     * Sets the password of the invited person's account. An account that serves other organisations
     * too keeps its password, which must be given instead: an administrator who invites somebody
     * must not get into that person's other organisations.
     */
    async accept({ token, password }, { address, requestId }) {
      const invitation = await store.findOpen(hashCredential(token));
      if (!invitation) throw unusable();
      const { organisationId, organisationName, personId, name, email } = invitation;
      const seen = await store.accountState(email, organisationId);
      const keepsPassword = seen?.isSharedWithOthers ?? false;
      if (keepsPassword) await checkPassword({ email, password, address });
      else refuseWeakPassword(password, email, '/password');
      const newHash = keepsPassword ? null : await hashPassword(password);
      const actor = actorOfMembership(
        { ...invitation, accountId: seen?.id ?? personId },
        requestId,
      );
      await db.withTenant(actor, (tx) => join(tx, invitation, seen, newHash));
      return {
        organisation: { id: organisationId, name: organisationName },
        personId,
        name,
        email,
      };
    },
  };
}

/** One answer for unknown, used, replaced and expired invitations. */
const unusable = () =>
  new DomainError('not-found', {
    detail: 'This invitation is unknown, used or expired; ask for a new one.',
  });
