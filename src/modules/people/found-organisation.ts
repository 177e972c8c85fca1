import type { Tx } from '../../db/database.ts';

const ORGANISATION_SQL = 'insert into organisation (id, name) values ($1, $2)';

const ACCOUNT_SQL = `
  insert into account (id, email) values ($1, $2) on conflict (email) do nothing returning id`;

const ADMINISTRATOR_SQL = `
  insert into person (organisation_id, id, account_id, name, email, roles)
  values ($1, $2, $3, $4, $5, array['admin'])`;

export interface Founding {
  readonly organisationName: string;
  readonly personName: string;
  readonly email: string;
}

/**
 * Writes the organisation of the transaction and its first administrator, who acts. A new account is
 * linked at once; one that exists already belongs to somebody, who links it by accepting the
 * invitation with its password.
 */
export async function foundOrganisation(tx: Tx, founding: Founding): Promise<void> {
  const { organisationName, personName, email } = founding;
  const { personId, accountId } = tx.actor;
  await tx.sql(ORGANISATION_SQL, [tx.organisationId, organisationName]);
  const madeAccount = await tx.sql(ACCOUNT_SQL, [accountId, email]);
  const linked = madeAccount.length > 0 ? accountId : null;
  await tx.sql(ADMINISTRATOR_SQL, [tx.organisationId, personId, linked, personName, email]);
  await tx.audit('create', 'organisation', tx.organisationId, { name: organisationName });
  await tx.audit('create', 'person', personId, { name: personName, email, roles: ['admin'] });
}
