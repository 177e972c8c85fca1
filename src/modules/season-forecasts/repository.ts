import type {
  NewSeasonForecast,
  SeasonForecastRecord,
  SeasonForecastResult,
  SeasonForecastSummary,
} from '../../../shared/contract/season-forecast.ts';
import { ENGINE_VERSION } from '../../../shared/version.ts';
import type { Tx } from '../../db/database.ts';

const HEAD_COLUMNS = `
  id, season_plan_id as "seasonPlanId", job_id as "jobId", method, sample_count as "sampleCount", seed,
  engine_version as "engineVersion", created_by_id as "createdById", created_at as "createdAt"`;

const INSERT_SQL = `
  insert into season_forecast (organisation_id, id, season_plan_id, job_id, method, sample_count, seed,
    result, engine_version, created_by_id)
  values ($1, $2, $3, $2, $4, $5, $6, $7, $8, $9) on conflict do nothing`;

const LIST_SQL = `
  select ${HEAD_COLUMNS}, result - 'builds' - 'villages' as result from season_forecast
  where organisation_id = $1 and season_plan_id = $2
    and ($3::timestamptz is null or (created_at, id) < ($3, $4::uuid))
  order by created_at desc, id desc limit $5`;

const ONE_SQL = `
  select ${HEAD_COLUMNS}, result from season_forecast where organisation_id = $1 and id = $2`;

type Head = Omit<SeasonForecastRecord, keyof SeasonForecastResult>;

interface Row extends Head {
  readonly result: SeasonForecastResult;
}

const whole = ({ result, ...head }: Row): SeasonForecastRecord => ({ ...head, ...result });

/** Written once, however often the job is begun again. */
export async function insertForecast(
  tx: Tx,
  id: string,
  seasonPlanId: string,
  { method, samples, seed }: NewSeasonForecast,
  result: SeasonForecastResult,
): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    seasonPlanId,
    method,
    samples,
    seed,
    JSON.stringify(result),
    ENGINE_VERSION,
    tx.actor.personId,
  ]);
  await tx.audit('create', 'season forecast', id, { seasonPlanId, method, samples });
}

/** Newest first; `limit + 1` rows, to see whether there are more. */
export async function listForecasts(
  tx: Tx,
  seasonPlanId: string,
  after: readonly string[],
  limit: number,
): Promise<SeasonForecastSummary[]> {
  const [createdAt = null, id = null] = after;
  const values = [tx.organisationId, seasonPlanId, createdAt, id, limit + 1];
  return (await tx.sql<Row>(LIST_SQL, values)).map(whole);
}

export async function findForecast(tx: Tx, id: string): Promise<SeasonForecastRecord | null> {
  const [row] = await tx.sql<Row>(ONE_SQL, [tx.organisationId, id]);
  return row ? whole(row) : null;
}
