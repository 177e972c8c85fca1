import type { ApprovalState, TakeOffLine } from '../../../shared/contract/design-revision.ts';
import type { Tx } from '../../db/database.ts';

/** Decisions on these revisions wait until the transaction ends; builds do not wait for each other. */
const KEEP_APPROVALS_SQL = `
  select pg_advisory_xact_lock_shared(hashtextextended('design-approval:' || id, 0))
  from unnest($1::uuid[]) as revision (id) order by id`;

const READ_SQL = `
  select r.id, coalesce(a.decision, 'undecided') as approval, d.code as "designCode",
    d.tank_kind_id as "tankKindId", r.take_off as "takeOff"
  from design_revision r
    join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
    left join design_approval a
      on a.organisation_id = r.organisation_id and a.design_revision_id = r.id
  where r.organisation_id = $1 and r.id = any($2)`;

export interface RevisionForBuilding {
  readonly id: string;
  readonly approval: ApprovalState;
  readonly designCode: string;
  readonly tankKindId: string;
  readonly takeOff: readonly TakeOffLine[];
}

/** Revisions to build on, with approvals that cannot be withdrawn before the transaction ends. */
export async function revisionsForBuilding(
  tx: Tx,
  ids: readonly string[],
): Promise<ReadonlyMap<string, RevisionForBuilding>> {
  await tx.sql(KEEP_APPROVALS_SQL, [ids]);
  const rows = await tx.sql<RevisionForBuilding>(READ_SQL, [tx.organisationId, ids]);
  return new Map(rows.map((row) => [row.id, row]));
}
