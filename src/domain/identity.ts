import type { Permission, Role } from './permissions.ts';

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
