import type {
  NewRainStation,
  RainSeriesHead,
  RainStation,
  RainStationPatch,
} from '../../../shared/contract/rain.ts';
import type { Tx } from '../../db/database.ts';
import { documentStore } from '../../db/document-store.ts';
import type { RainStationModel as RainStationRow } from '../../db/generated/models.ts';
import { documentFieldsOf, numberOrNull } from '../../db/wire-values.ts';
import { notFound } from '../../domain/errors.ts';

export const rainStationStore = documentStore<
  RainStationRow,
  RainStation,
  NewRainStation,
  RainStationPatch
>({
  noun: 'rain station',
  sortKey: 'code',
  delegate: (prisma) => prisma.rainStation,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    code: row.code,
    name: row.name,
    source: row.source,
    latDeg: numberOrNull(row.latDeg),
    lonDeg: numberOrNull(row.lonDeg),
  }),
  toColumns: (input) => input,
});

const HEAD = `
  s.id, s.station_id, s.starts_on, s.ends_on, cardinality(s.daily_rain_mm) as day_count,
  s.missing_day_count, s.missing_days_declared, s.source, s.created_at,
  not exists (
    select from rain_series newer
    where newer.organisation_id = s.organisation_id and newer.station_id = s.station_id
      and (newer.created_at, newer.id) > (s.created_at, s.id)) as is_current`;

const INSERT_SQL = `
  insert into rain_series (organisation_id, id, station_id, starts_on, ends_on, daily_rain_mm,
    missing_day_count, missing_days_declared, source, created_at)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, clock_timestamp())`;

const LIST_SQL = `
  select ${HEAD} from rain_series s
  where s.organisation_id = $1 and s.station_id = $2
    and ($3::timestamptz is null or (s.created_at, s.id) < ($3, $4::uuid))
  order by s.created_at desc, s.id desc limit $5`;

const GET_SQL = `
  select ${HEAD}, s.daily_rain_mm from rain_series s where s.organisation_id = $1 and s.id = $2`;

interface HeadRow {
  id: string;
  station_id: string;
  starts_on: string;
  ends_on: string;
  day_count: number;
  missing_day_count: number;
  missing_days_declared: boolean;
  source: string;
  created_at: string;
  is_current: boolean;
}

export interface NewSeriesRow {
  readonly id: string;
  readonly stationId: string;
  readonly startsOn: string;
  readonly endsOn: string;
  readonly dailyRainMm: readonly (number | null)[];
  readonly missingDayCount: number;
  readonly missingDaysDeclared: boolean;
  readonly source: string;
}

export interface RainSeriesStore {
  insert(tx: Tx, row: NewSeriesRow): Promise<void>;
  /** Newest first; `limit + 1` rows, to see whether there are more. */
  list(
    tx: Tx,
    stationId: string,
    page: { limit: number; after: readonly string[] | null },
  ): Promise<RainSeriesHead[]>;
  get(
    tx: Tx,
    id: string,
  ): Promise<{ head: RainSeriesHead; dailyRainMm: readonly (number | null)[] }>;
}

export const rainSeriesStore: RainSeriesStore = {
  async insert(tx, row) {
    await tx.sql(INSERT_SQL, [
      tx.organisationId,
      row.id,
      row.stationId,
      row.startsOn,
      row.endsOn,
      row.dailyRainMm,
      row.missingDayCount,
      row.missingDaysDeclared,
      row.source,
    ]);
  },
  async list(tx, stationId, { limit, after }) {
    const [createdAt = null, id = null] = after ?? [];
    const values = [tx.organisationId, stationId, createdAt, id, limit + 1];
    return (await tx.sql<HeadRow>(LIST_SQL, values)).map(toHead);
  },
  async get(tx, id) {
    const [row] = await tx.sql<HeadRow & { daily_rain_mm: (number | null)[] }>(GET_SQL, [
      tx.organisationId,
      id,
    ]);
    if (!row) throw notFound('rain series', id);
    return { head: toHead(row), dailyRainMm: row.daily_rain_mm };
  },
};

const toHead = (row: HeadRow): RainSeriesHead => ({
  id: row.id,
  stationId: row.station_id,
  startsOn: row.starts_on,
  endsOn: row.ends_on,
  dayCount: row.day_count,
  missingDayCount: row.missing_day_count,
  missingDaysDeclared: row.missing_days_declared,
  source: row.source,
  isCurrent: row.is_current,
  createdAt: row.created_at,
});
