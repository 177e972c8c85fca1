import type { Build, BuildPatch, BuildStatus } from '../../../shared/contract/build.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

const COLUMNS = `
  b.id, b.version, b.created_at as "createdAt", b.updated_at as "updatedAt", b.code,
  b.programme_id as "programmeId", b.site_id as "siteId", s.code as "siteCode",
  b.village_id as "villageId", v.name as "villageName", b.design_revision_id as "designRevisionId",
  d.code as "designCode", r.capacity_l as "capacityL", b.tank_kind_id as "tankKindId",
  b.planned_start_on as "plannedStartOn", b.crew_id as "crewId",
  b.earliest_start_on as "earliestStartOn", b.due_on as "dueOn", b.priced_on as "pricedOn", b.status,
  b.percent_complete as "percentComplete", b.current_stage_code as "currentStageCode",
  b.started_on as "startedOn", b.handed_over_on as "handedOverOn", b.cancelled_on as "cancelledOn",
  (select jsonb_agg(jsonb_build_object('grantId', g.grant_id, 'shareRatio', g.share_ratio::text) order by g.grant_id)
    from build_grant_share g where g.organisation_id = b.organisation_id and g.build_id = b.id) as "grantShares"`;

const JOINS = `
  join site s on s.organisation_id = b.organisation_id and s.id = b.site_id
  join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
  join design_revision r on r.organisation_id = b.organisation_id and r.id = b.design_revision_id
  join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id`;

/** The page is cut from the builds alone; what is shown beside them is joined to that page. */
const LIST_SQL = `
  select ${COLUMNS}
  from (
    select * from build
    where organisation_id = $1 and ($2::uuid is null or programme_id = $2)
      and ($3::uuid is null or village_id = $3) and ($4::uuid is null or site_id = $4)
      and ($5::text is null or status = $5) and ($6::uuid is null or crew_id = $6)
      and ($7::text is null or (code, id) > ($7, $8::uuid))
    order by code, id limit $9
  ) b ${JOINS}
  order by b.code, b.id`;

const READ_SQL = `
  select ${COLUMNS} from build b ${JOINS} where b.organisation_id = $1 and b.id = $2`;

const LOCK_SQL = 'select id from build where organisation_id = $1 and id = $2 for update';

const UPDATE_SQL = `
  update build set planned_start_on = $4, crew_id = $5, earliest_start_on = $6, due_on = $7,
    version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2 and version = $3`;

