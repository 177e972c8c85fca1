import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import type { DueDate, MovedBuild } from './stage-due-dates.ts';

export interface NeedsScope {
  readonly programmeId: string;
  readonly materialId?: string | null | undefined;
  readonly villageId?: string | null | undefined;
  /** Starts to ask about instead of those that are planned. */
  readonly moves?: readonly MovedBuild[] | undefined;
  /** Age of goods on order when they come, for how long they keep. */
  readonly ageAtArrivalDays?: number | undefined;
}

/** What builds of a village still need of a material by the end of a period. */
export interface GrossNeed {
  readonly materialId: string;
  readonly villageId: string;
  readonly unitCode: string;
  /** From 1; what was due before the first period is due in it. */
  readonly period: number;
  readonly quantity: string;
  /** How much of it was due before the first period began. */
  readonly overdueQuantity: string;
}

export interface BuildNeed extends Omit<GrossNeed, 'overdueQuantity'> {
  readonly buildId: string;
}

export interface UndatedBuilds {
  readonly buildCount: number;
  readonly codes: readonly string[];
}

/**
 * Lines of the bill that are still to be supplied. A build that has begun or had materials is looked at
 * line by line: finished stages need nothing more, and what was issued covers the earliest lines first.
 * Builds that wait are only added up, which is most of them for most of a season.
 */
const OPEN_LINES_SQL = `
  with due as materialized (
    select * from unnest($3::uuid[], $4::date[], $5::text[], $6::date[])
      as t (tank_kind_id, start_on, stage_code, due_on)
  ),
  moved as (select * from unnest($12::uuid[], $13::date[]) as t (build_id, start_on)),
  live as materialized (
    select b.id, b.village_id, b.tank_kind_id,
      coalesce(b.started_on, moved.start_on, b.planned_start_on) as start_on,
      b.started_on is not null or exists (
        select from stock_entry e where e.organisation_id = $1 and e.build_id = b.id) as is_touched
    from build b left join moved on moved.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2 and b.cancelled_on is null
      and b.handed_over_on is null and b.status in ('planned', 'started', 'on-hold')
      and coalesce(b.started_on, moved.start_on, b.planned_start_on) is not null
      and ($7::uuid is null or b.village_id = $7)
  ),
  -- The published plan dates each stage; a build that is asked about by another start leaves it.
  planned as materialized (
    select s.build_id, s.stage_code, s.starts_on
    from season_plan_stage s
      join season_plan n on n.organisation_id = $1 and n.id = s.season_plan_id
    where s.organisation_id = $1 and n.programme_id = $2 and n.standing = 'published'
      and s.build_id not in (select build_id from moved)
  ),
  line as (
    select b.id as build_id, b.village_id, l.material_id, l.unit_code, l.with_waste_quantity as quantity,
      greatest(1, (t.due_on - $10::date) / $11::integer + 1) as period, t.due_on < $10::date as is_overdue,
      b.is_touched, l.stage_code, l.position
    from live b
      join bill_line l on l.organisation_id = $1 and l.build_id = b.id
      join material m on m.organisation_id = $1 and m.id = l.material_id
      left join due d on d.tank_kind_id = b.tank_kind_id and d.start_on = b.start_on and d.stage_code = l.stage_code
      left join planned p on p.build_id = b.id and p.stage_code = l.stage_code
      cross join lateral (
        select coalesce(p.starts_on - $9::integer, d.due_on, b.start_on - $9::integer) as due_on) t
    where not l.is_in_kind and m.category <> 'labour' and l.with_waste_quantity > 0
      and ($8::uuid is null or l.material_id = $8)
  ),
  issued as (
    select e.build_id, e.material_id, -sum(e.quantity) as quantity
    from stock_entry e join live b on b.id = e.build_id and b.is_touched
    where e.organisation_id = $1 and e.kind in ('issue', 'return')
    group by e.build_id, e.material_id
  ),
  finished as (
    select distinct s.build_id, s.stage_code
    from stage_record s join live b on b.id = s.build_id and b.is_touched
    where s.organisation_id = $1 and s.kind = 'finished'
  ),
  reached as (
    select l.*, f.stage_code is not null as is_finished, coalesce(i.quantity, 0) as issued,
      sum(l.quantity) over (partition by l.build_id, l.material_id
        order by f.stage_code is null, l.period, l.position) as running
    from line l
      left join finished f on f.build_id = l.build_id and f.stage_code = l.stage_code
      left join issued i on i.build_id = l.build_id and i.material_id = l.material_id
    where l.is_touched
  ),
  open_line as (
    select build_id, village_id, material_id, unit_code, period, is_overdue, quantity
    from line where not is_touched
    union all
    select build_id, village_id, material_id, unit_code, period, is_overdue,
      least(quantity, running - issued)
    from reached where not is_finished and running > issued
  )`;

