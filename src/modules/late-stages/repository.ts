import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';

const PROGRAMME_SQL = `
  select id, rains_from as "rainsFrom", rains_until as "rainsUntil" from programme
  where organisation_id = $1 and id = $2`;

/** Builds that the published plan has begun by the day, or that began by themselves. */
const BUILDS_SQL = `
  select b.id, b.code, b.village_id as "villageId", v.name as "villageName", b.crew_id as "crewId",
    b.tank_kind_id as "tankKindId"
  from build b join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
  where b.organisation_id = $1 and b.programme_id = $2
    and (b.cancelled_on is null or b.cancelled_on > $3)
    and (b.handed_over_on is null or b.handed_over_on > $3)
    and exists (
      select from season_plan_stage s join season_plan p on p.organisation_id = s.organisation_id
        and p.id = s.season_plan_id and p.standing = 'published'
      where s.organisation_id = b.organisation_id and s.build_id = b.id
        and (s.starts_on < $3 or b.started_on <= $3))
  order by b.code, b.id limit $4`;

const STAGES_SQL = `
  select s.build_id as "buildId", s.stage_code as "stageCode", s.crew_id as "crewId",
    s.starts_on as "startsOn", s.finishes_on as "finishesOn"
  from season_plan_stage s join season_plan p on p.organisation_id = s.organisation_id
    and p.id = s.season_plan_id and p.standing = 'published'
  where s.organisation_id = $1 and p.programme_id = $2 and s.build_id = any($3)`;

const KINDS_SQL = 'select id, stages from tank_kind where organisation_id = $1 and id = any($2)';

const CREWS_SQL = `
  select id, code, absences from crew where organisation_id = $1 and programme_id = $2`;

/** Paid materials of the bill by stage, beside what was issued to the build and lies in its village. */
const MATERIALS_SQL = `
  with need as (
    select l.build_id, l.stage_code, l.material_id, l.unit_code, sum(l.net_quantity) as needed
    from bill_line l join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
    where l.organisation_id = $1 and l.build_id = any($2) and not l.is_in_kind and m.category <> 'labour'
      and l.unit_code = m.unit_code
    group by l.build_id, l.stage_code, l.material_id, l.unit_code
  )
  select n.build_id as "buildId", n.stage_code as "stageCode", n.material_id as "materialId",
    m.code as "materialCode", n.unit_code as "unitCode", n.needed::text as needed,
    coalesce((select -sum(e.quantity) from stock_entry e where e.organisation_id = $1
      and e.build_id = n.build_id and e.material_id = n.material_id and e.kind in ('issue', 'return')
      and e.observed_on <= $3), 0)::text as issued,
    coalesce((select sum(s.quantity) from stock_balance s join store t on t.organisation_id = s.organisation_id
      and t.id = s.store_id where s.organisation_id = $1 and s.material_id = n.material_id
      and t.village_id = b.village_id), 0)::text as "inVillage"
  from need n
    join material m on m.organisation_id = $1 and m.id = n.material_id
    join build b on b.organisation_id = $1 and b.id = n.build_id
  order by n.build_id, m.code`;

const KEEPS_STOCK_SQL = `
  select exists (select from stock_entry e join build b on b.organisation_id = e.organisation_id
    and b.id = e.build_id where e.organisation_id = $1 and b.programme_id = $2 and e.kind = 'issue')
    as "keepsStock"`;

/** Builds of one programme that are looked at. */
const MOST_BUILDS = 10_000;

export interface ProgrammeOfLate {
  readonly id: string;
  readonly rainsFrom: string | null;
  readonly rainsUntil: string | null;
}

export interface BuildOfLate {
  readonly id: string;
  readonly code: string;
  readonly villageId: string;
  readonly villageName: string;
  readonly crewId: string | null;
  readonly tankKindId: string;
}

export interface PlannedOfLate {
  readonly buildId: string;
  readonly stageCode: string;
  readonly crewId: string | null;
  readonly startsOn: string;
  readonly finishesOn: string;
}

export interface CrewOfLate {
  readonly id: string;
  readonly code: string;
  readonly absences: readonly { readonly fromOn: string; readonly untilOn: string }[];
}

export interface MaterialOfLate {
  readonly buildId: string;
  readonly stageCode: string;
  readonly materialId: string;
  readonly materialCode: string;
  readonly unitCode: string;
  readonly needed: string;
  readonly issued: string;
  readonly inVillage: string;
}

export async function findProgrammeOfLate(tx: Tx, id: string): Promise<ProgrammeOfLate | null> {
  const [row] = await tx.sql<ProgrammeOfLate>(PROGRAMME_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export const buildsInWork = (tx: Tx, programmeId: string, on: string) =>
  tx.sql<BuildOfLate>(BUILDS_SQL, [tx.organisationId, programmeId, on, MOST_BUILDS]);

export const plannedStagesOf = (tx: Tx, programmeId: string, buildIds: readonly string[]) =>
  tx.sql<PlannedOfLate>(STAGES_SQL, [tx.organisationId, programmeId, buildIds]);

export async function templatesOfKinds(
  tx: Tx,
  kindIds: readonly string[],
): Promise<ReadonlyMap<string, StageTemplate>> {
  const rows = await tx.sql<{ id: string; stages: StageTemplate }>(KINDS_SQL, [
    tx.organisationId,
    kindIds,
  ]);
  return new Map(rows.map(({ id, stages }) => [id, stages]));
}

export const crewsOfProgramme = (tx: Tx, programmeId: string) =>
  tx.sql<CrewOfLate>(CREWS_SQL, [tx.organisationId, programmeId]);

/** Nothing in a programme that has issued no material yet: its stock is not kept here. */
export async function materialsOfBuilds(
  tx: Tx,
  programmeId: string,
  buildIds: readonly string[],
  on: string,
): Promise<MaterialOfLate[]> {
  if (buildIds.length === 0) return [];
  const [kept] = await tx.sql<{ keepsStock: boolean }>(KEEPS_STOCK_SQL, [
    tx.organisationId,
    programmeId,
  ]);
  if (!kept?.keepsStock) return [];
  return tx.sql<MaterialOfLate>(MATERIALS_SQL, [tx.organisationId, buildIds, on]);
}
