import type { BuildWork } from '../../../shared/contract/build-work.ts';
import type { BuildProgress, StageRecord } from '../../../shared/contract/stage-record.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { notFound } from '../../domain/errors.ts';
import { factOf } from './facts.ts';
import { deriveProgress, templateOf, toBuildProgress } from './progress.ts';
import { createRecording, type Recording } from './recording.ts';
import {
  type BuildUnderWork,
  findBuild,
  findBuilds,
  listRecords,
  listRecordsPage,
  listRecordsUntil,
  type StoredProgress,
  stageCosts,
  stageCostsOfMany,
} from './repository.ts';
import { workOfBuild } from './work.ts';

export interface Stages extends Recording {
  progress(tx: Tx, buildId: string): Promise<BuildProgress>;
  /** People-days, hours and quantities of the work records, stage by stage. */
  work(tx: Tx, buildId: string): Promise<BuildWork>;
  /** Where builds stood at the end of a day, by the facts observed until then. */
  standingsOn(
    tx: Tx,
    buildIds: readonly string[],
    day: string,
  ): Promise<ReadonlyMap<string, StoredProgress>>;
}

export interface StageReads {
  /** Up to `limit + 1` records after the given key, so that the caller sees whether there are more. */
  listRecords(
    tx: Tx,
    buildId: string,
    after: readonly string[] | null,
    limit: number,
  ): Promise<StageRecord[]>;
}

export function createStages(clock: Clock): Stages & StageReads {
  return {
    ...createRecording(clock),

    async listRecords(tx, buildId, after, limit) {
      await requireBuild(tx, buildId);
      return listRecordsPage(tx, buildId, after, limit);
    },

    async standingsOn(tx, buildIds, day) {
      const records = groupBy(await listRecordsUntil(tx, buildIds, day), (row) => row.buildId);
      const costs = groupBy(await stageCostsOfMany(tx, buildIds), (row) => row.build_id);
      const standings = new Map<string, StoredProgress>();
      for (const build of await findBuilds(tx, buildIds)) {
        const facts = (records.get(build.id) ?? []).map(factOf);
        const wasCancelled = build.cancelled_on !== null && build.cancelled_on <= day;
        const then = { ...build, cancelled_on: wasCancelled ? build.cancelled_on : null };
        standings.set(build.id, deriveProgress(then, facts, costs.get(build.id) ?? []).stored);
      }
      return standings;
    },

    async progress(tx, buildId) {
      const build = await requireBuild(tx, buildId);
      const facts = (await listRecords(tx, buildId)).map(factOf);
      return toBuildProgress(build, deriveProgress(build, facts, await stageCosts(tx, buildId)));
    },

    async work(tx, buildId) {
      const build = await requireBuild(tx, buildId);
      return workOfBuild(tx, buildId, templateOf(build));
    },
  };
}

function groupBy<Row>(rows: readonly Row[], keyOf: (row: Row) => string): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const group = groups.get(keyOf(row));
    if (group) group.push(row);
    else groups.set(keyOf(row), [row]);
  }
  return groups;
}

async function requireBuild(tx: Tx, buildId: string): Promise<BuildUnderWork> {
  const build = await findBuild(tx, buildId, { lock: false });
  if (!build) throw notFound('build', buildId);
  return build;
}
