import type { Tx } from '../../db/database.ts';

const WET_DAY_SQL = `
  select p.wet_day_mm as "wetDayMm" from programme p where p.organisation_id = $1 and p.id = $2`;

/** Villages with the station that they name, if it has a record. */
const VILLAGES_SQL = `
  select v.id as "villageId", v.code as "villageCode", v.name as "villageName",
    (select s.station_id from rain_series s where s.organisation_id = v.organisation_id
      and s.station_id = v.rain_station_id limit 1) as "stationId"
  from village v where v.organisation_id = $1 and v.id = any($2) order by v.code, v.id`;

const SERIES_SQL = `
  select distinct on (s.station_id) s.station_id as "stationId", t.code as "stationCode", s.id as "seriesId",
    s.starts_on as "startsOn", s.ends_on as "endsOn", s.daily_rain_mm as "dailyRainMm"
  from rain_series s join rain_station t on t.organisation_id = s.organisation_id and t.id = s.station_id
  where s.organisation_id = $1 and s.station_id = any($2)
  order by s.station_id, s.created_at desc, s.id desc`;

const HAS_RAIN_SQL = `
  select exists (
    select from season_plan_stage p
      join build b on b.organisation_id = p.organisation_id and b.id = p.build_id
      join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
      join rain_series s on s.organisation_id = v.organisation_id and s.station_id = v.rain_station_id
    where p.organisation_id = $1 and p.season_plan_id = $2) as "hasRain"`;

export interface VillageWithStation {
  readonly villageId: string;
  readonly villageCode: string;
  readonly villageName: string;
  /** Null when it names none, or one without a record. */
  readonly stationId: string | null;
}

export interface RainRecord {
  readonly stationId: string;
  readonly stationCode: string;
  readonly seriesId: string;
  readonly startsOn: string;
  readonly endsOn: string;
  readonly dailyRainMm: readonly (number | null)[];
}

export async function wetDayOf(tx: Tx, programmeId: string): Promise<number> {
  const [row] = await tx.sql<{ wetDayMm: number }>(WET_DAY_SQL, [tx.organisationId, programmeId]);
  if (!row) throw new Error('A season plan has no programme');
  return row.wetDayMm;
}

export const villagesWithStations = (tx: Tx, villageIds: readonly string[]) =>
  tx.sql<VillageWithStation>(VILLAGES_SQL, [tx.organisationId, villageIds]);

/** The newest record of each station. */
export const newestRecords = (tx: Tx, stationIds: readonly string[]) =>
  tx.sql<RainRecord>(SERIES_SQL, [tx.organisationId, stationIds]);

/** Whether any village of a plan has a record of rain. */
export async function planHasRain(tx: Tx, seasonPlanId: string): Promise<boolean> {
  const [row] = await tx.sql<{ hasRain: boolean }>(HAS_RAIN_SQL, [tx.organisationId, seasonPlanId]);
  return row?.hasRain ?? false;
}
