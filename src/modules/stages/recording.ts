import { isDeepStrictEqual } from 'node:util';
import { v7 as uuidv7 } from 'uuid';
import type {
  NewStageRecord,
  NewStageRecordBatch,
  StageRecord,
  StageRecordBatch,
} from '../../../shared/contract/stage-record.ts';
import { byObservation } from '../../../shared/scheduling/fact-order.ts';
import type { StageFact } from '../../../shared/scheduling/stage-facts.ts';
import { refuseFact, refuseLateFact } from '../../../shared/scheduling/stage-rules.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { keepStageStandings } from '../season-progress/stage-standing-register.ts';
import { contentOf, factOf } from './facts.ts';
import { rewriteNonconformities } from './nonconformity-register.ts';
import { deriveProgress, templateOf } from './progress.ts';
import { contentFaults, isSameRecord, type KnownThings, knownThings } from './record-content.ts';
import {
  type BuildUnderWork,
  findBuild,
  findRecord,
  findRecords,
  insertRecord,
  listRecords,
  listRecordsOfMany,
  lockBuilds,
  stageCosts,
  storeProgress,
} from './repository.ts';

/** Facts one build may have; a finished tank has about two hundred. */
const MAX_FACTS = 2_000;

type Sent = NewStageRecordBatch['records'][number];
type Outcome = StageRecordBatch['outcomes'][number];

export interface Recording {
  /**
   * Adds one fact when no rule forbids it by what is there at its date, and brings the build up to
   * date: for a person at the screen, who is told at once.
   */
  record(tx: Tx, buildId: string, input: NewStageRecord): Promise<StageRecord>;
  /**
   * Adds facts that may be late, sent before or ahead of others: only what no fact to come can mend
   * is refused, each record by itself. The order of arrival changes nothing of what is said after.
   */
  recordBatch(tx: Tx, batch: NewStageRecordBatch): Promise<StageRecordBatch>;
}

export function createRecording(clock: Clock): Recording {
  return {
    async record(tx, buildId, input) {
      const build = await findBuild(tx, buildId, { lock: true });
      if (!build) throw notFound('build', buildId);
      const id = input.id ?? uuidv7();
      const [earlier] = await findRecords(tx, [id]);
      if (earlier) return sameOrConflict(earlier, buildId, input);
      if (build.cancelled_on !== null) throw buildCancelled(build.cancelled_on);
      if (input.kind === 'started' && !build.is_design_approved) throw designNotApproved();
      refuseFutureDate(clock, '/observedOn', input.observedOn);
      const faults = contentFaults(input, await knownThings(tx, [input]));
      if (faults.length > 0) throw invalidContent(faults);
      const records = await listRecords(tx, buildId);
      if (records.length >= MAX_FACTS) throw tooManyRecords();
      const facts = records.map(factOf);
      const fact = factOf(contentOf(id, input));
      const broken = refuseFact(templateOf(build), facts, fact, tx.actor.roles);
      if (broken) {
        const { rule, detail, ...where } = broken;
        throw new DomainError('rule-broken', { rule, detail, extra: where });
      }
      await insertRecord(tx, buildId, id, input);
      await bringUpToDate(tx, build, records, [fact]);
      await tx.audit('create', 'stage-record', id, { buildId, ...input });
      return (await findRecord(tx, buildId, id)) as StageRecord;
    },

    async recordBatch(tx, { records }) {
      const buildIds = [...new Set(records.map(({ buildId }) => buildId))];
      const builds = await lockBuilds(tx, buildIds);
      if (builds.length === 0) throw unknownBuilds(records);
      const stored = await findRecords(
        tx,
        records.map(({ id }) => id),
      );
      const judge: Judge = {
        roles: tx.actor.roles,
        today: clock.today(),
        known: await knownThings(tx, records),
        earlierById: new Map(stored.map((record) => [record.id, record])),
        workById: new Map(builds.map((build) => [build.id, { build, records: [], taken: [] }])),
        takenById: new Map(),
      };
      for (const record of await listRecordsOfMany(tx, buildIds)) {
        judge.workById.get(record.buildId)?.records.push(record);
      }
      // In the order in which things were seen, so that a batch stands on itself where it can.
      const ordered = records
        .map((sent, index) => ({ sent, index, fact: factOf(contentOf(sent.id, sent)) }))
        .sort((a, b) => byObservation(a.fact, b.fact));
      const outcomes: Outcome[] = [];
      for (const { sent, index, fact } of ordered) {
        outcomes[index] = { id: sent.id, buildId: sent.buildId, ...judged(judge, sent, fact) };
      }
      for (const { build, records: before, taken } of judge.workById.values()) {
        if (taken.length === 0) continue;
        for (const { sent } of taken) {
          const { id, buildId, ...content } = sent;
          await insertRecord(tx, buildId, id, content);
          await tx.audit('create', 'stage-record', id, { buildId, ...content });
        }
        const facts = taken.map(({ fact }) => fact);
        await bringUpToDate(tx, build, before, facts);
      }
      return { outcomes };
    },
  };
}

