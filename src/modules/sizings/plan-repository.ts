import { completeDailyRain } from '../../../shared/hydrology/rainfall-series.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
import type {
  SizedSite,
  SizingRain,
  SizingRules,
  SizingSite,
  StandardDesign,
} from '../../workers/tasks/size-sites.ts';

const RULES_SQL = `
  select target_reliability_ratio as "targetReliabilityRatio",
    litres_per_person_per_day as "litresPerPersonPerDay", operating_rule as "operatingRule",
    first_flush_mm as "firstFlushMm", gutter_efficiency_ratio as "gutterEfficiencyRatio"
  from programme where organisation_id = $1 and id = $2`;

/** Standard designs whose approval was withdrawn since are no longer offered to any site. */
const DESIGNS_SQL = `
  select r.id as "designRevisionId", r.capacity_l as "capacityL",
    (r.result->>'bearingPressureWithLiveLoadPa')::float8 as "bearingPressurePa"
  from programme_standard_design s
    join design_revision r on r.organisation_id = s.organisation_id and r.id = s.design_revision_id
    join design_approval a on a.organisation_id = r.organisation_id and a.design_revision_id = r.id
  where s.organisation_id = $1 and s.programme_id = $2 and a.decision = 'approved'`;

/** The newest series of every station that a site of the programme goes by. */
const SERIES_SQL = `
  select distinct on (v.rain_station_id) v.rain_station_id as "stationId", r.id as "seriesId",
    r.starts_on as "startsOn", r.daily_rain_mm as "dailyRainMm", r.missing_days_declared as "isDeclared"
  from (select distinct village_id from site where organisation_id = $1 and programme_id = $2) s
    join village v on v.organisation_id = $1 and v.id = s.village_id
    join rain_series r on r.organisation_id = $1 and r.station_id = v.rain_station_id
  order by v.rain_station_id, r.created_at desc, r.id desc`;

const COUNTS_SQL = `
  select (select count(*) from site where organisation_id = $1 and programme_id = $2) as total,
    (select count(*) from site_sizing where organisation_id = $1 and programme_id = $2 and job_id = $3) as done`;

/** Sites that this job has not sized yet, so that another attempt goes on where the last one ended. */
const SITES_SQL = `
  select s.id as "siteId", s.code, v.rain_station_id as "stationId", s.roof_area_m2 as "roofAreaM2",
    s.roof_kind as "roofKind", s.runoff_coefficient as "runoffCoefficient",
    s.people_served as "peopleServed", s.litres_per_person_per_day as "litresPerPersonPerDay",
    s.demand_l_per_day as "demandLPerDay", s.ground_class as "groundClass"
  from site s
    join village v on v.organisation_id = s.organisation_id and v.id = s.village_id
  where s.organisation_id = $1 and s.programme_id = $2 and ($3::uuid is null or s.id > $3)
    and not exists (select from site_sizing z
      where z.organisation_id = s.organisation_id and z.site_id = s.id and z.job_id = $4)
  order by s.id limit $5`;

const SUPERSEDE_SQL = `
  update site_sizing set is_latest = false
  where organisation_id = $1 and site_id = any($2) and is_latest`;

const INSERT_SQL = `
  insert into site_sizing (organisation_id, id, job_id, programme_id, site_id, rain_series_id,
    engine_version, design_revision_id, refusal, demand_l_per_day, mean_annual_runoff_l,
    volumetric_reliability_ratio, days_met_ratio, mean_yield_l_per_day, dry_months, candidates)
  select $1, gen_random_uuid(), $2, $3, "siteId", "seriesId", $4, "designRevisionId", refusal,
    "demandLPerDay", "meanAnnualRunoffL", "volumetricReliabilityRatio", "daysMetRatio",
    "meanYieldLPerDay", "dryMonths", candidates
  from jsonb_to_recordset($5) as sized ("siteId" uuid, "seriesId" uuid, "designRevisionId" uuid,
    refusal text, "demandLPerDay" float8, "meanAnnualRunoffL" float8,
    "volumetricReliabilityRatio" float8, "daysMetRatio" float8, "meanYieldLPerDay" float8,
    "dryMonths" integer[], candidates jsonb)`;

const one = async <Row>(tx: Tx, sql: string, values: unknown[]): Promise<Row | undefined> =>
  (await tx.sql<Row>(sql, [tx.organisationId, ...values]))[0];

interface SeriesRow {
  stationId: string;
  seriesId: string;
  startsOn: string;
  dailyRainMm: (number | null)[];
  isDeclared: boolean;
}

export interface SizingPlan {
  readonly rules: SizingRules;
  readonly designs: readonly StandardDesign[];
  readonly rainByStation: ReadonlyMap<string, SizingRain>;
  readonly total: number;
  /** Sites that an earlier attempt of the job has sized. */
  readonly done: number;
}

/** Everything that does not change from site to site. */
export async function readPlan(tx: Tx, programmeId: string, jobId: string): Promise<SizingPlan> {
  const rules = await one<SizingRules>(tx, RULES_SQL, [programmeId]);
  if (!rules) throw notFound('programme', programmeId);
  const designs = await tx.sql<StandardDesign>(DESIGNS_SQL, [tx.organisationId, programmeId]);
  const series = await tx.sql<SeriesRow>(SERIES_SQL, [tx.organisationId, programmeId]);
  const counts = await one<{ total: number; done: number }>(tx, COUNTS_SQL, [programmeId, jobId]);
  return {
    rules,
    designs,
    rainByStation: new Map(
      series.map(({ stationId, seriesId, startsOn, dailyRainMm, isDeclared }) => {
        const policy = isDeclared ? 'count-as-dry' : 'refuse';
        const complete = completeDailyRain({ startsOn, dailyRainMm }, policy);
        return [stationId, { seriesId, startsOn, dailyRainMm: Float64Array.from(complete) }];
      }),
    ),
    total: counts?.total ?? 0,
    done: counts?.done ?? 0,
  };
}

export type SiteToSize = Omit<SizingSite, 'seriesId'> & { readonly stationId: string | null };

export const readSites = (
  tx: Tx,
  programmeId: string,
  jobId: string,
  afterSiteId: string | null,
  limit: number,
) => tx.sql<SiteToSize>(SITES_SQL, [tx.organisationId, programmeId, afterSiteId, jobId, limit]);

/** Writes the sizing of a chunk of sites and makes it the latest in the same step. */
export async function writeSizings(
  tx: Tx,
  { jobId, programmeId, engineVersion }: Record<'jobId' | 'programmeId' | 'engineVersion', string>,
  sized: readonly SizedSite[],
): Promise<void> {
  // Foreign keys are checked by plans that a connection keeps, made perhaps when it had no sites yet.
  await tx.sql('discard plans');
  const siteIds = sized.map(({ siteId }) => siteId);
  await tx.sql(SUPERSEDE_SQL, [tx.organisationId, siteIds]);
  const rows = JSON.stringify(sized);
  await tx.sql(INSERT_SQL, [tx.organisationId, jobId, programmeId, engineVersion, rows]);
}
