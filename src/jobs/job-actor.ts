import type { Database, Tx } from '../db/database.ts';
import type { Actor } from '../domain/identity.ts';
import { permissionsOf, type Role } from '../domain/permissions.ts';
import type { JobPayload } from './queues.ts';

const REQUESTER_SQL = `
  select p.id, p.account_id, p.name, p.roles, p.donor_id, o.cursor_key
  from job j
    join person p on p.organisation_id = j.organisation_id and p.id = j.requested_by_id
    join organisation o on o.id = j.organisation_id
  where j.organisation_id = $1 and j.id = $2`;

interface RequesterRow {
  id: string;
  account_id: string | null;
  name: string;
  roles: Role[];
  donor_id: string | null;
  cursor_key: string;
}

const NOBODY = '00000000-0000-0000-0000-000000000000';

/** The person who asked for a job, as the worker acts for them; null when there is no such job. */
export async function jobActor(db: Database, payload: JobPayload): Promise<Actor | null> {
  const { organisationId, jobId } = payload;
  const reader: Actor = {
    organisationId,
    personId: NOBODY,
    accountId: NOBODY,
    credentialId: null,
    name: 'Worker',
    roles: [],
    permissions: new Set(),
    donorId: null,
    cursorKey: '',
    requestId: jobId,
  };
  const [row] = await db.withTenant(reader, (tx: Tx) =>
    tx.sql<RequesterRow>(REQUESTER_SQL, [organisationId, jobId]),
  );
  if (!row) return null;
  return {
    ...reader,
    personId: row.id,
    accountId: row.account_id ?? NOBODY,
    name: row.name,
    roles: row.roles,
    permissions: permissionsOf(row.roles),
    donorId: row.donor_id,
    cursorKey: row.cursor_key,
  };
}
