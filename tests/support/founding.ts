import { randomBytes, randomUUID } from 'node:crypto';
import type { OpenService } from '../../src/boot.ts';
import type { Actor } from '../../src/domain/identity.ts';
import { permissionsOf, type Role } from '../../src/domain/permissions.ts';
import { hashCredential, TOKEN_PREFIX } from '../../src/http/authenticate.ts';

export interface Founded {
  readonly actor: Actor;
  readonly token: string;
  readonly programmeId: string;
}

/** An organisation with one person, a bearer token and a programme, for tests of whole processes. */
export async function foundOrganisation(
  { db }: OpenService,
  roles: readonly Role[],
): Promise<Founded> {
  const [organisationId, personId, accountId, programmeId] = [
    randomUUID(),
    randomUUID(),
    randomUUID(),
    randomUUID(),
  ];
  const token = TOKEN_PREFIX + randomBytes(32).toString('base64url');
  const actor: Actor = {
    organisationId,
    personId,
    accountId,
    credentialId: null,
    name: 'Test',
    roles,
    permissions: permissionsOf(roles),
    donorId: null,
    cursorKey: '',
    requestId: null,
  };
  await db.withTenant(actor, async (tx) => {
    await tx.sql(`insert into organisation (id, name) values ($1, 'Test')`, [organisationId]);
    await tx.sql('insert into account (id, email) values ($1, $2)', [
      accountId,
      `${accountId}@example.org`,
    ]);
    await tx.sql(
      `insert into person (organisation_id, id, account_id, name, email, roles) values ($1, $2, $3, 'Test', $4, $5)`,
      [organisationId, personId, accountId, `${accountId}@example.org`, roles],
    );
    await tx.sql(
      `insert into api_token (organisation_id, id, token_hash, account_id, person_id, name, ending)
       values ($1, $2, $3, $4, $5, 'test', $6)`,
      [organisationId, randomUUID(), hashCredential(token), accountId, personId, token.slice(-4)],
    );
    await tx.sql(
      `insert into programme (organisation_id, id, code, name, starts_on, ends_on, currency,
         target_reliability_ratio, litres_per_person_per_day)
       values ($1, $2, 'S-1', 'Season', '2026-01-01', '2027-12-31', 'EUR', 0.8, 20)`,
      [organisationId, programmeId],
    );
  });
  return { actor, token, programmeId };
}
