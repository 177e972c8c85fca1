import type { MovedBuild } from '../../../shared/contract/season-plan.ts';
import type { Tx } from '../../db/database.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

/** Stages of two plans side by side; work that was done before either is no news. */
const SIDE_BY_SIDE_SQL = `
  with side as (
    select coalesce(a.build_id, b.build_id) as build_id, coalesce(a.stage_code, b.stage_code) as stage_code,
      a.crew_id as crew_before, b.crew_id as crew_after, a.starts_on as starts_before,
      b.starts_on as starts_after, a.finishes_on as finishes_before, b.finishes_on as finishes_after,
      coalesce(b.standing, 'planned') <> 'done' and (
        a.starts_on is distinct from b.starts_on and coalesce(b.standing, 'planned') = 'planned'
        or a.crew_id is distinct from b.crew_id or a.finishes_on is distinct from b.finishes_on) as is_moved
    from (select * from season_plan_stage where organisation_id = $1 and season_plan_id = $2) a
      full join (select * from season_plan_stage where organisation_id = $1 and season_plan_id = $3) b
        on b.build_id = a.build_id and b.stage_code = a.stage_code
  )`;

const SUMMARY_SQL = `${SIDE_BY_SIDE_SQL}
  select count(*) filter (where is_moved) as "movedStageCount",
    count(distinct build_id) filter (where is_moved) as "movedBuildCount",
    coalesce((select array_agg(distinct crew order by crew) from side, unnest(array[crew_before, crew_after]) as crew
      where is_moved and crew is not null), '{}') as "crewIds"
  from side`;

const BUILDS_SQL = `${SIDE_BY_SIDE_SQL},
  crews as (
    select s.build_id,
      array_agg(distinct c.code) filter (where c.id = s.crew_before) as before,
      array_agg(distinct c.code) filter (where c.id = s.crew_after) as after
    from side s join crew c on c.organisation_id = $1 and c.id in (s.crew_before, s.crew_after)
    group by s.build_id
  )
  select b.id as "buildId", b.code as "buildCode", b.village_id as "villageId", v.name as "villageName",
    coalesce(crews.before, '{}') as "crewCodesBefore", coalesce(crews.after, '{}') as "crewCodesAfter",
    count(*) filter (where s.is_moved) as "movedStageCount",
    min(s.starts_before) as "startsOnBefore", min(s.starts_after) as "startsOnAfter",
    max(s.finishes_before) as "finishesOnBefore", max(s.finishes_after) as "finishesOnAfter"
  from side s
    join build b on b.organisation_id = $1 and b.id = s.build_id
    join village v on v.organisation_id = $1 and v.id = b.village_id
    left join crews on crews.build_id = b.id
  where $4::text is null or (b.code, b.id) > ($4, $5::uuid)
  group by b.organisation_id, b.id, b.code, b.village_id, v.name, crews.before, crews.after
  having bool_or(s.is_moved)
  order by b.code, b.id limit $6`;

export interface PlanDifference {
  readonly movedStageCount: number;
  readonly movedBuildCount: number;
  /** Crews whose work moved, in either plan. */
  readonly crewIds: readonly string[];
}

export async function planDifference(
  tx: Tx,
  beforeId: string,
  afterId: string,
): Promise<PlanDifference> {
  const [row] = await tx.sql<PlanDifference>(SUMMARY_SQL, [tx.organisationId, beforeId, afterId]);
  return row ?? { movedStageCount: 0, movedBuildCount: 0, crewIds: [] };
}

export async function listMovedBuilds(
  tx: Tx,
  beforeId: string,
  afterId: string,
  { limit, cursor }: { readonly limit: number; readonly cursor?: string | undefined },
): Promise<Page<MovedBuild>> {
  const list = `moved-builds?${beforeId}-${afterId}`;
  const [code, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<MovedBuild>(BUILDS_SQL, [
    tx.organisationId,
    beforeId,
    afterId,
    code ?? null,
    id ?? null,
    limit + 1,
  ]);
  const keyOf = (row: MovedBuild) => [row.buildCode, row.buildId];
  return toPage(tx.actor, list, rows, limit, keyOf, (row) => row);
}
