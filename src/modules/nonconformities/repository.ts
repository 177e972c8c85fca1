import type { Nonconformity } from '../../../shared/contract/nonconformity.ts';
import type { Tx } from '../../db/database.ts';

const BUILD_SQL = 'select id from build where organisation_id = $1 and id = $2';

const LIST_SQL = `
  select n.record_id as "recordId", n.build_id as "buildId", b.code as "buildCode",
    b.programme_id as "programmeId", b.village_id as "villageId", v.name as "villageName",
    c.id as "crewId", c.name as "crewName", n.stage_code as "stageCode",
    coalesce((select stage->>'title' from jsonb_array_elements(k.stages) as stage
      where stage->>'code' = n.stage_code), n.stage_code) as "stageTitle",
    n.kind, n.check_code as "checkCode", n.observed_on as "observedOn", n.detail, n.state, n.decision,
    n.decided_on as "decidedOn", n.decided_by_id as "decidedById", n.due_on as "dueOn", n.cause
  from nonconformity n
    join build b on b.organisation_id = n.organisation_id and b.id = n.build_id
    join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
    join tank_kind k on k.organisation_id = b.organisation_id and k.id = b.tank_kind_id
    join stage_record r on r.organisation_id = n.organisation_id and r.id = n.record_id
    left join crew c on c.organisation_id = b.organisation_id and c.id = coalesce(r.crew_id, b.crew_id)
  where n.organisation_id = $1
    and ($2::uuid is null or b.programme_id = $2)
    and ($3::uuid is null or b.village_id = $3)
    and ($4::uuid is null or n.build_id = $4)
    and ($5::text is null or n.state = $5)
    and ($6::date is null or (n.due_on < $6 and n.state <> 'closed'))
    and ($7::date is null or (n.observed_on, n.record_id) > ($7, $8::uuid))
  order by n.observed_on, n.record_id limit $9`;

export interface NonconformityFilters {
  readonly programmeId?: string | undefined;
  readonly villageId?: string | undefined;
  readonly buildId?: string | undefined;
  readonly state?: Nonconformity['state'] | undefined;
  readonly dueBefore?: string | undefined;
}

export async function hasBuild(tx: Tx, buildId: string): Promise<boolean> {
  return (await tx.sql(BUILD_SQL, [tx.organisationId, buildId])).length > 0;
}

/** Oldest first; `limit + 1` rows, to see whether there are more. */
export function listNonconformities(
  tx: Tx,
  filters: NonconformityFilters,
  after: readonly string[] | null,
  limit: number,
): Promise<Nonconformity[]> {
  const [observedOn = null, recordId = null] = after ?? [];
  return tx.sql<Nonconformity>(LIST_SQL, [
    tx.organisationId,
    filters.programmeId ?? null,
    filters.villageId ?? null,
    filters.buildId ?? null,
    filters.state ?? null,
    filters.dueBefore ?? null,
    observedOn,
    recordId,
    limit + 1,
  ]);
}
