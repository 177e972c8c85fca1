import { isDeepStrictEqual } from 'node:util';
import { v7 as uuidv7 } from 'uuid';
import type {
  BuildProgress,
  NewStageRecord,
  StageRecord,
} from '../../../shared/contract/stage-record.ts';
import { refuseFact } from '../../../shared/scheduling/stage-rules.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { deriveProgress, factOf, templateOf, toBuildProgress } from './progress.ts';
import {
  type BuildUnderWork,
  findBuild,
  findBuilds,
  findRecord,
  insertRecord,
  listRecords,
  listRecordsPage,
  listRecordsUntil,
  type StoredProgress,
  stageCosts,
  stageCostsOfMany,
  storeProgress,
} from './repository.ts';

/** Facts one build may have; a finished tank has about eighty. */
const MAX_FACTS = 2_000;

export interface Stages {
  /** Adds one fact when no rule forbids it, and brings the build's status up to date. */
  record(tx: Tx, buildId: string, input: NewStageRecord): Promise<StageRecord>;
  progress(tx: Tx, buildId: string): Promise<BuildProgress>;
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
    async listRecords(tx, buildId, after, limit) {
      await requireBuild(tx, buildId, false);
      return listRecordsPage(tx, buildId, after, limit);
    },

    async record(tx, buildId, input) {
      const build = await requireBuild(tx, buildId, true);
      const id = input.id ?? uuidv7();
      const earlier = await findRecord(tx, buildId, id);
      if (earlier) return sameOrConflict(earlier, input);
      refuseBuildState(build, input);
      refuseFutureDate(clock, '/observedOn', input.observedOn);
      const records = await listRecords(tx, buildId);
      if (records.length >= MAX_FACTS) {
        throw ruleBroken(
          'too-many-records',
          `A build takes ${MAX_FACTS} stage records at the most.`,
        );
      }
      const facts = records.map(factOf);
      const fact = factOf({
        ...input,
        id,
        checkCode: input.checkCode ?? null,
        measuredValue: input.measuredValue ?? null,
        reason: input.reason ?? null,
      });
      const broken = refuseFact(templateOf(build), facts, fact, tx.actor.roles);
      if (broken) {
        const { rule, detail, ...where } = broken;
        throw new DomainError('rule-broken', { rule, detail, extra: where });
      }
      await insertRecord(tx, buildId, id, input);
      const { stored } = deriveProgress(build, [...facts, fact], await stageCosts(tx, buildId));
      await storeProgress(tx, buildId, stored);
      await tx.audit('create', 'stage-record', id, { buildId, ...input });
      return (await findRecord(tx, buildId, id)) as StageRecord;
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
      const build = await requireBuild(tx, buildId, false);
      const facts = (await listRecords(tx, buildId)).map(factOf);
      return toBuildProgress(build, deriveProgress(build, facts, await stageCosts(tx, buildId)));
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

async function requireBuild(tx: Tx, buildId: string, lock: boolean): Promise<BuildUnderWork> {
  const build = await findBuild(tx, buildId, { lock });
  if (!build) throw notFound('build', buildId);
  return build;
}

function refuseBuildState(build: BuildUnderWork, { kind }: NewStageRecord) {
  if (build.cancelled_on !== null) {
    throw ruleBroken('build-cancelled', `The build was cancelled on ${build.cancelled_on}.`);
  }
  if (kind === 'started' && !build.is_design_approved) {
    throw ruleBroken(
      'design-not-approved',
      'No engineer approves the design of this build at present.',
    );
  }
}

/** A record sent twice counts once; the same id with other content is a clash. */
function sameOrConflict(earlier: StageRecord, input: NewStageRecord): StageRecord {
  const given = {
    stageCode: input.stageCode,
    kind: input.kind,
    observedOn: input.observedOn,
    checkCode: input.checkCode ?? null,
    measuredValue: input.measuredValue ?? null,
    reason: input.reason ?? null,
  };
  const { stageCode, kind, observedOn, checkCode, measuredValue, reason } = earlier;
  if (isDeepStrictEqual(given, { stageCode, kind, observedOn, checkCode, measuredValue, reason })) {
    return earlier;
  }
  throw new DomainError('conflict', { detail: `Stage record ${earlier.id} says something else.` });
}
