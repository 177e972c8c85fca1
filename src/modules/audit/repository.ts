import type { AuditEntry } from '../../../shared/contract/audit-entry.ts';
import type { ListAuditEntries } from './use-cases.ts';

const LIST_SQL = `
  select id, recorded_at as "recordedAt", person_id as "personId", request_id as "requestId",
    action, noun, record_id as "recordId", detail
  from audit_entry
  where organisation_id = $1
    and ($2::text is null or noun = $2)
    and ($3::text is null or record_id = $3)
    and ($4::uuid is null or person_id = $4)
    and ($5::timestamptz is null or (recorded_at, id) < ($5, $6::uuid))
  order by recorded_at desc, id desc limit $7`;

/** Audit entries, newest first. */
export const listAuditEntries: ListAuditEntries = (tx, filter, after, take) => {
  const { noun = null, recordId = null, personId = null } = filter;
  const [recordedAt = null, id = null] = after ?? [];
  const values = [tx.organisationId, noun, recordId, personId, recordedAt, id, take];
  return tx.sql<AuditEntry>(LIST_SQL, values);
};
