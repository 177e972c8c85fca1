import { v7 as uuidv7 } from 'uuid';
import type {
  Contribution,
  ContributionPatch,
  ContributionRecord,
  ContributionReversal,
  ContributionWaiver,
  NewContribution,
  NewContributionRecord,
  NewContributionWaiver,
} from '../../../shared/contract/contribution.ts';
import type { CostEntry, CostReversal, NewCostEntry } from '../../../shared/contract/cost-entry.ts';
import { lineAmount } from '../../../shared/costing/money.ts';
import { compareQuantities, subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { type DocumentStore, withRelated } from '../../db/document-store.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import {
  findRecord,
  insertRecord,
  insertWaiver,
  isRecordReversed,
  listRecords,
  listWaivers,
} from './record-repository.ts';
import {
  type BareContribution,
  bareContributions,
  findMaterial,
  lockContribution,
  withStandings,
} from './repository.ts';

/** What the ledger of costs does for contributions. */
export interface InKindLedger {
  record(tx: Tx, input: NewCostEntry): Promise<CostEntry>;
  reverse(tx: Tx, id: string, input: CostReversal): Promise<CostEntry>;
}

export interface Contributions {
  readonly store: DocumentStore<Contribution, NewContribution, ContributionPatch>;
  guardCreate(tx: Tx, input: NewContribution): Promise<void>;
  guardEdit(tx: Tx, id: string, patch: ContributionPatch): Promise<void>;
  /** Counts what came and posts it as a cost in kind at the agreed rate. */
  record(tx: Tx, id: string, input: NewContributionRecord): Promise<ContributionRecord>;
  /** Takes a record back, and its cost. */
  reverse(
    tx: Tx,
    id: string,
    recordId: string,
    input: ContributionReversal,
  ): Promise<ContributionRecord>;
  listRecords(
    tx: Tx,
    id: string,
    after: readonly string[] | null,
    limit: number,
  ): Promise<ContributionRecord[]>;
  waive(tx: Tx, id: string, input: NewContributionWaiver): Promise<ContributionWaiver>;
  listWaivers(tx: Tx, id: string): Promise<ContributionWaiver[]>;
}