const CANCEL_SQL = `
  update build set cancelled_on = $3, status = 'cancelled', version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

const PROGRAMME_SQL = `
  select id, currency, starts_on as "startsOn", ends_on as "endsOn" from programme
  where organisation_id = $1 and id = $2`;

const CREW_SQL = `
  select programme_id as "programmeId" from crew where organisation_id = $1 and id = $2`;

const GRANTS_SQL = `
  select id, programme_id as "programmeId", code from grant_agreement
  where organisation_id = $1 and id = any($2)`;

const SITES_SQL = `
  select s.id, s.code, s.programme_id as "programmeId", s.village_id as "villageId",
    z.design_revision_id as "designRevisionId", z.refusal, b.code as "liveBuildCode"
  from site s
    left join site_sizing z on z.organisation_id = s.organisation_id and z.site_id = s.id and z.is_latest
    left join build b on b.organisation_id = s.organisation_id and b.site_id = s.id and b.cancelled_on is null
  where s.organisation_id = $1 and ($2::uuid is null or s.programme_id = $2)
    and ($3::uuid[] is null or s.id = any($3))
  order by s.code, s.id`;

const TAKEN_CODES_SQL = `
  select code from build where organisation_id = $1 and code = any($2) order by code limit 20`;

interface BuildRow extends Omit<Build, 'percentComplete' | 'grantShares'> {
  percentComplete: string;
  grantShares: Build['grantShares'] | null;
}

const toBuild = (row: BuildRow): Build => ({
  ...row,
  percentComplete: Number(row.percentComplete),
  grantShares: (row.grantShares ?? []).map(({ grantId, shareRatio }) => ({
    grantId,
    shareRatio: quantityText(shareRatio),
  })),
});

const one = async <Row>(tx: Tx, sql: string, values: unknown[]): Promise<Row | null> =>
  (await tx.sql<Row>(sql, [tx.organisationId, ...values]))[0] ?? null;

export interface BuildFilter {
  readonly programmeId?: string | undefined;
  readonly villageId?: string | undefined;
  readonly siteId?: string | undefined;
  readonly status?: BuildStatus | undefined;
  readonly crewId?: string | undefined;
}

/** By code; one more than `limit`, when there is more. */
export async function listBuilds(
  tx: Tx,
  filter: BuildFilter,
  after: readonly string[] | null,
  limit: number,
): Promise<Build[]> {
  const rows = await tx.sql<BuildRow>(LIST_SQL, [
    tx.organisationId,
    filter.programmeId ?? null,
    filter.villageId ?? null,
    filter.siteId ?? null,
    filter.status ?? null,
    filter.crewId ?? null,
    after?.[0] ?? null,
    after?.[1] ?? null,
    limit + 1,
  ]);
  return rows.map(toBuild);
}

export async function findBuild(tx: Tx, id: string): Promise<Build | null> {
  const row = await one<BuildRow>(tx, READ_SQL, [id]);
  return row && toBuild(row);
}

/** The build as it stands, held against changes by others until the transaction ends. */
export async function lockBuild(tx: Tx, id: string): Promise<Build | null> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
  return findBuild(tx, id);
}

export async function updateBuild(
  tx: Tx,
  { id, version }: Pick<Build, 'id' | 'version'>,
  { plannedStartOn, crewId, earliestStartOn, dueOn }: Required<BuildPatch>,
): Promise<void> {
  await tx.sql(UPDATE_SQL, [
    tx.organisationId,
    id,
    version,
    plannedStartOn,
    crewId,
    earliestStartOn,
    dueOn,
  ]);
}

export async function cancelBuild(tx: Tx, id: string, cancelledOn: string): Promise<void> {
  await tx.sql(CANCEL_SQL, [tx.organisationId, id, cancelledOn]);
}

export interface ProgrammeForBuilding {
  readonly id: string;
  readonly currency: string;
  readonly startsOn: string;
  readonly endsOn: string;
}

export const findProgramme = (tx: Tx, id: string) =>
  one<ProgrammeForBuilding>(tx, PROGRAMME_SQL, [id]);

export const findCrew = (tx: Tx, id: string) => one<{ programmeId: string }>(tx, CREW_SQL, [id]);

export const findGrants = (tx: Tx, ids: readonly string[]) =>
  tx.sql<{ id: string; programmeId: string; code: string }>(GRANTS_SQL, [tx.organisationId, ids]);

export interface SiteForBuilding {
  readonly id: string;
  readonly code: string;
  readonly programmeId: string;
  readonly villageId: string;
  /** What its latest sizing chose. */
  readonly designRevisionId: string | null;
  /** Why its latest sizing chose nothing; with both null it was never sized. */
  readonly refusal: string | null;
  readonly liveBuildCode: string | null;
}

/** Sites of a programme by code; all of them when no ids are given. */
export const findSites = (tx: Tx, programmeId: string | null, ids: readonly string[] | null) =>
  tx.sql<SiteForBuilding>(SITES_SQL, [tx.organisationId, programmeId, ids]);

/** Those of the codes that builds have already, at most twenty. */
export async function takenCodes(tx: Tx, codes: readonly string[]): Promise<string[]> {
  const rows = await tx.sql<{ code: string }>(TAKEN_CODES_SQL, [tx.organisationId, codes]);
  return rows.map(({ code }) => code);
}
