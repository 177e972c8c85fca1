import type { Person } from '../../../shared/contract/person.ts';
import type { Tx } from '../../db/database.ts';
import { type DocumentStore, documentStore } from '../../db/document-store.ts';
import type { PersonModel as PersonRow } from '../../db/generated/models.ts';
import { documentFieldsOf } from '../../db/wire-values.ts';
import type { Role } from '../../domain/permissions.ts';

/** Self-conflicting, but no hindrance to the foreign keys of other work. */
const LOCK_ORGANISATION_SQL = 'select id from organisation where id = $1 for no key update';

const OTHER_ADMINISTRATORS_SQL = `
  select count(*) as count from person
  where organisation_id = $1 and id <> $2 and 'admin' = any(roles) and disabled_at is null
    and account_id is not null`;

const END_ACCESS_SQLS = [
  `update session set revoked_at = now()
   where organisation_id = $1 and person_id = $2 and revoked_at is null`,
  `update api_token set revoked_at = now()
   where organisation_id = $1 and person_id = $2 and revoked_at is null`,
  `update invitation set expires_at = now()
   where organisation_id = $1 and person_id = $2 and accepted_at is null and expires_at > now()`,
];

/** What is written of a person; `disabledAt` null enables. */
export interface PersonColumns {
  readonly name?: string;
  readonly email?: string;
  readonly roles?: Role[];
  readonly donorId?: string | null;
  readonly engineerRegistrationNumber?: string | null;
  readonly disabledAt?: Date | null;
}

export interface PersonStore extends DocumentStore<Person, PersonColumns, PersonColumns> {
  /** Makes changes of roles and access wait for each other, until the transaction ends. */
  lockAdministrators(tx: Tx): Promise<void>;
  otherAdministratorCount(tx: Tx, personId: string): Promise<number>;
  /** Ends the sessions, API tokens and open invitations of a person. */
  endAccess(tx: Tx, personId: string): Promise<void>;
}

export const personStore: PersonStore = {
  ...documentStore<PersonRow, Person, PersonColumns, PersonColumns>({
    noun: 'person',
    sortKey: 'email',
    delegate: (prisma) => prisma.person,
    toWire: (row) => ({
      ...documentFieldsOf(row),
      name: row.name,
      email: row.email,
      roles: row.roles as Role[],
      donorId: row.donorId,
      engineerRegistrationNumber: row.engineerRegistrationNumber,
      hasAccount: row.accountId !== null,
      isDisabled: row.disabledAt !== null,
      disabledAt: row.disabledAt?.toISOString() ?? null,
    }),
    toColumns: (input) => input,
  }),
  async lockAdministrators(tx) {
    await tx.sql(LOCK_ORGANISATION_SQL, [tx.organisationId]);
  },
  async otherAdministratorCount(tx, personId) {
    const values = [tx.organisationId, personId];
    const [row] = await tx.sql<{ count: number }>(OTHER_ADMINISTRATORS_SQL, values);
    return row?.count ?? 0;
  },
  async endAccess(tx, personId) {
    for (const sql of END_ACCESS_SQLS) await tx.sql(sql, [tx.organisationId, personId]);
  },
};
