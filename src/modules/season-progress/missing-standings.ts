import type { StageFact } from '../../../shared/scheduling/stage-facts.ts';
import { stageStatusDays } from '../../../shared/scheduling/stage-status-days.ts';
import type { Tx } from '../../db/database.ts';
import { factOf } from '../stages/facts.ts';
import { templateOf } from '../stages/progress.ts';
import { findBuilds, listRecordsOfMany } from '../stages/repository.ts';
import { type BuildStanding, insertStandings } from './stage-standing-register.ts';

/** Whoever records on a build holds it and keeps its standings; that is waited for. */
const MISSING_SQL = `
  select b.id from build b
  where b.organisation_id = $1 and b.programme_id = $2 and (b.started_on is not null or b.percent_complete > 0)
    and not exists (select from build_stage_standing s where s.organisation_id = $1 and s.build_id = b.id)
  order by b.id for no key update of b`;

const STILL_MISSING_SQL = `
  select b.id from unnest($2::uuid[]) as b (id)
  where not exists (select from build_stage_standing s where s.organisation_id = $1 and s.build_id = b.id)
  order by b.id`;

/** Builds read at a time: some eighty facts each. */
const BUILDS_AT_A_TIME = 250;

/**
 * Keeps the standings of builds that were recorded on before standings were kept: once, by whoever
 * asks first. Afterwards each record keeps them.
 */
export async function keepMissingStandings(tx: Tx, programmeId: string): Promise<void> {
  const locked = await tx.sql<{ id: string }>(MISSING_SQL, [tx.organisationId, programmeId]);
  if (locked.length === 0) return;
  const still = await tx.sql<{ id: string }>(STILL_MISSING_SQL, [
    tx.organisationId,
    locked.map(({ id }) => id),
  ]);
  for (let from = 0; from < still.length; from += BUILDS_AT_A_TIME) {
    const ids = still.slice(from, from + BUILDS_AT_A_TIME).map(({ id }) => id);
    const facts = new Map<string, StageFact[]>(ids.map((id) => [id, []]));
    for (const record of await listRecordsOfMany(tx, ids)) {
      facts.get(record.buildId)?.push(factOf(record));
    }
    const standings: BuildStanding[] = [];
    for (const build of await findBuilds(tx, ids)) {
      for (const standing of stageStatusDays(templateOf(build), facts.get(build.id) ?? [])) {
        standings.push({ ...standing, buildId: build.id });
      }
    }
    await insertStandings(tx, standings);
  }
}
