import type { Job } from '../../../shared/contract/job.ts';
import type {
  NewSeasonForecast,
  SeasonForecastRecord,
  SeasonForecastSummary,
} from '../../../shared/contract/season-forecast.ts';
import type { SeasonPlanRecord } from '../../../shared/contract/season-plan.ts';
import type { Tx } from '../../db/database.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import { jobRecord } from '../../jobs/job-record.ts';
import { requestJob } from '../../jobs/request-job.ts';
import { planHasRain } from './rain-repository.ts';
import { findForecast, listForecasts } from './repository.ts';

export interface SeasonForecasts {
  /** Asks for a forecast of a plan; the job's result names it. */
  request(tx: Tx, seasonPlanId: string, asked: NewSeasonForecast): Promise<Job>;
  /** Newest first, without builds and villages. */
  list(
    tx: Tx,
    seasonPlanId: string,
    page: { readonly limit: number; readonly cursor?: string | undefined },
  ): Promise<Page<SeasonForecastSummary>>;
  get(tx: Tx, id: string): Promise<SeasonForecastRecord>;
}

/** @param findPlan a season plan; null when there is none */
export function createSeasonForecasts(
  findPlan: (tx: Tx, seasonPlanId: string) => Promise<SeasonPlanRecord | null>,
): SeasonForecasts {
  async function requirePlan(tx: Tx, seasonPlanId: string): Promise<SeasonPlanRecord> {
    const plan = await findPlan(tx, seasonPlanId);
    if (!plan) throw notFound('season plan', seasonPlanId);
    return plan;
  }

  return {
    async request(tx, seasonPlanId, asked) {
      const plan = await requirePlan(tx, seasonPlanId);
      if (supposesCrews(plan)) {
        throw ruleBroken(
          'plan-supposes-crews',
          `Plan ${plan.code} supposes crews that are not known; only plans of known crews are forecast.`,
        );
      }
      if (!(await planHasRain(tx, seasonPlanId))) {
        throw ruleBroken(
          'no-rain-record',
          'No village of the plan names a rain station that has a record.',
        );
      }
      const running = await jobRecord.running(tx, 'season-forecasting', { seasonPlanId });
      if (running) {
        throw ruleBroken(
          'season-forecast-in-progress',
          `Job ${running} is forecasting this plan; wait for it or cancel it.`,
        );
      }
      return requestJob(tx, 'season-forecasting', { seasonPlanId, ...asked });
    },

    async list(tx, seasonPlanId, { limit, cursor }) {
      await requirePlan(tx, seasonPlanId);
      const name = `season-forecasts?${seasonPlanId}`;
      const after = cursor === undefined ? [] : openCursor(tx.actor, name, cursor);
      const rows = await listForecasts(tx, seasonPlanId, after, limit);
      const keyOf = (row: SeasonForecastSummary) => [row.createdAt, row.id];
      return toPage(tx.actor, name, rows, limit, keyOf, (row) => row);
    },

    async get(tx, id) {
      const found = await findForecast(tx, id);
      if (!found) throw notFound('season forecast', id);
      return found;
    },
  };
}

/** Whether a what-if has crews that nobody knows: its stages keep no crew. */
function supposesCrews({ settings }: SeasonPlanRecord): boolean {
  const { assumptions } = settings as { assumptions?: { extraCrews?: readonly unknown[] } };
  return (assumptions?.extraCrews ?? []).length > 0;
}
