import { type Permission, permissionsOf, type Role } from './permissions.ts';

/** Who acts, in which organisation; every transaction of a request carries one. */
export interface Actor {
  readonly organisationId: string;
  readonly personId: string;
  readonly accountId: string;
  readonly credentialId: string | null;
  readonly name: string;
  readonly roles: readonly Role[];
  readonly permissions: ReadonlySet<Permission>;
  /** Set for people who look on behalf of a donor: they see that donor's grants only. */
  readonly donorId: string | null;
  /** Secret of the organisation that seals its page cursors. */
  readonly cursorKey: string;
  readonly requestId: string | null;
}

/** One person of one organisation, as found for an account. */
export interface Membership {
  readonly organisationId: string;
  readonly personId: string;
  readonly accountId: string;
  readonly name: string;
  readonly roles: readonly Role[];
  readonly donorId: string | null;
}

/** The actor of work that a person's membership allows outside of a request with a credential. */
export const actorOfMembership = (membership: Membership, requestId: string | null): Actor => ({
  ...membership,
  credentialId: null,
  permissions: permissionsOf(membership.roles),
  cursorKey: '',
  requestId,
});
