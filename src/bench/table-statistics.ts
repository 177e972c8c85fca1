import { setTimeout } from 'node:timers/promises';
import type pg from 'pg';

/** The database looks once a minute for tables that need new statistics. */
const STATISTICS_WITHIN_S = 180;

const STATISTICS_SQL = `
  select bool_and(n_mod_since_analyze * 2 < n_live_tup) as are_all
  from pg_stat_user_tables where relname = any($1)`;

/**
 * Waits until the database knows tables that were filled a moment ago: plans of queries on them are
 * guesses before; in daily use they have statistics.
 */
export async function waitForStatistics(
  plain: pg.Client,
  tables: readonly string[],
): Promise<boolean> {
  for (let waitedS = 0; waitedS < STATISTICS_WITHIN_S; waitedS += 2) {
    const { rows } = await plain.query<{ are_all: boolean }>(STATISTICS_SQL, [tables]);
    if (rows[0]?.are_all) return true;
    await setTimeout(2_000);
  }
  return false;
}