interface Judge {
  readonly roles: readonly string[];
  readonly today: string;
  readonly known: KnownThings;
  readonly earlierById: ReadonlyMap<string, StageRecord>;
  readonly workById: ReadonlyMap<
    string,
    {
      readonly build: BuildUnderWork;
      readonly records: StageRecord[];
      readonly taken: { readonly sent: Sent; readonly fact: StageFact }[];
    }
  >;
  readonly takenById: Map<string, Sent>;
}

/** What becomes of one record of a batch; one that is taken is put with its build. */
function judged(judge: Judge, sent: Sent, fact: StageFact): Omit<Outcome, 'id' | 'buildId'> {
  const refused = (rule: string, detail: string) => ({ outcome: 'refused', rule, detail }) as const;
  const done = (outcome: 'recorded' | 'already-recorded') => ({
    outcome,
    rule: null,
    detail: null,
  });
  const earlier = judge.earlierById.get(sent.id);
  const twin = judge.takenById.get(sent.id);
  if (earlier || twin) {
    const isSame = earlier
      ? isSameRecord(earlier, sent.buildId, sent)
      : isDeepStrictEqual(twin, sent);
    return isSame
      ? done('already-recorded')
      : refused('conflict', `Stage record ${sent.id} says something else.`);
  }
  const work = judge.workById.get(sent.buildId);
  if (!work) return refused('unknown-build', `There is no build ${sent.buildId}.`);
  const { build, records, taken } = work;
  if (build.cancelled_on !== null && sent.observedOn > build.cancelled_on) {
    return refused('build-cancelled', buildCancelled(build.cancelled_on).message);
  }
  if (sent.kind === 'started' && !build.is_design_approved) {
    return refused('design-not-approved', designNotApproved().message);
  }
  if (sent.observedOn > judge.today) {
    return refused('invalid-content', `/observedOn must not be after today, ${judge.today}`);
  }
  const [fault] = contentFaults(sent, judge.known);
  if (fault) return refused('invalid-content', `${fault.pointer} ${fault.message}`);
  if (records.length + taken.length >= MAX_FACTS) {
    return refused('too-many-records', tooManyRecords().message);
  }
  const facts = [...records.map(factOf), ...taken.map((other) => other.fact)];
  const broken = refuseLateFact(templateOf(build), facts, fact, judge.roles);
  if (broken) return refused(broken.rule, broken.detail);
  taken.push({ sent, fact });
  judge.takenById.set(sent.id, sent);
  return done('recorded');
}

/** Status, share done and non-conformities of a build, from its records and those just added. */
async function bringUpToDate(
  tx: Tx,
  build: BuildUnderWork,
  records: readonly StageRecord[],
  added: readonly StageFact[],
) {
  const facts = [...records.map(factOf), ...added];
  const { stored, projection } = deriveProgress(build, facts, await stageCosts(tx, build.id));
  await storeProgress(tx, build.id, stored);
  await keepStageStandings(tx, build.id, templateOf(build), facts, added);
  await rewriteNonconformities(
    tx,
    build.id,
    projection,
    new Map([
      ...records.map(({ id, recordedById }) => [id, recordedById] as const),
      ...added.map(({ factId }) => [factId, tx.actor.personId] as const),
    ]),
  );
}

/** A record sent twice counts once; the same id with other content is a clash. */
function sameOrConflict(earlier: StageRecord, buildId: string, input: NewStageRecord): StageRecord {
  if (isSameRecord(earlier, buildId, input)) return earlier;
  throw new DomainError('conflict', { detail: `Stage record ${earlier.id} says something else.` });
}

const buildCancelled = (cancelledOn: string) =>
  ruleBroken('build-cancelled', `The build was cancelled on ${cancelledOn}.`);

const designNotApproved = () =>
  ruleBroken('design-not-approved', 'No engineer approves the design of this build at present.');

/** Of a batch that is about no build of ours; one that is about some is judged record by record. */
const unknownBuilds = (records: readonly Sent[]) =>
  invalidContent(
    records.map(({ buildId }, index) => ({
      pointer: `/records/${index}/buildId`,
      code: 'reference.unknown',
      message: 'is no build',
      rejectedValue: buildId,
    })),
  );

const tooManyRecords = () =>
  ruleBroken('too-many-records', `A build takes ${MAX_FACTS} stage records at the most.`);
