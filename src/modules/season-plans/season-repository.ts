import type { Crew } from '../../../shared/contract/crew.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';

export interface ProgrammeToPlan {
  readonly id: string;
  readonly code: string;
  readonly startsOn: string;
  readonly endsOn: string;
  readonly workingWeekdays: readonly number[];
  readonly holidays: readonly string[];
  readonly rainsFrom: string | null;
  readonly rainsUntil: string | null;
  readonly holdReleaseDays: number;
  readonly moveDetourRatio: number;
  readonly moveSpeedKmPerH: number;
  readonly movePackingHours: number;
}

export interface VillageToPlan {
  readonly id: string;
  readonly code: string;
  readonly latDeg: number | null;
  readonly lonDeg: number | null;
  readonly reachableMonths: readonly number[];
  readonly noWorkWeekdays: readonly number[];
}

export interface CrewToPlan
  extends Pick<
    Crew,
    | 'id'
    | 'code'
    | 'size'
    | 'homeVillageId'
    | 'trades'
    | 'availableFrom'
    | 'availableUntil'
    | 'absences'
    | 'tanksBuilt'
    | 'practisedAfterTanks'
    | 'learningRatio'
  > {
  /** Tanks of this programme that it has begun. */
  readonly begunCount: number;
  /** Where it began a stage last. */
  readonly lastVillageId: string | null;
}

export interface BuildToPlan {
  readonly id: string;
  readonly code: string;
  readonly villageId: string;
  readonly tankKindId: string;
  readonly crewId: string | null;
  readonly earliestStartOn: string | null;
  readonly dueOn: string | null;
  readonly startedOn: string | null;
  readonly status: string;
  readonly agreedOn: string | null;
  readonly isDesignApproved: boolean;
  readonly grantEndsOn: string | null;
}

const PROGRAMME_SQL = `
  select id, code, starts_on as "startsOn", ends_on as "endsOn", working_weekdays as "workingWeekdays",
    holidays, rains_from as "rainsFrom", rains_until as "rainsUntil",
    hold_release_days as "holdReleaseDays", move_detour_ratio as "moveDetourRatio",
    move_speed_km_per_h as "moveSpeedKmPerH", move_packing_hours as "movePackingHours"
  from programme where organisation_id = $1 and id = $2`;

const VILLAGES_SQL = `
  select id, code, lat_deg::float8 as "latDeg", lon_deg::float8 as "lonDeg",
    reachable_months as "reachableMonths", no_work_weekdays as "noWorkWeekdays"
  from village v
  where organisation_id = $1 and (
    exists (select from build b where b.organisation_id = $1 and b.programme_id = $2 and b.village_id = v.id)
    or exists (select from crew c where c.organisation_id = $1 and c.programme_id = $2 and c.home_village_id = v.id)
    or id = any($3::uuid[]))
  order by code, id`;

const CREWS_SQL = `
  select c.id, c.code, c.size, c.home_village_id as "homeVillageId", c.trades,
    c.available_from as "availableFrom", c.available_until as "availableUntil", c.absences,
    c.tanks_built as "tanksBuilt", c.practised_after_tanks as "practisedAfterTanks",
    c.learning_ratio::float8 as "learningRatio", count(b.id) as "begunCount",
    (array_agg(b.village_id order by b.started_on desc, b.code desc) filter (where b.status <> 'handed-over'))[1]
      as "lastVillageId"
  from crew c
    left join build b on b.organisation_id = $1 and b.crew_id = c.id and b.started_on is not null
      and b.cancelled_on is null
  where c.organisation_id = $1 and c.programme_id = $2
  group by c.organisation_id, c.id order by c.code, c.id`;

const EQUIPMENT_SQL = `
  select id, code, unit_count as units from equipment_set
  where organisation_id = $1 and programme_id = $2 order by code, id`;

const KINDS_SQL = `select id, stages from tank_kind where organisation_id = $1 and id = any($2)`;

const BUILDS_SQL = `
  select b.id, b.code, b.village_id as "villageId", b.tank_kind_id as "tankKindId", b.crew_id as "crewId",
    b.earliest_start_on as "earliestStartOn", b.due_on as "dueOn", b.started_on as "startedOn", b.status,
    s.agreed_on as "agreedOn",
    coalesce((select d.decision = 'approved' from design_decision d
      where d.organisation_id = $1 and d.design_revision_id = b.design_revision_id
      order by d.decided_at desc, d.id desc limit 1), false) as "isDesignApproved",
    (select min(g.ends_on) from build_grant_share h
      join grant_agreement g on g.organisation_id = $1 and g.id = h.grant_id
      where h.organisation_id = $1 and h.build_id = b.id) as "grantEndsOn"
  from build b join site s on s.organisation_id = $1 and s.id = b.site_id
  where b.organisation_id = $1 and b.programme_id = $2 and b.cancelled_on is null
  order by b.code, b.id`;

const PINS_SQL = `
  select id, build_id as "buildId", stage_code as "stageCode", crew_id as "crewId", starts_on as "startsOn"
  from season_pin where organisation_id = $1 and programme_id = $2 and ended_at is null order by made_at, id`;

const EARLIER_SQL = `
  select build_id as "buildId", stage_code as "stageCode", crew_id as "crewId", starts_on as "startsOn"
  from season_plan_stage where organisation_id = $1 and season_plan_id = $2`;

export interface PinToPlan {
  readonly id: string;
  readonly buildId: string;
  readonly stageCode: string | null;
  readonly crewId: string | null;
  readonly startsOn: string | null;
}

export interface EarlierStart {
  readonly buildId: string;
  readonly stageCode: string;
  readonly crewId: string | null;
  readonly startsOn: string;
}

export async function findProgrammeToPlan(tx: Tx, id: string): Promise<ProgrammeToPlan | null> {
  const [row] = await tx.sql<ProgrammeToPlan>(PROGRAMME_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export const villagesToPlan = (tx: Tx, programmeId: string, alsoIds: readonly string[]) =>
  tx.sql<VillageToPlan>(VILLAGES_SQL, [tx.organisationId, programmeId, alsoIds]);

export const crewsToPlan = (tx: Tx, programmeId: string) =>
  tx.sql<CrewToPlan>(CREWS_SQL, [tx.organisationId, programmeId]);

export const equipmentToPlan = (tx: Tx, programmeId: string) =>
  tx.sql<{ id: string; code: string; units: number }>(EQUIPMENT_SQL, [
    tx.organisationId,
    programmeId,
  ]);

export const kindsToPlan = (tx: Tx, kindIds: readonly string[]) =>
  tx.sql<{ id: string; stages: StageTemplate }>(KINDS_SQL, [tx.organisationId, kindIds]);

export const buildsToPlan = (tx: Tx, programmeId: string) =>
  tx.sql<BuildToPlan>(BUILDS_SQL, [tx.organisationId, programmeId]);

export const pinsToPlan = (tx: Tx, programmeId: string) =>
  tx.sql<PinToPlan>(PINS_SQL, [tx.organisationId, programmeId]);

export const earlierStarts = (tx: Tx, seasonPlanId: string) =>
  tx.sql<EarlierStart>(EARLIER_SQL, [tx.organisationId, seasonPlanId]);
