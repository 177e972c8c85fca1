import type { SiteSizing, SiteSizingSummary } from '../../../shared/contract/site-sizing.ts';
import type { Tx } from '../../db/database.ts';
import type { SizingFilter } from './use-cases.ts';

/** One sizing of a programme at a time: the next waits here and then finds the first. */
const LOCK_SQL = `
  select pg_advisory_xact_lock(hashtextextended('programme-sizing:' || id, 0)) from programme
  where organisation_id = $1 and id = $2`;

const LIST_SQL = `
  select z.id, z.job_id as "jobId", z.programme_id as "programmeId", z.site_id as "siteId",
    s.code as "siteCode", s.village_id as "villageId", z.rain_series_id as "rainSeriesId",
    z.engine_version as "engineVersion", z.design_revision_id as "designRevisionId",
    d.code as "designCode", r.capacity_l as "capacityL", z.refusal,
    z.demand_l_per_day as "demandLPerDay", z.mean_annual_runoff_l as "meanAnnualRunoffL",
    z.volumetric_reliability_ratio as "volumetricReliabilityRatio", z.days_met_ratio as "daysMetRatio",
    z.mean_yield_l_per_day as "meanYieldLPerDay", z.dry_months as "dryMonths", z.candidates,
    z.is_latest as "isLatest", z.created_at as "createdAt"
  from site s
    join site_sizing z on z.organisation_id = s.organisation_id and z.site_id = s.id
    left join design_revision r on r.organisation_id = z.organisation_id and r.id = z.design_revision_id
    left join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
  where s.organisation_id = $1 and s.programme_id = $2
    and ($3::boolean is null or z.is_latest = $3)
    and ($4::uuid is null or s.village_id = $4) and ($5::uuid is null or s.id = $5)
    and ($6::uuid is null or z.design_revision_id = $6) and ($7::text is null or z.refusal = $7)
    and ($8::uuid is null or z.job_id = $8)
    and ($9::text is null or (s.code, z.id) > ($9, $10::uuid))
  order by s.code, z.id limit $11`;

const COUNTS_SQL = `
  select p.id as "programmeId", count(s.id) as "siteCount",
    count(z.design_revision_id) as "chosenCount", count(z.refusal) as "refusedCount",
    count(s.id) filter (where z.id is null) as "unsizedCount",
    avg(z.volumetric_reliability_ratio) as "meanReliabilityRatio"
  from programme p
    left join site s on s.organisation_id = p.organisation_id and s.programme_id = p.id
    left join site_sizing z on z.organisation_id = s.organisation_id and z.site_id = s.id and z.is_latest
  where p.organisation_id = $1 and p.id = $2
  group by p.id`;

const BY_DESIGN_SQL = `
  select r.id as "designRevisionId", d.code as "designCode", r.revision_number as "revisionNumber",
    r.capacity_l as "capacityL", count(*) as "siteCount", sum(s.people_served) as "peopleServed"
  from site_sizing z
    join site s on s.organisation_id = z.organisation_id and s.id = z.site_id
    join design_revision r on r.organisation_id = z.organisation_id and r.id = z.design_revision_id
    join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
  where z.organisation_id = $1 and z.programme_id = $2 and z.is_latest
  group by r.id, d.code, r.revision_number, r.capacity_l
  order by r.capacity_l, d.code, r.revision_number`;

const BY_REFUSAL_SQL = `
  select refusal, count(*) as "siteCount" from site_sizing
  where organisation_id = $1 and programme_id = $2 and is_latest and refusal is not null
  group by refusal order by count(*) desc, refusal`;

/** False when there is no such programme. */
export async function lockSizing(tx: Tx, programmeId: string): Promise<boolean> {
  return (await tx.sql(LOCK_SQL, [tx.organisationId, programmeId])).length > 0;
}

/** By site code; one more than `limit`, when there is more. */
export const listSizings = (
  tx: Tx,
  filter: SizingFilter,
  after: readonly string[] | null,
  limit: number,
) =>
  tx.sql<SiteSizing>(LIST_SQL, [
    tx.organisationId,
    filter.programmeId,
    filter.latest ?? null,
    filter.villageId ?? null,
    filter.siteId ?? null,
    filter.designRevisionId ?? null,
    filter.refusal ?? null,
    filter.jobId ?? null,
    after?.[0] ?? null,
    after?.[1] ?? null,
    limit + 1,
  ]);

/** Null when there is no such programme. */
export async function findSummary(tx: Tx, programmeId: string): Promise<SiteSizingSummary | null> {
  const of = [tx.organisationId, programmeId];
  const [counts] = await tx.sql<Omit<SiteSizingSummary, 'byDesign' | 'byRefusal'>>(COUNTS_SQL, of);
  if (!counts) return null;
  return {
    ...counts,
    byDesign: await tx.sql(BY_DESIGN_SQL, of),
    byRefusal: await tx.sql(BY_REFUSAL_SQL, of),
  };
}