export function createContributions(clock: Clock, costs: InKindLedger): Contributions {
  const store = withRelated<BareContribution, Contribution, NewContribution, ContributionPatch>(
    {
      ...bareContributions,
      async create(tx, id, input) {
        const material = await findMaterial(tx, input.materialId);
        if (!material) throw unknownMaterial(input.materialId);
        return bareContributions.create(tx, id, { ...input, unitCode: material.unit_code });
      },
    },
    (tx, items) => withStandings(tx, items, clock.today()),
  );

  async function getRecord(tx: Tx, id: string): Promise<ContributionRecord> {
    const found = await findRecord(tx, id);
    if (!found) throw notFound('contribution record', id);
    return found;
  }

  return {
    store,

    async guardCreate(_tx, { agreedOn }) {
      refuseFutureDate(clock, '/agreedOn', agreedOn);
    },

    async guardEdit(tx, id, { dueOn, endedOn }) {
      await lockContribution(tx, id);
      const current = await store.get(tx, id);
      if (current.endedOn !== null) throw endedAlready(current);
      const refuseEarly = (field: string, day: string | undefined) => {
        if (day === undefined || day >= current.agreedOn) return;
        throw invalidContent([
          {
            pointer: `/${field}`,
            code: 'date.before-agreement',
            message: `must not be before agreedOn ${current.agreedOn}`,
            rejectedValue: day,
          },
        ]);
      };
      refuseEarly('dueOn', dueOn);
      refuseEarly('endedOn', endedOn);
      if (endedOn !== undefined) refuseFutureDate(clock, '/endedOn', endedOn);
    },

    async record(tx, id, input) {
      refuseFutureDate(clock, '/observedOn', input.observedOn);
      await lockContribution(tx, id);
      const agreement = await store.get(tx, id);
      const recordId = input.id ?? uuidv7();
      const earlier = input.id === undefined ? null : await findRecord(tx, input.id);
      if (earlier) return sameOrConflict(earlier, id, input);
      if (agreement.endedOn !== null) throw endedAlready(agreement);
      const { quantity, observedOn, evidence } = input;
      const costEntryId = await postValue(tx, agreement, quantity, observedOn, evidence);
      await insertRecord(tx, {
        id: recordId,
        contributionId: id,
        quantity,
        observedOn,
        evidence,
        reversesId: null,
        costEntryId,
      });
      await tx.audit('record', 'contribution', id, { recordId, ...input });
      return getRecord(tx, recordId);
    },

    async reverse(tx, id, recordId, { id: reversalId = uuidv7(), observedOn, reason }) {
      refuseFutureDate(clock, '/observedOn', observedOn);
      await lockContribution(tx, id);
      const record = await findRecord(tx, recordId);
      if (record?.contributionId !== id) throw notFound('contribution record', recordId);
      await refuseReversal(tx, record, observedOn);
      const reversal =
        record.costEntryId &&
        (await costs.reverse(tx, record.costEntryId, { occurredOn: observedOn, reason }));
      await insertRecord(tx, {
        id: reversalId,
        contributionId: id,
        quantity: subtractQuantities('0', record.quantity),
        observedOn,
        evidence: reason,
        reversesId: recordId,
        costEntryId: reversal ? reversal.id : null,
      });
      await tx.audit('reverse', 'contribution', id, { recordId, reversalId, reason });
      return getRecord(tx, reversalId);
    },

    async listRecords(tx, id, after, limit) {
      await bareContributions.get(tx, id);
      return listRecords(tx, id, after, limit);
    },

    async waive(tx, id, { id: waiverId = uuidv7(), waivedOn = clock.today(), reason }) {
      refuseFutureDate(clock, '/waivedOn', waivedOn);
      await lockContribution(tx, id);
      const agreement = await store.get(tx, id);
      if (agreement.status !== 'missing') {
        throw ruleBroken(
          'nothing-to-waive',
          `The contribution of ${agreement.materialCode} is ${agreement.status}; only what is missing is waived.`,
        );
      }
      const waiver = await insertWaiver(tx, { id: waiverId, contributionId: id, waivedOn, reason });
      await tx.audit('waive', 'contribution', id, { waiverId, waivedOn, reason });
      return waiver;
    },

    async listWaivers(tx, id) {
      await bareContributions.get(tx, id);
      return listWaivers(tx, id);
    },
  };

  async function postValue(
    tx: Tx,
    agreement: Contribution,
    quantity: string,
    occurredOn: string,
    evidence: string,
  ): Promise<string | null> {
    const { programmeId, materialCode, unitCode, unitRate, currency } = agreement;
    const amount = lineAmount(quantity, unitRate, currency);
    if (compareQuantities(unitRate, '0') === 0) return null;
    const entry = await costs.record(tx, {
      programmeId,
      state: 'paid',
      funding: 'in-kind',
      occurredOn,
      description: `Village contribution: ${quantity} ${unitCode} of ${materialCode}`,
      evidence,
      amount,
    });
    return entry.id;
  }
}

const unknownMaterial = (rejectedValue: string) =>
  invalidContent([
    {
      pointer: '/materialId',
      code: 'reference.unknown',
      message: 'names a material that does not exist',
      rejectedValue,
    },
  ]);

const endedAlready = ({ materialCode, endedOn }: Contribution) =>
  ruleBroken(
    'contribution-ended',
    `The agreement on ${materialCode} ended on ${endedOn}; make another one.`,
  );

async function refuseReversal(tx: Tx, record: ContributionRecord, observedOn: string) {
  if (record.reversesId !== null) {
    throw ruleBroken('reversal-of-reversal', 'A reversal is not reversed; record it anew.');
  }
  if (await isRecordReversed(tx, record.id)) {
    throw ruleBroken('reversed-already', 'This record was reversed already.');
  }
  if (observedOn < record.observedOn) {
    throw ruleBroken(
      'reversal-before-record',
      `The record is of ${record.observedOn}; a reversal cannot be earlier.`,
    );
  }
}

function sameOrConflict(
  earlier: ContributionRecord,
  contributionId: string,
  input: NewContributionRecord,
): ContributionRecord {
  const isSame =
    earlier.contributionId === contributionId &&
    compareQuantities(earlier.quantity, input.quantity) === 0 &&
    earlier.observedOn === input.observedOn &&
    earlier.evidence === input.evidence;
  if (isSame) return earlier;
  throw new DomainError('conflict', {
    detail: `Contribution record ${earlier.id} says something else.`,
  });
}
