import type { Tx } from '../../db/database.ts';

const FREEZE_SQL = `
  insert into season_plan_value (organisation_id, season_plan_id, build_id, stage_code, amount,
    in_kind_amount, currency)
  select $1, $2, l.build_id, l.stage_code,
    coalesce(sum(l.amount) filter (where not l.is_in_kind), 0),
    coalesce(sum(l.amount) filter (where l.is_in_kind), 0), min(l.currency)
  from (select distinct build_id from season_plan_stage
      where organisation_id = $1 and season_plan_id = $2) s
    join bill_line l on l.organisation_id = $1 and l.build_id = s.build_id
  group by l.build_id, l.stage_code`;

/**
 * Keeps what each stage of a plan's builds costs by the bills of this moment: the prices of the
 * baseline. Called once for a plan, in the transaction that publishes it.
 */
export async function freezeBaselineValues(tx: Tx, seasonPlanId: string): Promise<void> {
  await tx.sql(FREEZE_SQL, [tx.organisationId, seasonPlanId]);
}
