import type { StageFact } from '../../../shared/scheduling/stage-facts.ts';
import { type StatusDays, stageStatusDays } from '../../../shared/scheduling/stage-status-days.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';

const IS_KEPT_SQL = `
  select 1 from build_stage_standing where organisation_id = $1 and build_id = $2 limit 1`;

const DELETE_SQL = `
  delete from build_stage_standing where organisation_id = $1 and build_id = $2 and since_on >= $3`;

/** A stretch that was running on the day ends with the first change from then on, or runs again. */
const END_SQL = `
  update build_stage_standing s set until_on = t.until_on
  from (
    select k.stage_code, k.since_on, c.changes_on as until_on
    from build_stage_standing k
      left join unnest($4::text[], $5::date[]) as c (stage_code, changes_on) on c.stage_code = k.stage_code
    where k.organisation_id = $1 and k.build_id = $2 and (k.until_on is null or k.until_on >= $3)
  ) t
  where s.organisation_id = $1 and s.build_id = $2 and s.stage_code = t.stage_code
    and s.since_on = t.since_on and s.until_on is distinct from t.until_on`;

const INSERT_SQL = `
  insert into build_stage_standing (organisation_id, build_id, stage_code, since_on, until_on, status)
  select $1, t.* from unnest($2::uuid[], $3::text[], $4::date[], $5::date[], $6::text[]) as t`;

/** Rows written by one statement. */
const ROWS_AT_A_TIME = 5_000;

export interface BuildStanding extends StatusDays {
  readonly buildId: string;
}

/**
 * Keeps since when each stage of a build stands how, after facts were added. To be called with the
 * build locked, so that its facts are judged one after the other.
 *
 * @param facts all of the build, with those that were added
 */
export async function keepStageStandings(
  tx: Tx,
  buildId: string,
  template: StageTemplate,
  facts: readonly StageFact[],
  added: readonly StageFact[],
): Promise<void> {
  const [firstDay = ''] = added.map(({ observedOn }) => observedOn).sort();
  const of = [tx.organisationId, buildId];
  const isKept = (await tx.sql(IS_KEPT_SQL, of)).length > 0;
  const fromDay = isKept ? firstDay : '';
  const standings = stageStatusDays(template, facts, fromDay);
  if (isKept) {
    await tx.sql(DELETE_SQL, [...of, fromDay]);
    const first = new Map<string, string>();
    for (const { stageCode, sinceOn } of standings) {
      if (!first.has(stageCode)) first.set(stageCode, sinceOn);
    }
    await tx.sql(END_SQL, [...of, fromDay, [...first.keys()], [...first.values()]]);
  }
  await insertStandings(
    tx,
    standings.map((standing) => ({ ...standing, buildId })),
  );
}

export async function insertStandings(tx: Tx, standings: readonly BuildStanding[]): Promise<void> {
  for (let from = 0; from < standings.length; from += ROWS_AT_A_TIME) {
    const rows = standings.slice(from, from + ROWS_AT_A_TIME);
    await tx.sql(INSERT_SQL, [
      tx.organisationId,
      rows.map(({ buildId }) => buildId),
      rows.map(({ stageCode }) => stageCode),
      rows.map(({ sinceOn }) => sinceOn),
      rows.map(({ untilOn }) => untilOn),
      rows.map(({ status }) => status),
    ]);
  }
}
