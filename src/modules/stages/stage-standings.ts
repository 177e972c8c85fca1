import { projectStages, type StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import type { Tx } from '../../db/database.ts';
import { factOf } from './facts.ts';
import { templateOf } from './progress.ts';
import { findBuilds, listRecordsUntil } from './repository.ts';

/** Builds read at a time: some eighty facts each. */
const BUILDS_AT_A_TIME = 250;
const FOR_EVER = '9999-12-31';

/** What the facts of builds that were observed until a day say about each of their stages. */
export async function stageStandings(
  tx: Tx,
  buildIds: readonly string[],
  untilDay = FOR_EVER,
): Promise<ReadonlyMap<string, StageProjection>> {
  const standings = new Map<string, StageProjection>();
  for (let from = 0; from < buildIds.length; from += BUILDS_AT_A_TIME) {
    const ids = buildIds.slice(from, from + BUILDS_AT_A_TIME);
    const byBuild = new Map<string, Parameters<typeof factOf>[0][]>();
    for (const record of await listRecordsUntil(tx, ids, untilDay)) {
      const facts = byBuild.get(record.buildId);
      if (facts) facts.push(record);
      else byBuild.set(record.buildId, [record]);
    }
    for (const build of await findBuilds(tx, ids)) {
      const facts = (byBuild.get(build.id) ?? []).map(factOf);
      standings.set(build.id, projectStages(templateOf(build), facts));
    }
  }
  return standings;
}
