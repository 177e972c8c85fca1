import type { WorkSheet } from '../../../shared/contract/work-sheet.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';

const CREW_SQL = `
  select c.id, c.code, c.name, c.size, c.absences, c.available_from as "availableFrom",
    c.available_until as "availableUntil", c.home_village_id as "homeVillageId",
    p.id as "programmeId", p.name as "programmeName", p.working_weekdays as "workingWeekdays", p.holidays,
    p.move_detour_ratio as "detourRatio", p.move_speed_km_per_h as "speedKmPerH",
    p.move_packing_hours as "packingHours"
  from crew c join programme p on p.organisation_id = c.organisation_id and p.id = c.programme_id
  where c.organisation_id = $1 and c.id = $2`;

const PLAN_SQL = `
  select id, code, version_number as "versionNumber", published_at as "publishedAt" from season_plan
  where organisation_id = $1 and programme_id = $2 and standing = 'published'`;

const STAGES_SQL = `
  select s.build_id as "buildId", b.code as "buildCode", b.village_id as "villageId",
    b.tank_kind_id as "tankKindId", (r.input->>'waterDepthM')::float8 as "waterDepthM",
    s.stage_code as "stageCode", s.starts_on as "startsOn", s.finishes_on as "finishesOn"
  from season_plan_stage s
    join build b on b.organisation_id = s.organisation_id and b.id = s.build_id and b.cancelled_on is null
    join design_revision r on r.organisation_id = b.organisation_id and r.id = b.design_revision_id
  where s.organisation_id = $1 and s.season_plan_id = $2 and s.crew_id = $3
  order by s.starts_on, b.code, s.stage_code limit $4`;

const VILLAGES_SQL = `
  select id, name, lat_deg::float8 as "latDeg", lon_deg::float8 as "lonDeg",
    reachable_months as "reachableMonths", no_work_weekdays as "noWorkWeekdays"
  from village where organisation_id = $1 and id = any($2)`;

const KINDS_SQL = 'select id, stages from tank_kind where organisation_id = $1 and id = any($2)';

const MATERIALS_SQL = `
  select l.build_id as "buildId", l.stage_code as "stageCode", m.code as "materialCode",
    m.name as "materialName", sum(l.with_waste_quantity)::text as quantity, l.unit_code as "unitCode",
    l.is_in_kind as "isInKind"
  from bill_line l
    join unnest($2::uuid[], $3::text[]) as wanted (build_id, stage_code)
      on wanted.build_id = l.build_id and wanted.stage_code = l.stage_code
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where l.organisation_id = $1 and m.category <> 'labour'
  group by l.build_id, l.stage_code, m.code, m.name, l.unit_code, l.is_in_kind
  order by m.code`;

const NONCONFORMITIES_SQL = `
  select build_id as "buildId", record_id as "recordId", stage_code as "stageCode", kind,
    check_code as "checkCode", observed_on as "observedOn", detail, state, decision, due_on as "dueOn"
  from nonconformity
  where organisation_id = $1 and build_id = any($2) and state <> 'closed'
  order by observed_on, record_id limit $3`;

/** Stages that one crew has in one plan, at most. */
const MOST_STAGES = 20_000;
/** Non-conformities that a sheet names. */
const MOST_NONCONFORMITIES = 200;

export interface CrewOfSheet {
  readonly id: string;
  readonly code: string;
  readonly name: string;
  readonly size: number;
  readonly absences: readonly { readonly fromOn: string; readonly untilOn: string }[];
  readonly availableFrom: string | null;
  readonly availableUntil: string | null;
  readonly homeVillageId: string | null;
  readonly programmeId: string;
  readonly programmeName: string;
  readonly workingWeekdays: readonly number[];
  readonly holidays: readonly string[];
  readonly detourRatio: number;
  readonly speedKmPerH: number;
  readonly packingHours: number;
}

export interface StageOfSheet {
  readonly buildId: string;
  readonly buildCode: string;
  readonly villageId: string;
  readonly tankKindId: string;
  readonly waterDepthM: number;
  readonly stageCode: string;
  readonly startsOn: string;
  readonly finishesOn: string;
}

export interface VillageOfSheet {
  readonly id: string;
  readonly name: string;
  readonly latDeg: number | null;
  readonly lonDeg: number | null;
  readonly reachableMonths: readonly number[];
  readonly noWorkWeekdays: readonly number[];
}

type Material = WorkSheet['stages'][number]['materials'][number];
type Nonconformity = Omit<
  WorkSheet['nonconformities'][number],
  'buildCode' | 'villageName' | 'stageTitle'
>;

export async function findCrewOfSheet(tx: Tx, crewId: string): Promise<CrewOfSheet | null> {
  const [row] = await tx.sql<CrewOfSheet>(CREW_SQL, [tx.organisationId, crewId]);
  return row ?? null;
}

export async function publishedPlanOf(tx: Tx, programmeId: string): Promise<WorkSheet['plan']> {
  const [row] = await tx.sql<NonNullable<WorkSheet['plan']>>(PLAN_SQL, [
    tx.organisationId,
    programmeId,
  ]);
  return row ?? null;
}

/** Everything that the plan gives the crew, by day of start. */
export const stagesOfCrew = (tx: Tx, planId: string, crewId: string) =>
  tx.sql<StageOfSheet>(STAGES_SQL, [tx.organisationId, planId, crewId, MOST_STAGES]);

export async function villagesById(
  tx: Tx,
  ids: readonly string[],
): Promise<ReadonlyMap<string, VillageOfSheet>> {
  const rows = await tx.sql<VillageOfSheet>(VILLAGES_SQL, [tx.organisationId, ids]);
  return new Map(rows.map((row) => [row.id, row]));
}

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

export const materialsOfStages = (tx: Tx, stages: readonly StageOfSheet[]) =>
  tx.sql<Material & { buildId: string; stageCode: string }>(MATERIALS_SQL, [
    tx.organisationId,
    stages.map(({ buildId }) => buildId),
    stages.map(({ stageCode }) => stageCode),
  ]);

export const openNonconformities = (tx: Tx, buildIds: readonly string[]) =>
  tx.sql<Nonconformity>(NONCONFORMITIES_SQL, [tx.organisationId, buildIds, MOST_NONCONFORMITIES]);