const GROSS_SQL = `${OPEN_LINES_SQL}
  select material_id as "materialId", village_id as "villageId", unit_code as "unitCode", period,
    sum(quantity) as quantity, coalesce(sum(quantity) filter (where is_overdue), 0) as "overdueQuantity"
  from open_line group by material_id, village_id, unit_code, period
  order by material_id, village_id, period`;

const BY_BUILD_SQL = `${OPEN_LINES_SQL}
  select build_id as "buildId", material_id as "materialId", village_id as "villageId",
    unit_code as "unitCode", period, sum(quantity) as quantity
  from open_line group by build_id, material_id, village_id, unit_code, period
  order by period, build_id, material_id`;

const UNDATED_SQL = `
  select count(*) as "buildCount", coalesce((array_agg(code order by code))[1:20], '{}') as codes
  from build
  where organisation_id = $1 and programme_id = $2 and cancelled_on is null and started_on is null
    and planned_start_on is null and status = 'planned' and ($3::uuid is null or village_id = $3)`;

export interface Horizon {
  readonly startsOn: string;
  readonly periodDays: number;
  /** Days before a stage starts by which its materials are due. */
  readonly dueDaysBeforeStage: number;
}

function parameters(tx: Tx, scope: NeedsScope, due: readonly DueDate[], horizon: Horizon) {
  return [
    tx.organisationId,
    scope.programmeId,
    due.map(({ tankKindId }) => tankKindId),
    due.map(({ startOn }) => startOn),
    due.map(({ stageCode }) => stageCode),
    due.map(({ dueOn }) => dueOn),
    scope.villageId ?? null,
    scope.materialId ?? null,
    horizon.dueDaysBeforeStage,
    horizon.startsOn,
    horizon.periodDays,
    (scope.moves ?? []).map(({ buildId }) => buildId),
    (scope.moves ?? []).map(({ plannedStartOn }) => plannedStartOn),
  ];
}

/** Open needs of a programme by material, village and period. Quantities are decimal text. */
export async function grossNeeds(
  tx: Tx,
  scope: NeedsScope,
  due: readonly DueDate[],
  horizon: Horizon,
): Promise<GrossNeed[]> {
  const rows = await tx.sql<GrossNeed>(GROSS_SQL, parameters(tx, scope, due, horizon));
  return rows.map((row) => ({
    ...row,
    quantity: quantityText(row.quantity),
    overdueQuantity: quantityText(row.overdueQuantity),
  }));
}

/** The same needs by build, for comparing ways of buying. */
export async function needsByBuild(
  tx: Tx,
  scope: NeedsScope,
  due: readonly DueDate[],
  horizon: Horizon,
): Promise<BuildNeed[]> {
  const rows = await tx.sql<BuildNeed>(BY_BUILD_SQL, parameters(tx, scope, due, horizon));
  return rows.map((row) => ({ ...row, quantity: quantityText(row.quantity) }));
}

/** Builds that have no day of start yet: their needs stand in no period. */
export async function undatedBuilds(tx: Tx, scope: NeedsScope): Promise<UndatedBuilds> {
  const [row] = await tx.sql<UndatedBuilds>(UNDATED_SQL, [
    tx.organisationId,
    scope.programmeId,
    scope.villageId ?? null,
  ]);
  return row ?? { buildCount: 0, codes: [] };
}
